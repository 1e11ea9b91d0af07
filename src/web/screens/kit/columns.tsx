/** Columns that several kit tables share. */

import { LengthField, NumberField } from "../../parts/fields/fields.tsx";
import type { Column } from "./kit-table.tsx";

type Named = { readonly name: string };

export const countColumn = <T extends Named & { readonly count: number }>(): Column<T> => ({
  name: "how many",
  cell: (item, set) => (
    <NumberField
      inTable
      label={`${item.name}, how many`}
      value={item.count}
      unit=""
      least={0}
      most={99}
      commit={(count) => set({ count: Math.round(count) } as Partial<T>)}
    />
  ),
});

export const massColumn = <T extends Named & { readonly massKg: number }>(): Column<T> => ({
  name: "mass",
  cell: (item, set) => (
    <NumberField
      inTable
      label={`${item.name}, mass`}
      value={item.massKg}
      unit="kg"
      least={0.05}
      most={80}
      step={0.1}
      commit={(massKg) => set({ massKg } as Partial<T>)}
    />
  ),
});

/** A length under one of the item's own fields. */
export const lengthColumn = <K extends string, T extends Named & { readonly [key in K]: number }>(
  name: string,
  field: K,
): Column<T> => ({
  name,
  cell: (item, set) => (
    <LengthField
      inTable
      label={`${item.name}, ${name}`}
      value={item[field]}
      commit={(value) => set({ [field]: value } as unknown as Partial<T>)}
    />
  ),
});

/** A plain number under one of the item's own fields. */
export const numberColumn = <K extends string, T extends Named & { readonly [key in K]: number }>(
  name: string,
  field: K,
  range: { readonly unit: string; readonly least: number; readonly most: number; readonly step?: number },
): Column<T> => ({
  name,
  cell: (item, set) => (
    <NumberField
      inTable
      label={`${item.name}, ${name}`}
      value={item[field]}
      {...range}
      commit={(value) => set({ [field]: value } as unknown as Partial<T>)}
    />
  ),
});

export const learnedColumn = <
  T extends Named & { readonly learnedStops: number; readonly learnedReadings: number },
>(): Column<T> => ({
  name: "learned from the meter",
  cell: (item) => <span className="quiet">{learnedWords(item)}</span>,
});

function learnedWords(item: { readonly learnedStops: number; readonly learnedReadings: number }): string {
  if (item.learnedReadings === 0) return "none yet";
  const readings = `${item.learnedReadings} reading${item.learnedReadings === 1 ? "" : "s"}`;
  return `${item.learnedStops < 0 ? "−" : "+"}${Math.abs(item.learnedStops).toFixed(1)} from ${readings}`;
}
