/** The chosen light: its kit, where its front is in both kinds of coordinates, aim, gels, stand and boom. */

import type { ReactNode } from "react";
import {
  type Edit,
  type Kit,
  type Light,
  type PointName,
  pointNames,
  pointOf,
  positionOf,
  type Setup,
  toleranceOf,
} from "../../../../setup/index.ts";
import { degrees, parseElevation, printDegrees, type Result } from "../../../../units/index.ts";
import { ChoiceField, LengthField, NumberField, TextField, TickField } from "../../../parts/fields/fields.tsx";
import { NumberEntry } from "../../../parts/number-entry.tsx";
import { Tag } from "../../../parts/tag.tsx";
import { Group, type GroupProps } from "./group.tsx";

/** ND 0.3 takes 0.3/log10(2) stops. */
const ND_STOPS = 0.3 / Math.log10(2);

export function LightGroup({ session, setup, light, kit }: GroupProps & { light: Light; kit: Kit | null }): ReactNode {
  const set = (what: string, change: Partial<Omit<Light, "id">>): Result<Setup> =>
    session.change(`${light.tag} ${what}`, [{ kind: "light", id: light.id, set: change } satisfies Edit]);
  const points = pointNames(setup).map((name) => [name, pointOf(setup, name).words] as const);
  return (
    <Group
      open
      name={
        <>
          <Tag tag={light.tag} hue={light.hue} /> {light.role}
        </>
      }
    >
      <ItemChoice label="head" own={light.head} items={kit?.heads} take={(head) => set("head", { head })} />
      <ItemChoice
        label="modifier"
        own={light.modifier}
        items={kit?.modifiers}
        take={(modifier) => set("modifier", { modifier })}
      />
      <Position setup={setup} light={light} set={set} />
      <ChoiceField
        label="aims at"
        value={light.aim.kind === "point" ? light.aim.point : ("own" as PointName)}
        options={light.aim.kind === "point" ? points : [["own" as PointName, "its own direction"], ...points]}
        commit={(point) => set("aim", { aim: { kind: "point", point } })}
      />
      <ChoiceField
        label="metered at"
        value={light.meterAt.point}
        options={points}
        commit={(point) => set("meter point", { meterAt: { ...light.meterAt, point } })}
      />
      <ChoiceField
        label="receptor and its aim"
        value={`${light.meterAt.receptor} ${light.meterAt.aim}`}
        options={[
          ["dome light", "dome at the light"],
          ["dome camera", "dome to the camera"],
          ["disc light", "disc at the light"],
          ["disc normal", "disc flat on the surface"],
        ]}
        commit={(choice) => {
          const [receptor, aim] = choice.split(" ") as [Light["meterAt"]["receptor"], Light["meterAt"]["aim"]];
          set("receptor", { meterAt: { ...light.meterAt, receptor, aim } });
        }}
      />
      <NumberEntry
        label="turned about its axis"
        value={printDegrees(degrees(light.rollDeg))}
        parse={(text) => parseElevation(text, "roll")}
        commit={(rollDeg) => set("roll", { rollDeg })}
        step={{ current: light.rollDeg, by: 1 }}
      />
      <TextField
        label="trigger group"
        value={light.triggerGroup}
        most={4}
        commit={(triggerGroup) => set("trigger group", { triggerGroup })}
      />
      <TextField
        label="channel"
        value={light.triggerChannel}
        most={4}
        commit={(triggerChannel) => set("channel", { triggerChannel })}
      />
      <ChoiceField
        label="neutral density"
        value={String(Math.round(light.ndStops / ND_STOPS))}
        options={[
          ["0", "none"],
          ["1", "ND 0.3"],
          ["2", "ND 0.6"],
          ["3", "ND 0.9"],
        ]}
        commit={(n) => set("neutral density", { ndStops: Number(n) * ND_STOPS })}
      />
      <NumberField
        label="tolerance"
        value={light.toleranceStops ?? toleranceOf(light)}
        unit="stop"
        least={0.05}
        most={2}
        step={0.1}
        commit={(toleranceStops) => set("tolerance", { toleranceStops })}
      />
      <NumberField
        label="pops"
        value={light.pops}
        unit=""
        least={1}
        most={64}
        commit={(pops) => set("pops", { pops: Math.round(pops) })}
      />
      <ChoiceField
        label="circuit"
        value={light.circuitId ?? ""}
        options={[["", "none"], ...setup.room.circuits.map((c) => [c.id, `${c.name}, ${c.amps} A`] as const)]}
        commit={(id) => set("circuit", { circuitId: id === "" ? null : id })}
      />
      <StandFields light={light} set={set} />
      <TickField label="on" value={light.on} commit={(on) => set("switch", { on })} />
      <TickField
        label="modelling light"
        value={light.modellingLampOn}
        commit={(modellingLampOn) => set("modelling light", { modellingLampOn })}
      />
      <button
        type="button"
        className="button"
        onClick={() => session.change(`remove ${light.tag}`, [{ kind: "remove-light", id: light.id }])}
      >
        Remove {light.tag}
      </button>
    </Group>
  );
}

