/**
 * What there is to say about one light: its prediction alone, the dial that meets its target, its reach, the
 * turn from its newest reading, its softness, how far the sitter may lean. Lean: the distance along the
 * light's axis that changes the straight light by a tenth and a third of a stop, solved on the real front.
 */

import { apparentSolidAngle, leanForChange } from "../photometry/index.ts";
import {
  type Light,
  latestReading,
  type Reading,
  type Setup,
  targetAv,
  targetWords,
  toleranceOf,
} from "../setup/index.ts";
import { stops } from "../units/index.ts";
import { type Kept, keep } from "./kept.ts";
import { believedAv, type Engine, predictAlone } from "./predict.ts";
import { type Lit, spotOf } from "./scene.ts";
import { outputOfDial, outputRange, type TurnQuestion, turnFor } from "./turn.ts";
import type { LightReport, Predicted, Turn } from "./types.ts";

/** A light's report before the ways out and the comparison with the main are known. */
export type OwnReport = Omit<LightReport, "waysOut" | "underMainStops" | "underMainMeteredStops">;

type Lean = LightReport["lean"];

/** Everything about one light that does not need the others. */
export function ownReport(engine: Engine, leans: LeanMemory, setup: Setup, lit: Lit): OwnReport {
  const { light, front } = lit;
  const scene = engine.sceneOf(setup);
  const spot = spotOf(scene, light.meterAt, lit, engine.scenes);
  const predicted = predictAlone(engine, setup, lit, light.meterAt);
  const goal = targetAv(setup, light);
  const toleranceStops = toleranceOf(light);
  const reading = latestReading(setup, light.id);
  const readingAv = reading === null ? null : believedAv(setup, reading);
  const solidAngleSr = apparentSolidAngle(front, spot.position);
  const own = ownAv(predicted);
  const range = outputRange(light.head);
  const now = outputOfDial(light.head, light.dialStops);
  const reachAt = (output: number): number | null => (own === null ? null : withAmbient(own + output - now, predicted));
  return {
    lightId: light.id,
    tag: light.tag,
    role: light.role,
    predicted,
    targetAv: goal,
    targetWords: targetWords(setup, light),
    toleranceStops,
    plan: planTurn(light, predicted, goal, toleranceStops),
    reach: { lowestAv: reachAt(range.lowest), fullAv: reachAt(range.full) },
    reading,
    readingAv,
    turn: reading === null || readingAv === null ? null : turnFromReading(setup, lit, reading, predicted),
    solidAngleSr,
    solidAnglePercent: (100 * solidAngleSr) / (4 * Math.PI),
    lean: leans.get(`${scene.spotsId} ${spot.key} ${lit.frontId}`, () => leanOf(lit, spot)),
  };
}

export type LeanMemory = Kept<Lean>;
export const leanMemory = (): LeanMemory => keep(500);

/** The turn from the plan: the dial that brings the prediction to its goal. */
export function planTurn(light: Light, predicted: Predicted, goalAv: number, toleranceStops: number): Turn {
  const wantedStops = wantedChange(predicted, goalAv);
  return turnFor({ light, wantedStops, toleranceStops, from: "plan", ...residual(predicted.av, goalAv, predicted) });
}

/** What stays of a reading that holds ambient light, which no dial turns. */
function residual(av: number | null, goalAv: number, predicted: Predicted): Pick<TurnQuestion, "residualAfter"> {
  const ambient = ambientOf(predicted);
  if (ambient === 0 || av === null) return {};
  const own = Math.max(0, 2 ** av - ambient);
  return { residualAfter: (change) => Math.log2(own * 2 ** change + ambient) - goalAv };
}

/** The turn that a reading asks for: target − reading, from where the dial stands now. */
export function turnFromReading(setup: Setup, lit: Lit, reading: Reading, predicted: Predicted): Turn {
  const { light } = lit;
  const metered = believedAv(setup, reading);
  const goal = targetAv(setup, light);
  // A dial turned since the reading has moved the light by what that turn gives.
  const readAt = reading.dialStops ?? light.dialStops;
  const turned = outputOfDial(light.head, light.dialStops) - outputOfDial(light.head, readAt);
  const change = stopsBetween(metered, goal, ambientOf(predicted));
  const wantedStops = change === null ? null : change - turned;
  const turn = turnFor({
    light,
    wantedStops,
    toleranceStops: toleranceOf(light),
    from: "reading",
    ...residual(metered + turned, goal, predicted),
  });
  // Nobody has read the light since it was turned: it is expected to be met, not met.
  if (turn.state === "met" && Math.abs(turned) > 0.01) return { ...turn, state: "planned", words: "read again" };
  return turn;
}

/** Change of the light's own output that takes the prediction to a goal, stops; null when it is dark or ambient alone is over. */
export function wantedChange(predicted: Predicted, goalAv: number): number | null {
  const own = ownAv(predicted);
  if (own === null) return null;
  const wanted = 2 ** goalAv - ambientOf(predicted);
  return wanted > 0 ? Math.max(MOST_DOWN_STOPS, Math.log2(wanted) - own) : MOST_DOWN_STOPS;
}

/** Asked of a light where ambient alone is over the goal: farther down than any dial. */
const MOST_DOWN_STOPS = -20;

/** Av of a light's own ways, ambient left out. */
export function ownAv(predicted: Predicted): number | null {
  if (predicted.av === null) return null;
  const own = 2 ** predicted.av - ambientOf(predicted);
  return own > 0 ? Math.log2(own) : null;
}

function stopsBetween(fromAv: number, toAv: number, ambient: number): number | null {
  if (ambient === 0) return toAv - fromAv;
  const [from, to] = [2 ** fromAv - ambient, 2 ** toAv - ambient];
  if (!(from > 0)) return null;
  return to > 0 ? Math.max(MOST_DOWN_STOPS, Math.log2(to / from)) : MOST_DOWN_STOPS;
}

/** 2^Av of the ambient part of a prediction; 0 without one. */
function ambientOf(predicted: Predicted): number {
  const { ledger } = predicted;
  if (ledger.kind !== "sum") return 0;
  const part = ledger.parts.find(({ label }) => label === "ambient");
  return part?.av === null || part === undefined ? 0 : 2 ** part.av;
}

const withAmbient = (av: number, predicted: Predicted): number => Math.log2(2 ** av + ambientOf(predicted));

function leanOf(
  lit: Lit,
  spot: {
    readonly position: Parameters<typeof leanForChange>[1];
    readonly axis: Parameters<typeof leanForChange>[2];
    readonly receptor: "dome" | "disc";
  },
): Lean {
  const by = (change: number): { awayM: number; towardM: number } => {
    const lean = leanForChange(lit.front, spot.position, spot.axis, { kind: spot.receptor }, stops(change));
    const reach = Math.hypot(...lit.front.centre.map((c, i) => c - (spot.position[i] ?? 0)));
    return { awayM: lean?.awayM ?? 0, towardM: lean === null ? 0 : (lean.towardM ?? reach) };
  };
  const [tenth, third] = [by(0.1), by(1 / 3)];
  return { tenthTowardM: tenth.towardM, tenthAwayM: tenth.awayM, thirdTowardM: third.towardM, thirdAwayM: third.awayM };
}
