/** The chosen panel, and adding one from the kit. */

import type { ReactNode } from "react";
import { asPolar, type Kit, type Panel, type Place, type Setup } from "../../../../setup/index.ts";
import { orderAfter } from "../../../../sync/index.ts";
import type { Result } from "../../../../units/index.ts";
import { newId } from "../../../data/new-id.ts";
import { AzimuthField, ElevationField, LengthField, PercentField } from "../../../parts/fields/fields.tsx";
import { Group, type GroupProps } from "./group.tsx";

export function PanelGroup({ session, setup, panel }: GroupProps & { panel: Panel }): ReactNode {
  const set = (what: string, change: Partial<Omit<Panel, "id">>): Result<Setup> =>
    session.change(`${panel.name} ${what}`, [{ kind: "panel", id: panel.id, set: change }]);
  const polar = asPolar(panel.place, setup) as Extract<Place, { kind: "polar" }>;
  const move = (part: Partial<typeof polar>): Result<Setup> => set("place", { place: { ...polar, ...part } });
  return (
    <Group open name={panel.name}>
      <LengthField label="distance" value={polar.distanceM} commit={(distanceM) => move({ distanceM })} />
      <AzimuthField label="angle" value={polar.azimuthDeg} commit={(azimuthDeg) => move({ azimuthDeg })} />
      <LengthField label="middle above the floor" value={polar.heightM} commit={(heightM) => move({ heightM })} />
      <AzimuthField label="faces" value={panel.facingDeg} commit={(facingDeg) => set("facing", { facingDeg })} />
      <ElevationField label="tilt" value={panel.tiltDeg} commit={(tiltDeg) => set("tilt", { tiltDeg })} />
      <LengthField label="width" value={panel.widthM} commit={(widthM) => set("width", { widthM })} />
      <LengthField label="height" value={panel.heightM} commit={(heightM) => set("height", { heightM })} />
      <PercentField label="returns" value={panel.reflectance} commit={(reflectance) => set("tone", { reflectance })} />
      <button
        type="button"
        className="button"
        onClick={() => session.change(`remove ${panel.name}`, [{ kind: "remove-panel", id: panel.id }])}
      >
        Remove {panel.name}
      </button>
    </Group>
  );
}

export function PanelsGroup({
  session,
  setup,
  kit,
  select,
}: GroupProps & { kit: Kit | null; select: (id: string) => void }): ReactNode {
  const add = (id: string): void => {
    const item = kit?.panels.find((p) => p.id === id);
    if (item === undefined) return;
    const side = setup.panels.length % 2 === 0 ? 1 : -1;
    const panel: Panel = {
      id: newId(),
      order: orderAfter(setup.panels),
      name: item.name,
      tag: item.role === "card" ? "K" : "",
      hue: 7,
      role: item.role,
      finish: item.finish,
      reflectance: item.reflectance,
      widthM: item.widthM,
      heightM: item.heightM,
      place: {
        kind: "polar",
        azimuthDeg: 80 * side,
        distanceM: 0.9,
        heightM: Math.max(item.heightM / 2, setup.subject.noseHeightM - 0.2),
      },
      facingDeg: -100 * side,
      tiltDeg: 0,
      target: null,
      massKg: item.massKg,
    };
    const done = session.change(`add ${item.name}`, [{ kind: "add-panel", panel }]);
    if (done.ok) select(panel.id);
  };
  return (
    <Group name={`Cards and flags (${setup.panels.length})`}>
      {setup.panels.map((panel) => (
        <button key={panel.id} type="button" className="button" onClick={() => select(panel.id)}>
          {panel.name}
        </button>
      ))}
      <label className="entry">
        add from the kit
        <select value="" disabled={kit === null} onChange={(event) => add(event.target.value)}>
          <option value="">choose</option>
          {kit?.panels.map((p) => (
            <option key={p.id} value={p.id}>
              {p.name}
            </option>
          ))}
        </select>
      </label>
    </Group>
  );
}
