/**
 * The room as a light of its own: what walls, ceiling and floor give back at the shadow cheek with all lights
 * on and every one shaded from the meter, against the same room without its black panels; and the most lit
 * to shadow that it allows with the fill at its target and the main fully blocked from the shadow. A counted
 * shaded reading outranks the model. Radiosity after Goral et al. 1984; reflectances are assumed, so half a
 * stop either way.
 */

import { type Setup, targetAv } from "../setup/index.ts";
import { addedAv, sumOf } from "./ledger.ts";
import { ownAv, wantedChange } from "./light-report.ts";
import {
  type ALL_WAYS,
  aloneAt,
  ambientParts,
  type Engine,
  lightParts,
  litLights,
  predictAlone,
  ROOM_READ_SIGMA_STOPS,
  roomReadStops,
  shadedLight,
} from "./predict.ts";
import { ratioWords } from "./ratios.ts";
import { roomPlace, roomReading } from "./room-reading.ts";
import { type Lit, spotOf } from "./scene.ts";
import type { Ledger, RoomReport } from "./types.ts";

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
  const reading = roomReading(setup);
  const read = roomReadStops(engine, setup);
  // What the reading corrects in the room as it is, it corrects in the bare room as well.
  if (bare !== setup) engine.roomRead.set(bare, read);
  const ledger = roomLedger(engine, setup);
  const bareLedger = bare === setup ? ledger : roomLedger(engine, bare);
  const { av } = ledger;
  const metered = read !== null;
  const panelsTakeStops = av === null || bareLedger.av === null ? 0 : bareLedger.av - av;
  const { rest } = shadedLight(engine, setup);
  const shows = rest + (av === null ? 0 : 2 ** av);
  return {
    av,
    readsAv: shows > 0 ? Math.log2(shows) : null,
    underWorkingStops: av === null ? null : setup.exposure.apertureAv - av,
    sigmaStops: metered ? ROOM_READ_SIGMA_STOPS : ledger.sigmaStops,
    bareAv: bareLedger.av,
    panelsTakeStops,
    mostLitToShadow: {
      bare: mostWords(engine, bare, changes, metered),
      now: mostWords(engine, setup, changes, metered),
    },
    restsOn: metered ? "metered" : "assumed",
    reading,
  };
}

/** Walls, ceiling and floor at the shadow cheek, all lights that are on. */
function roomLedger(engine: Engine, setup: Setup): Ledger {
  const scene = engine.sceneOf(setup);
  const spot = spotOf(scene, roomPlace(setup), null, engine.scenes);
  const choice = { direct: false, panels: false, room: true, ambient: false };
  const parts = litLights(scene, null).flatMap((lit) => {
    const ways = lightParts(engine, scene, lit, spot, choice);
    return ways.length > 0 ? [sumOf(lit.light.tag, ways)] : [];
  });
  return sumOf("the room", parts);
}

/** (main + shadow)/shadow, shadow = fill at its target + everything's room light + what burns there, dome to the camera at the nose. */
function mostWords(engine: Engine, setup: Setup, changes: TargetChanges, metered: boolean): string {
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
    room += atTarget(lit, around);
  }
  const burns = addedAv(ambientParts(scene, spot));
  const ambient = burns === null ? 0 : 2 ** burns;
  const shadow = fill + room + ambient;
  if (!(main > 0)) return "no main";
  if (!(shadow > 0)) return "no limit";
  return ratioWords(
    Math.log2((main + shadow) / shadow),
    metered ? ROOM_READ_SIGMA_STOPS : sigmaOf(shadow, room, ambient),
  );
}

/** The room's part is unsure by half a stop, what was read by a tenth; the fill stands at its target. */
const sigmaOf = (shadow: number, room: number, ambient: number): number =>
  Math.hypot(0.5 * room, ROOM_READ_SIGMA_STOPS * ambient) / shadow;

/** Without black panels: cards stay, they were put there for their light. */
export function bareOf(setup: Setup): Setup {
  const panels = setup.panels.filter(({ role }) => role !== "flag");
  return panels.length === setup.panels.length ? setup : { ...setup, panels };
}
