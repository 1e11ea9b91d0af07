/**
 * The chosen light in full, and what the setup says about the face: the figures that have no place on the
 * ladder. Kit choices, aim, gels, trigger group, stand and boom; pattern, catchlights, glare, flare.
 */

import type { ReactNode } from "react";
import type { Edit, Kit, Light, PointName, Setup } from "../../../setup/index.ts";
import { pointNames, pointOf } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import {
  degrees,
  metres,
  parseAzimuth,
  parseElevation,
  parseLength,
  printAzimuth,
  printDegrees,
  printElevation,
  printStops,
  stops,
} from "../../../units/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { useLength } from "../../data/use-length.ts";
import { NumberEntry } from "../../parts/number-entry.tsx";
import { Tag } from "../../parts/tag.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly selected: string | null;
  readonly kit: Kit | null;
}

export function SetupDetails({ session, setup, report, selected, kit }: Props): ReactNode {
  const light = setup.lights.find((l) => l.id === selected);
  return (
    <section className="pane details-pane" aria-label="Details">
      {light !== undefined && <LightDetails session={session} setup={setup} light={light} kit={kit} />}
      <FaceDetails setup={setup} report={report} light={light ?? null} />
      <SitterDetails session={session} setup={setup} />
    </section>
  );
}

function LightDetails({
  session,
  setup,
  light,
  kit,
}: {
  session: SetupSession;
  setup: Setup;
  light: Light;
  kit: Kit | null;
}): ReactNode {
  const length = useLength();
  const set = (what: string, change: Partial<Omit<Light, "id">>): ReturnType<SetupSession["change"]> =>
    session.change(`${light.tag} ${what}`, [{ kind: "light", id: light.id, set: change } satisfies Edit]);
  const setBoom = (
    what: string,
    part: Partial<NonNullable<Light["rig"]["boom"]>>,
  ): ReturnType<typeof set> | undefined =>
    light.rig.boom === null ? undefined : set(what, { rig: { ...light.rig, boom: { ...light.rig.boom, ...part } } });
  return (
    <fieldset className="details-group">
      <legend>
        <Tag tag={light.tag} hue={light.hue} /> {light.role}
      </legend>
      <label className="entry">
        head
        <select
          value={light.head.id}
          onChange={(e) => pick(kit?.heads, e.target.value, (head) => set("head", { head }))}
        >
          {withOwn(kit?.heads, light.head).map((head) => (
            <option key={head.id} value={head.id}>
              {head.name}
            </option>
          ))}
        </select>
      </label>
      <label className="entry">
        modifier
        <select
          value={light.modifier.id}
          onChange={(e) => pick(kit?.modifiers, e.target.value, (modifier) => set("modifier", { modifier }))}
        >
          {withOwn(kit?.modifiers, light.modifier).map((modifier) => (
            <option key={modifier.id} value={modifier.id}>
              {modifier.name}
            </option>
          ))}
        </select>
      </label>
      <label className="entry">
        aims at
        <select
          value={light.aim.kind === "point" ? light.aim.point : ""}
          onChange={(e) => set("aim", { aim: { kind: "point", point: e.target.value as PointName } })}
        >
          {light.aim.kind !== "point" && <option value="">its own direction</option>}
          {pointNames(setup).map((name) => (
            <option key={name} value={name}>
              {pointOf(setup, name).words}
            </option>
          ))}
        </select>
      </label>
      <label className="entry">
        metered at
        <select
          value={light.meterAt.point}
          onChange={(e) => set("meter point", { meterAt: { ...light.meterAt, point: e.target.value as PointName } })}
        >
          {pointNames(setup).map((name) => (
            <option key={name} value={name}>
              {pointOf(setup, name).words}
            </option>
          ))}
        </select>
      </label>
      <NumberEntry
        label="turned about its axis"
        value={printDegrees(degrees(light.rollDeg))}
        parse={(text) => parseElevation(text, "roll")}
        commit={(rollDeg) => set("roll", { rollDeg })}
        step={{ current: light.rollDeg, by: 1 }}
      />
      <label className="entry">
        trigger group
        <input
          key={`${light.id}-${light.triggerGroup}`}
          defaultValue={light.triggerGroup}
          maxLength={4}
          onBlur={(e) =>
            e.target.value !== light.triggerGroup && set("trigger group", { triggerGroup: e.target.value })
          }
        />
      </label>
      <label className="entry">
        neutral density
        <select
          value={String(Math.round(light.ndStops))}
          onChange={(e) => set("neutral density", { ndStops: Number(e.target.value) * ND_STOPS })}
        >
          {[0, 1, 2, 3].map((n) => (
            <option key={n} value={n}>
              {n === 0 ? "none" : `ND ${(0.3 * n).toFixed(1)}`}
            </option>
          ))}
        </select>
      </label>
      <NumberEntry
        label="sandbag"
        value={`${light.rig.sandbagKg} kg`}
        parse={(text) => parseMass(text)}
        commit={(sandbagKg) => set("sandbag", { rig: { ...light.rig, sandbagKg } })}
        step={{ current: light.rig.sandbagKg, by: 1 }}
      />
      {light.rig.boom !== null && (
        <>
          <NumberEntry
            label="counterweight"
            value={`${light.rig.boom.counterweightKg} kg`}
            parse={(text) => parseMass(text)}
            commit={(counterweightKg) => setBoom("counterweight", { counterweightKg })}
          />
          <NumberEntry
            label="pivot height"
            value={length(light.rig.boom.pivotHeightM)}
            parse={(text) => parseLength(text, { where: "pivot height" })}
            commit={(pivotHeightM) => setBoom("pivot height", { pivotHeightM })}
          />
        </>
      )}
      <label className="tick-entry">
        <input
          type="checkbox"
          checked={light.rig.bonded}
          onChange={(e) => set("safety bond", { rig: { ...light.rig, bonded: e.target.checked } })}
        />{" "}
        safety bond
      </label>
      <label className="tick-entry">
        <input type="checkbox" checked={light.on} onChange={(e) => set("switch", { on: e.target.checked })} /> on
      </label>
      <label className="tick-entry">
        <input
          type="checkbox"
          checked={light.modellingLampOn}
          onChange={(e) => set("modelling light", { modellingLampOn: e.target.checked })}
        />{" "}
        modelling light
      </label>
      <button
        type="button"
        className="button"
        onClick={() => session.change(`remove ${light.tag}`, [{ kind: "remove-light", id: light.id }])}
      >
        Remove {light.tag}
      </button>
    </fieldset>
  );
}