type SetLight = (what: string, change: Partial<Omit<Light, "id">>) => Result<Setup>;

/** The middle of the front as a tape measures it from the cross; the strip on the ladder has it round the nose. */
function Position({ setup, light, set }: { setup: Setup; light: Light; set: SetLight }): ReactNode {
  const [xM, yM, zM] = positionOf(light.place, setup);
  const place = (part: Partial<Record<"xM" | "yM" | "zM", number>>): Result<Setup> =>
    set("place", { place: { kind: "cartesian", xM, yM, zM, ...part } });
  return (
    <>
      <LengthField
        label="front, to camera right of the cross"
        value={xM}
        min={-30}
        commit={(value) => place({ xM: value })}
      />
      <LengthField label="front, toward the camera" value={zM} min={-30} commit={(value) => place({ zM: value })} />
      <LengthField label="front, above the floor" value={yM} commit={(value) => place({ yM: value })} />
    </>
  );
}

function StandFields({ light, set }: { light: Light; set: SetLight }): ReactNode {
  const { rig } = light;
  return (
    <>
      <NumberField
        label="sandbag"
        value={rig.sandbagKg}
        unit="kg"
        least={0}
        most={200}
        commit={(sandbagKg) => set("sandbag", { rig: { ...rig, sandbagKg } })}
      />
      {rig.boom !== null && (
        <>
          <NumberField
            label="counterweight"
            value={rig.boom.counterweightKg}
            unit="kg"
            least={0}
            most={60}
            step={0.1}
            commit={(counterweightKg) =>
              set("counterweight", { rig: { ...rig, boom: rig.boom && { ...rig.boom, counterweightKg } } })
            }
          />
          <LengthField
            label="pivot height"
            value={rig.boom.pivotHeightM}
            commit={(pivotHeightM) =>
              set("pivot height", { rig: { ...rig, boom: rig.boom && { ...rig.boom, pivotHeightM } } })
            }
          />
          <p className="quiet hand-note">
            A boom is re-hung by two people: lower, hold, rebalance, raise. These fields only record it.
          </p>
        </>
      )}
      <TickField
        label="safety bond"
        value={rig.bonded}
        commit={(bonded) => set("safety bond", { rig: { ...rig, bonded } })}
      />
    </>
  );
}

interface ItemChoiceProps<T> {
  readonly label: string;
  readonly own: T;
  readonly items: readonly T[] | undefined;
  readonly take: (item: T) => unknown;
}

/** A choice of the kit's items; the setup's own copy stands first when the kit no longer has it. */
function ItemChoice<T extends { readonly id: string; readonly name: string }>({
  label,
  own,
  items = [],
  take,
}: ItemChoiceProps<T>): ReactNode {
  const all = items.some((item) => item.id === own.id) ? items : [own, ...items];
  return (
    <ChoiceField
      label={label}
      value={own.id}
      options={all.map((item) => [item.id, item.name] as const)}
      commit={(id) => {
        const item = all.find((one) => one.id === id);
        if (item !== undefined) take(item);
      }}
    />
  );
}
