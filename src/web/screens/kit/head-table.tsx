/** Heads: energy or power, what the catalogue says of their light, and the dial in the head's own notation. */

import type { ReactNode } from "react";
import { dialStrip } from "../../../drawing/index.ts";
import type { Head } from "../../../setup/index.ts";
import { type DialScale, dialRange, printDial } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { ChoiceField, NumberField } from "../../parts/fields/fields.tsx";
import { countColumn, learnedColumn, massColumn } from "./columns.tsx";
import { type Column, KitTable, type TableProps } from "./kit-table.tsx";

type Kind = DialScale["kind"];

const SCALES: Readonly<Record<Kind, { readonly name: string; readonly make: (head: Head) => DialScale }>> = {
  "below-full": { name: "stops below full", make: () => ({ kind: "below-full", lowestStops: -5, stepStops: 0.1 }) },
  fraction: { name: "fraction of full", make: () => ({ kind: "fraction", lowestStops: -7, stepStops: 1 / 3 }) },
  number: { name: "a numbered scale", make: () => ({ kind: "number", top: 10, lowestStops: -8, stepStops: 0.1 }) },
  "watt-seconds": {
    name: "watt-seconds",
    make: (head) => ({ kind: "watt-seconds", fullWs: head.energyWs ?? 400, lowestStops: -5, stepStops: 0.1 }),
  },
  percent: { name: "per cent", make: () => ({ kind: "percent", lowestPercent: 10, stepPercent: 1 }) },
};

const kinds = Object.entries(SCALES).map(([kind, { name }]) => [kind as Kind, name] as const);

/** All heads line up at full power. */
const DIAL = { perStop: 26, stopsWide: 7 } as const;

const columns: readonly Column<Head>[] = [
  countColumn(),
  {
    name: "energy or power",
    cell: (head, set) =>
      head.kind === "flash" ? (
        <NumberField
          inTable
          label={`${head.name}, energy`}
          value={head.energyWs ?? 0}
          unit="Ws"
          least={1}
          most={10000}
          commit={(energyWs) => set({ energyWs })}
        />
      ) : (
        <NumberField
          inTable
          label={`${head.name}, power`}
          value={head.powerW ?? 0}
          unit="W"
          least={1}
          most={20000}
          commit={(powerW) => set({ powerW })}
        />
      ),
  },
  {
    name: "dial",
    cell: ({ dial, name }) => (
      <>
        <DrawingView fit="unit" className="dial-strip" drawing={dialStrip(name, dial, DIAL)} />
        <span className="unseen">
          from {printDial(dialRange(dial).lowest, dial)} to {printDial(dialRange(dial).full, dial)}
        </span>
      </>
    ),
  },
  {
    name: "scale",
    cell: (head, set) => (
      <ChoiceField
        inTable
        label={`${head.name}, dial`}
        value={head.dial.kind}
        options={kinds}
        commit={(kind) => set({ dial: SCALES[kind].make(head), dialTable: [] })}
      />
    ),
  },
  massColumn(),
  learnedColumn(),
];

export function HeadTable({ kit, change }: TableProps): ReactNode {
  const put = (heads: readonly Head[]): void => change((k) => ({ ...k, heads }));
  const add = (): void => {
    const like = kit.heads[0];
    if (like === undefined) return;
    const fresh = { id: newId(), name: "New head", dialTable: [], learnedStops: 0, learnedReadings: 0, count: 1 };
    put([...kit.heads, { ...like, ...fresh }]);
  };
  return (
    <KitTable
      id="kit-heads"
      title="Heads"
      note="each in its own dial; one step is never finer than the head allows"
      one="head"
      items={kit.heads}
      columns={columns}
      put={put}
      removable
    >
      <button type="button" className="button" onClick={add}>
        Add a head
      </button>
    </KitTable>
  );
}