function FaceDetails({ setup, report, light }: { setup: Setup; report: SetupReport; light: Light | null }): ReactNode {
  const print = useLength();
  const one = report.lights.find((l) => l.lightId === light?.id);
  const length = (m: number | null): string => (m === null ? "beyond measure" : print(m));
  const facts: [string, string][] = [];
  if (setup.subject.kind === "person") {
    facts.push(["pattern", [report.pattern.name, ...report.pattern.neighbours.map((n) => `near ${n}`)].join(", ")]);
    facts.push(["eye sockets", report.pattern.eyeSockets]);
    for (const c of report.catchlights) {
      const tag = setup.lights.find((l) => l.id === c.lightId)?.tag ?? "";
      facts.push([
        `catchlight ${tag}`,
        c.insideIris ? `${c.words}, ${c.widthMm.toFixed(1)} × ${c.heightMm.toFixed(1)} mm` : "outside the iris",
      ]);
    }
  }
  facts.push(["depth of field", `${length(report.camera.nearM)} to ${length(report.camera.farM)}`]);
  facts.push(["frame at the nose", `${length(report.camera.fieldWidthM)} × ${length(report.camera.fieldHeightM)}`]);
  if (one !== undefined) {
    facts.push([
      `${one.tag} softness`,
      `${one.solidAngleSr.toFixed(2)} sr, ${one.solidAnglePercent.toFixed(1)} % of the sphere`,
    ]);
    facts.push([
      `leaning, a tenth of ${one.tag}`,
      `${length(one.lean.tenthTowardM)} toward, ${length(one.lean.tenthAwayM)} away`,
    ]);
    facts.push([
      `leaning, a third of ${one.tag}`,
      `${length(one.lean.thirdTowardM)} toward, ${length(one.lean.thirdAwayM)} away`,
    ]);
    for (const s of report.spill.filter((s) => s.lightId === one.lightId && s.underWorkingStops !== null)) {
      facts.push([
        `${one.tag} on ${pointOf(setup, s.point).words}`,
        `${printStops(stops(-(s.underWorkingStops ?? 0)))} from working`,
      ]);
    }
  }
  return (
    <section className="details-group">
      <h3>What it does</h3>
      <dl>
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function SitterDetails({ session, setup }: { session: SetupSession; setup: Setup }): ReactNode {
  const length = useLength();
  const { subject } = setup;
  const set = (what: string, change: Partial<Setup["subject"]>): ReturnType<SetupSession["change"]> =>
    session.change(what, [{ kind: "subject", set: change }]);
  return (
    <fieldset className="details-group">
      <legend>Sitter</legend>
      <NumberEntry
        label="nose height"
        value={length(subject.noseHeightM)}
        parse={(text) => parseLength(text, { where: "nose height" })}
        commit={(noseHeightM) => set("nose height", { noseHeightM })}
        step={{ current: subject.noseHeightM, by: 0.01 }}
      />
      <NumberEntry
        label="head turned"
        value={printAzimuth(degrees(subject.headYawDeg))}
        parse={(text) => parseAzimuth(text, "head turned")}
        commit={(headYawDeg) => set("head turned", { headYawDeg })}
        step={{ current: subject.headYawDeg, by: 1 }}
      />
      <NumberEntry
        label="chin up"
        value={printElevation(degrees(subject.headPitchDeg))}
        parse={(text) => parseElevation(text, "chin")}
        commit={(headPitchDeg) => set("chin", { headPitchDeg })}
        step={{ current: subject.headPitchDeg, by: 1 }}
      />
      <label className="tick-entry">
        <input
          type="checkbox"
          checked={subject.spectacles !== null}
          onChange={(e) => set("spectacles", { spectacles: e.target.checked ? { tiltDeg: 8, baseCurveD: 6 } : null })}
        />{" "}
        spectacles
      </label>
      <label className="tick-entry">
        <input
          type="checkbox"
          checked={subject.flashSensitive}
          onChange={(e) => set("flashing light", { flashSensitive: e.target.checked })}
        />{" "}
        sensitive to flashing light
      </label>
    </fieldset>
  );
}

/** ND 0.3 takes 0.3/log10(2) stops. */
const ND_STOPS = 0.3 / Math.log10(2);

function pick<T extends { id: string }>(list: readonly T[] | undefined, id: string, use: (item: T) => unknown): void {
  const item = list?.find((one) => one.id === id);
  if (item !== undefined) use(item);
}

const withOwn = <T extends { id: string }>(list: readonly T[] | undefined, own: T): readonly T[] =>
  list === undefined ? [own] : list.some((one) => one.id === own.id) ? list : [own, ...list];

function parseMass(text: string): ReturnType<typeof parseLength> {
  const match = /^\s*(\d+(?:[.,]\d+)?)\s*(?:kg)?\s*$/.exec(text);
  const value = match?.[1] === undefined ? Number.NaN : Number(match[1].replace(",", "."));
  if (Number.isFinite(value) && value <= 200) return { ok: true, value: metres(value) };
  return {
    ok: false,
    faults: [
      {
        code: "bad-mass",
        what: `"${text}" is not a mass`,
        where: "mass",
        mend: "Write kilograms, such as 6 or 6.5 kg.",
      },
    ],
  };
}
