/**
 * The room as a light of its own: what walls, ceiling and floor give back at the shadow cheek with all lights
 * on and every one shaded from the meter, against the same room without its black panels; and the most lit
 * to shadow that it allows with the fill at its target and the main fully blocked from the shadow. A counted
 * shaded reading outranks the model. Radiosity after Goral et al. 1984; reflectances are assumed, so half a
 * stop either way.
 */

import { type Setup, shadowCheek, targetAv } from "../setup/index.ts";
import { sumOf } from "./ledger.ts";
import { ownAv, wantedChange } from "./light-report.ts";
import { type ALL_WAYS, aloneAt, believedAv, type Engine, lightParts, litLights, predictAlone } from "./predict.ts";
import { ratioWords } from "./ratios.ts";
import { type Lit, spotOf } from "./scene.ts";
import { togetherReading } from "./together.ts";
import type { Ledger, RoomReport } from "./types.ts";

/** Stops of the room's bead: the half stop of the model, or a reading's own. */
const READ_SIGMA_STOPS = 0.1;

/** Each light's changes to its target, stops; null for a light that is dark at its own meter place. */
export type TargetChanges = ReadonlyMap<string, number | null>;

export function targetChanges(engine: Engine, setup: Setup): TargetChanges {
  const scene = engine.sceneOf(setup);
  return new Map(
    [...scene.lights.values()].map((lit) => {
      const predicted = predictAlone(engine, setup, lit, lit.light.meterAt);
      return [lit.light.id, wantedChange(predicted, targetAv(setup, lit.light))];
    }),
  );
}

/** The room's report. */
export function roomReport(engine: Engine, setup: Setup, bare: Setup, changes: TargetChanges): RoomReport {
  const place = {
    point: setup.subject.kind === "person" ? shadowCheek(setup) : "nose",
    receptor: "dome",
    aim: "camera",
  } as const;
  const on = setup.lights.filter((light) => light.on).map(({ id }) => id);
  const ledger = roomLedger(engine, setup);
  const bareLedger = bare === setup ? ledger : roomLedger(engine, bare);
  const reading = togetherReading(setup, "room", { place, shaded: on });
  const av = reading === null ? ledger.av : believedAv(setup, reading);
  const panelsTakeStops = ledger.av === null || bareLedger.av === null ? 0 : bareLedger.av - ledger.av;
  // What the reading corrects in the room as it is, it corrects in the bare room as well.
  const correction = av === null || ledger.av === null ? 0 : av - ledger.av;
  return {
    av,
    underWorkingStops: av === null ? null : setup.exposure.apertureAv - av,
    sigmaStops: reading === null ? ledger.sigmaStops : READ_SIGMA_STOPS,
    bareAv: bareLedger.av === null ? null : bareLedger.av + correction,
    panelsTakeStops,
    mostLitToShadow: {
      bare: mostWords(engine, bare, correction, changes, reading !== null),
      now: mostWords(engine, setup, correction, changes, reading !== null),
    },
    restsOn: reading === null ? "assumed" : "metered",
    reading,
  };
}

/** Walls, ceiling and floor at the shadow cheek, all lights that are on. */
function roomLedger(engine: Engine, setup: Setup): Ledger {
  const scene = engine.sceneOf(setup);
  const point = setup.subject.kind === "person" ? shadowCheek(setup) : "nose";
  const spot = spotOf(scene, { point, receptor: "dome", aim: "camera" }, null, engine.scenes);
  const choice = { direct: false, panels: false, room: true, ambient: false };
  const parts = litLights(scene, null).flatMap((lit) => {
    const ways = lightParts(engine, scene, lit, spot, choice);
    return ways.length > 0 ? [sumOf(lit.light.tag, ways)] : [];
  });
  return sumOf("the room", parts);
}

/** (main + shadow)/shadow, shadow = fill at its target + everything's room light, dome to the camera at the nose. */
function mostWords(engine: Engine, setup: Setup, correction: number, changes: TargetChanges, metered: boolean): string {
  const scene = engine.sceneOf(setup);
  const spot = spotOf(scene, { point: "nose", receptor: "dome", aim: "camera" }, null, engine.scenes);
  const atTarget = (lit: Lit, ways: typeof ALL_WAYS): number => {
    const av = ownAv(aloneAt(engine, scene, lit, spot, { ...ways, ambient: false }));
    const change = changes.get(lit.light.id);
    return av === null || change === null || change === undefined ? 0 : 2 ** (av + change);
  };
  const straight = { direct: true, panels: true, room: false, ambient: false };
  const around = { direct: false, panels: false, room: true, ambient: false };
  let [main, fill, room] = [0, 0, 0];
  for (const lit of litLights(scene, null)) {
    if (lit.light.role === "main") main += atTarget(lit, straight);
    if (lit.light.role === "fill" || lit.light.role === "card") fill += atTarget(lit, straight);
    room += atTarget(lit, around) * 2 ** correction;
  }
  const shadow = fill + room;
  if (!(main > 0)) return "no main";
  if (!(shadow > 0)) return "no limit";
  return ratioWords(Math.log2((main + shadow) / shadow), metered ? 0.1 : sigmaOf(fill, room));
}

/** Only the room's part is unsure by half a stop. */
const sigmaOf = (fill: number, room: number): number => (0.5 * room) / (fill + room);

/** Without black panels: cards stay, they were put there for their light. */
export function bareOf(setup: Setup): Setup {
  const panels = setup.panels.filter(({ role }) => role !== "flag");
  return panels.length === setup.panels.length ? setup : { ...setup, panels };
}
