/** Stands and booms, cards and flags, meters, cameras. */

import type { ReactNode } from "react";
import type { Camera, KitPanel, Meter, Support } from "../../../setup/index.ts";
import { LengthField, NumberField, PercentField, TickField } from "../../parts/fields/fields.tsx";
import { countColumn, lengthColumn, massColumn, numberColumn } from "./columns.tsx";
import { type Column, KitTable, type TableProps } from "./kit-table.tsx";

const supportColumns: readonly Column<Support>[] = [
  countColumn(),
  massColumn(),
  numberColumn("legs", "legs", { unit: "", least: 3, most: 6 }),
  lengthColumn("foot radius", "footRadiusM"),
  lengthColumn("highest", "maxHeightM"),
  {
    name: "boom reach",
    cell: (s, set) =>
      s.kind === "boom" ? (
        <LengthField
          inTable
          label={`${s.name}, boom reach`}
          value={s.boomReachM}
          commit={(boomReachM) => set({ boomReachM })}
        />
      ) : (
        <span className="quiet">no boom</span>
      ),
  },
];

export function SupportTable({ kit, change }: TableProps): ReactNode {
  return (
    <KitTable
      id="kit-supports"
      title="Stands and booms"
      note="what the tipping and balance checks count with"
      one="stand"
      items={kit.supports}
      columns={supportColumns}
      put={(supports) => change((k) => ({ ...k, supports }))}
    />
  );
}

const panelColumns: readonly Column<KitPanel>[] = [
  countColumn(),
  lengthColumn("width", "widthM"),
  lengthColumn("height", "heightM"),
  {
    name: "returns",
    cell: (p, set) => (
      <PercentField
        inTable
        label={`${p.name}, returns`}
        value={p.reflectance}
        commit={(reflectance) => set({ reflectance })}
      />
    ),
  },
];

export function PanelTable({ kit, change }: TableProps): ReactNode {
  return (
    <KitTable
      id="kit-panels"
      title="Cards and flags"
      one="panel"
      items={kit.panels}
      columns={panelColumns}
      put={(panels) => change((k) => ({ ...k, panels }))}
    />
  );
}

const meterColumns: readonly Column<Meter>[] = [
  numberColumn("dome, C", "domeC", { unit: "lx·s", least: 200, most: 700 }),
  numberColumn("disc, C", "discC", { unit: "lx·s", least: 150, most: 500 }),
  numberColumn("offset", "offsetStops", { unit: "stop", least: -3, most: 3, step: 0.1 }),
  {
    name: "disc and dome compared",
    cell: (m, set) => (
      <TickField
        label={`${m.name}, receptors compared`}
        words={m.receptorsCompared ? "yes" : "not yet"}
        value={m.receptorsCompared}
        commit={(receptorsCompared) => set({ receptorsCompared })}
      />
    ),
  },
];

export function MeterTable({ kit, change }: TableProps): ReactNode {
  return (
    <KitTable
      id="kit-meters"
      title="Meter"
      note="ISO 2720:1974 gives 240 to 400 for the disc, 320 to 540 for the dome"
      one="meter"
      items={kit.meters}
      columns={meterColumns}
      put={(meters) => change((k) => ({ ...k, meters }))}
    />
  );
}

const cameraColumns: readonly Column<Camera>[] = [
  numberColumn("focal length", "focalLengthMm", { unit: "mm", least: 8, most: 1200 }),
  {
    name: "sensor",
    cell: (c) => `${c.sensorWidthMm} × ${c.sensorHeightMm} mm`,
  },
  {
    name: "syncs to, 1 part of a second",
    cell: (c, set) => (
      <NumberField
        inTable
        label={`${c.name}, sync, 1 part of a second`}
        value={Math.round(1 / c.syncS)}
        unit=""
        least={15}
        most={4000}
        commit={(parts) => set({ syncS: 1 / parts })}
      />
    ),
  },
  {
    name: "against the meter",
    cell: (c, set) => (
      <NumberField
        inTable
        label={`${c.name}, against the meter`}
        value={c.meterOffsetStops ?? 0}
        unit="stop"
        least={-3}
        most={3}
        step={0.1}
        commit={(meterOffsetStops) => set({ meterOffsetStops })}
      />
    ),
  },
];

export function CameraTable({ kit, change }: TableProps): ReactNode {
  return (
    <KitTable
      id="kit-cameras"
      title="Cameras"
      note="one body with one lens a line; the meter offset comes from a grey card, in Plan under Camera"
      one="body and lens"
      items={kit.cameras}
      columns={cameraColumns}
      put={(cameras) => change((k) => ({ ...k, cameras }))}
    />
  );
}
