/** The sitter in the seat now, and the run of sitters that one setup serves. */

import type { ReactNode } from "react";
import type { Edit, HairClass, Setup, Sitter } from "../../../../setup/index.ts";
import { orderAfter } from "../../../../sync/index.ts";
import type { Result } from "../../../../units/index.ts";
import { newId } from "../../../data/new-id.ts";
import {
  AzimuthField,
  ChoiceField,
  ElevationField,
  LengthField,
  TextField,
  TickField,
} from "../../../parts/fields/fields.tsx";
import { Group, type GroupProps } from "./group.tsx";

const HAIR: readonly (readonly [HairClass, string])[] = [
  ["black", "black hair"],
  ["dark", "dark hair"],
  ["mid", "mid hair"],
  ["fair", "fair hair"],
  ["grey", "grey hair"],
];

const SPECTACLES = { tiltDeg: 8, baseCurveD: 6 } as const;

export function SitterGroup({ session, setup }: GroupProps): ReactNode {
  const { subject } = setup;
  const set = (what: string, change: Partial<Setup["subject"]>): Result<Setup> =>
    session.change(what, [{ kind: "subject", set: change }]);
  return (
    <Group name={subject.kind === "person" ? "Sitter now" : "Object"}>
      <LengthField
        label="nose height"
        value={subject.noseHeightM}
        commit={(noseHeightM) => set("nose height", { noseHeightM })}
      />
      {subject.kind === "person" && (
        <>
          <ChoiceField
            label="hair"
            value={subject.hair}
            options={HAIR}
            commit={(hair) => set("sitter’s hair", { hair })}
          />
          <AzimuthField
            label="head turned to"
            value={subject.headYawDeg}
            commit={(headYawDeg) => set("head turned", { headYawDeg })}
          />
          <ElevationField
            label="chin"
            value={subject.headPitchDeg}
            commit={(headPitchDeg) => set("chin", { headPitchDeg })}
          />
          <TickField
            label="spectacles"
            value={subject.spectacles !== null}
            commit={(on) => set("spectacles", { spectacles: on ? SPECTACLES : null })}
          />
          <TickField
            label="sensitive to flashing light: ask first"
            value={subject.flashSensitive}
            commit={(flashSensitive) => set("flashing light", { flashSensitive })}
          />
        </>
      )}
    </Group>
  );
}

export function SittersGroup({ session, setup }: GroupProps): ReactNode {
  const set = (sitter: Sitter, change: Partial<Omit<Sitter, "id">>): Result<Setup> =>
    session.change(`sitter ${sitter.name}`, [{ kind: "sitter", id: sitter.id, set: change }]);
  const seat = (sitter: Sitter): void => {
    const edit: Edit = {
      kind: "subject",
      set: {
        hair: sitter.hair,
        spectacles: sitter.spectacles ? SPECTACLES : null,
        flashSensitive: sitter.flashSensitive,
      },
    };
    session.change(`${sitter.name} sits`, [edit]);
  };
  const add = (): void => {
    const sitter: Sitter = {
      id: newId(),
      order: orderAfter(setup.sitters),
      name: `sitter ${setup.sitters.length + 1}`,
      seatHeightM: null,
      hair: "mid",
      spectacles: false,
      flashSensitive: false,
      frames: "",
    };
    session.change("add a sitter", [{ kind: "add-sitter", sitter }]);
  };
  return (
    <Group name={`Run of sitters (${setup.sitters.length})`}>
      {setup.sitters.map((sitter) => (
        <fieldset key={sitter.id} className="sitter">
          <legend className="unseen">{sitter.name}</legend>
          <TextField label="name" value={sitter.name} most={80} commit={(name) => set(sitter, { name })} />
          <ChoiceField label="hair" value={sitter.hair} options={HAIR} commit={(hair) => set(sitter, { hair })} />
          <LengthField
            label="stool"
            value={sitter.seatHeightM ?? 0}
            commit={(seatHeightM) => set(sitter, { seatHeightM })}
          />
          <TickField
            label="spectacles"
            value={sitter.spectacles}
            commit={(spectacles) => set(sitter, { spectacles })}
          />
          <TickField
            label="flashing light: ask first"
            value={sitter.flashSensitive}
            commit={(flashSensitive) => set(sitter, { flashSensitive })}
          />
          <TextField label="frames" value={sitter.frames} most={80} commit={(frames) => set(sitter, { frames })} />
          <div className="sitter-tools">
            <button type="button" className="button" onClick={() => seat(sitter)}>
              Sits now
            </button>
            <button
              type="button"
              className="button bare"
              aria-label={`Remove ${sitter.name}`}
              onClick={() => session.change(`remove ${sitter.name}`, [{ kind: "remove-sitter", id: sitter.id }])}
            >
              Remove
            </button>
          </div>
        </fieldset>
      ))}
      <button type="button" className="button" onClick={add}>
        Add a sitter
      </button>
    </Group>
  );
}
