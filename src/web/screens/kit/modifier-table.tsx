/** Modifiers: the front to scale, its size, layers, grid, and what the meter taught. */

import { type ReactNode, useRef, useState } from "react";
import type { Modifier } from "../../../setup/index.ts";
import type { Fault } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { ChoiceField, PercentField, TickField } from "../../parts/fields/fields.tsx";
import { countColumn, learnedColumn, lengthColumn, massColumn } from "./columns.tsx";
import { type Column, KitTable, type TableProps } from "./kit-table.tsx";
import { ModifierStrip } from "./modifier-strip.tsx";

const SHAPES: readonly Modifier["shape"][] = ["rectangle", "octagon", "disc", "umbrella", "lobe", "bare", "measured"];

/** The usual fabric grid: square cells whose cut-off is 27.5°. */
const USUAL_GRID = { cellM: 0.026, depthM: 0.05, openFraction: 0.95 } as const;

/** Cut-off of a square cell, atan(w/t). */
const cutOffDeg = (grid: { readonly cellM: number; readonly depthM: number }): number =>
  (Math.atan2(grid.cellM, grid.depthM) * 180) / Math.PI;

const columns: readonly Column<Modifier>[] = [
  {
    name: "shape",
    cell: (m, set) => (
      <ChoiceField
        inTable
        label={`${m.name}, shape`}
        value={m.shape}
        options={SHAPES.filter((s) => s !== "measured" || m.photometricFile !== null).map((s) => [s, s] as const)}
        commit={(shape) => set({ shape })}
      />
    ),
  },
  lengthColumn("width", "widthM"),
  lengthColumn("height", "heightM"),
  {
    name: "lets through",
    cell: (m, set) => (
      <PercentField
        inTable
        label={`${m.name}, lets through`}
        value={m.transmission}
        least={1}
        most={100}
        commit={(transmission) => set({ transmission })}
      />
    ),
  },
  {
    name: "grid",
    cell: (m, set) => (
      <TickField
        label={`${m.name}, grid`}
        words={m.grid === null ? "none" : `${cutOffDeg(m.grid).toFixed(1)}°`}
        value={m.grid !== null}
        commit={(on) => set({ grid: on ? USUAL_GRID : null })}
      />
    ),
  },
  countColumn(),
  massColumn(),
  learnedColumn(),
];

export function ModifierTable({ kit, change }: TableProps): ReactNode {
  const put = (modifiers: readonly Modifier[]): void => change((k) => ({ ...k, modifiers }));
  const add = (): void => {
    const like = kit.modifiers.find((m) => m.shape === "rectangle") ?? kit.modifiers[0];
    if (like === undefined) return;
    put([
      ...kit.modifiers,
      { ...like, id: newId(), name: "New modifier", learnedStops: 0, learnedReadings: 0, count: 1 },
    ]);
  };
  return (
    <KitTable
      above={<ModifierStrip kit={kit} />}
      id="kit-modifiers"
      title="Modifiers"
      note="to one scale"
      one="modifier"
      items={kit.modifiers}
      columns={columns}
      put={put}
      removable
    >
      <MeasuredFile take={(modifier) => put([...kit.modifiers, modifier])} />
      <button type="button" className="button" onClick={add}>
        Add a modifier
      </button>
    </KitTable>
  );
}

/** "Add from a measured file": an .ies or .ldt file becomes a modifier; what is wrong with it is listed whole. */
function MeasuredFile({ take }: { take: (modifier: Modifier) => void }): ReactNode {
  const input = useRef<HTMLInputElement>(null);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const read = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    const { measuredModifier } = await import("./measured-modifier.ts");
    const made = measuredModifier(newId(), file.name, new Uint8Array(await file.arrayBuffer()));
    setFaults(made.ok ? [] : made.faults);
    if (made.ok) take(made.value);
    if (input.current !== null) input.current.value = "";
  };
  return (
    <>
      <FaultBox faults={faults} />
      <button type="button" className="button" onClick={() => input.current?.click()}>
        Add from a measured file
      </button>
      <input
        ref={input}
        type="file"
        accept=".ies,.ldt"
        hidden
        aria-label="Measured .ies or .ldt file"
        onChange={(event) => void read(event.target.files?.[0])}
      />
    </>
  );
}
