/**
 * From a wanted change to a turn of the dial: what a head really gives at a dial position (its measured
 * table where one was learned), the position that comes nearest, what stays, and how it is said. Order of
 * words as called across a set: "down 1.6". Δ = target − reading; dial' = nearest position to dial + Δ.
 * All in stops relative to full (≤ 0).
 */

import type { DialPoint, Head, Light } from "../setup/index.ts";
import { dialRange, printDial, quantiseDial, stops } from "../units/index.ts";
import type { Turn, TurnState } from "./types.ts";

/** What a dial position gives, stops below full: the measured table, straight between its points, its end offsets beyond. */
export function outputOfDial(head: Pick<Head, "dialTable">, dialStops: number): number {
  return through(
    head.dialTable,
    dialStops,
    (p) => p.dialStops,
    (p) => p.measuredStops,
  );
}

/** The dial, not yet quantised, that gives so many stops below full. */
export function dialOfOutput(head: Pick<Head, "dialTable">, outputStops: number): number {
  return through(
    head.dialTable,
    outputStops,
    (p) => p.measuredStops,
    (p) => p.dialStops,
  );
}

/** The position of this head that comes nearest to an output. */
export interface Reached {
  readonly dialStops: number;
  /** Reached minus wanted: over positive, short negative. */
  readonly residualStops: number;
  readonly atLowest: boolean;
  readonly atFull: boolean;
}

/** The nearest dial position to a wanted output, stops below full. */
export function reachOutput(head: Head, wantedStops: number): Reached {
  const position = quantiseDial(head.dial, stops(dialOfOutput(head, wantedStops)));
  return {
    dialStops: position.stops,
    residualStops: outputOfDial(head, position.stops) - wantedStops,
    atLowest: position.atLowest,
    atFull: position.atFull,
  };
}

/** Output at the two ends of the dial. */
export function outputRange(head: Head): { readonly lowest: number; readonly full: number } {
  const { lowest, full } = dialRange(head.dial);
  return { lowest: outputOfDial(head, lowest), full: outputOfDial(head, full) };
}

/** Reading tenths: a difference this small is none. */
const NOTHING_STOPS = 0.05;
/** Tolerances are met by readings in tenths, whose differences carry rounding noise. */
const EXACT = 1e-6;

/** What a turn is about. */
export interface TurnQuestion {
  readonly light: Pick<Light, "head" | "dialStops">;
  /** Wanted change of the light, stops: target minus reading; null when the light is dark, so that no dial helps. */
  readonly wantedStops: number | null;
  readonly toleranceStops: number;
  /** From a reading (met is possible) or from the plan. */
  readonly from: "reading" | "plan";
  /** Reading minus target once the light has changed by so many stops; without it the light is all there is. */
  readonly residualAfter?: (changeStops: number) => number;
}

/** What to do at the head. */
export function turnFor({ light, wantedStops, toleranceStops, from, residualAfter }: TurnQuestion): Turn {
  const { head, dialStops } = light;
  const dialFrom = printDial(stops(dialStops), head.dial);
  if (wantedStops === null) {
    const still = { stops: 0, dialFromStops: dialStops, dialToStops: dialStops, dialFrom, dialTo: dialFrom };
    return { ...still, state: "short", residualStops: 0, dumpPop: false, words: "no light reaches the meter" };
  }
  const met = from === "reading" && Math.abs(wantedStops) <= toleranceStops + EXACT;
  const now = outputOfDial(head, dialStops);
  const reached = met
    ? { dialStops, residualStops: 0 - wantedStops, atLowest: false, atFull: false }
    : reachReading(head, now, wantedStops, residualAfter);
  const state = met ? "met" : stateOf(reached, dialStops, toleranceStops, from);
  return {
    state,
    stops: wantedStops,
    dialFromStops: dialStops,
    dialToStops: reached.dialStops,
    dialFrom,
    dialTo: printDial(stops(reached.dialStops), head.dial),
    residualStops: reached.residualStops,
    dumpPop: head.kind === "flash" && reached.dialStops < dialStops - EXACT,
    words: wordsOf(state, wantedStops, reached.residualStops),
  };
}

/** The nearest dial, what stays counted in the reading: ambient light does not turn with the dial. */
function reachReading(head: Head, now: number, wanted: number, residualAfter: TurnQuestion["residualAfter"]): Reached {
  const reached = reachOutput(head, now + wanted);
  if (!residualAfter) return reached;
  return { ...reached, residualStops: residualAfter(outputOfDial(head, reached.dialStops) - now) };
}

function stateOf(reached: Reached, dialStops: number, tolerance: number, from: TurnQuestion["from"]): TurnState {
  const inside = Math.abs(reached.residualStops) <= tolerance + EXACT;
  const turns = Math.abs(reached.dialStops - dialStops) > EXACT;
  if (!inside && reached.atLowest && reached.residualStops > 0) return "over";
  if (!inside && reached.atFull && reached.residualStops < 0) return "short";
  if (from === "plan") return inside ? "planned" : "as-close";
  return turns ? "turn" : "as-close";
}

/** "down 0.7", "met", "0.4 over", "as close as this head goes". */
function wordsOf(state: TurnState, wanted: number, residual: number): string {
  switch (state) {
    case "met":
      return "met";
    case "over":
      return `${Math.abs(residual).toFixed(1)} over`;
    case "short":
      return `${Math.abs(residual).toFixed(1)} short`;
    case "as-close":
      return "as close as this head goes";
    case "planned":
      return Math.abs(wanted) < NOTHING_STOPS ? "planned" : changeWords(wanted);
    case "turn":
      return changeWords(wanted);
  }
}

/** "down 1.6", "up 0.3". */
export const changeWords = (wanted: number): string => `${wanted < 0 ? "down" : "up"} ${Math.abs(wanted).toFixed(1)}`;

/** A piecewise line through measured points; beyond its ends, and without points, one stop for one. */
function through(
  table: readonly DialPoint[],
  x: number,
  from: (point: DialPoint) => number,
  to: (point: DialPoint) => number,
): number {
  if (table.length === 0) return x;
  const points = [...table].sort((a, b) => from(a) - from(b));
  const [first, last] = [points[0] as DialPoint, points[points.length - 1] as DialPoint];
  if (x <= from(first)) return to(first) + x - from(first);
  if (x >= from(last)) return to(last) + x - from(last);
  const i = points.findIndex((point) => from(point) >= x);
  const [a, b] = [points[i - 1] as DialPoint, points[i] as DialPoint];
  return to(a) + ((to(b) - to(a)) * (x - from(a))) / (from(b) - from(a));
}
