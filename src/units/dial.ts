/**
 * The dials of flash heads and lamps: how each head writes its power, and how far below full that is.
 * Inside the program a dial is always stops relative to full, 0 or less; the head's own notation exists
 * only at the edges (dial-notation.ts). fraction: log2 of it; watt-seconds: log2(W / full); number: value − top;
 * percent: log2(p/100) only if the head is linear, otherwise a measured table. Conventions: common practice, no
 * published source.
 */

import { roundHalfUp } from "./notation.ts";
import { type Fault, failure, fault, type Result, success } from "./result.ts";
import { type Stops, stops } from "./unit.ts";

/** How one head counts its power. `lowestStops` is relative to full, so it is 0 or less. */
export type DialScale =
  | { readonly kind: "fraction"; readonly lowestStops: number; readonly stepStops: number /* 0.1 or 1/3 */ }
  | { readonly kind: "below-full"; readonly lowestStops: number; readonly stepStops: number }
  | { readonly kind: "number"; readonly top: number; readonly lowestStops: number; readonly stepStops: number }
  | { readonly kind: "watt-seconds"; readonly fullWs: number; readonly lowestStops: number; readonly stepStops: number }
  | {
      readonly kind: "percent";
      readonly lowestPercent: number;
      readonly stepPercent: number;
      /** Measured light of this head: stops relative to full at each percent. Without it the dial counts as linear. */
      readonly table?: readonly (readonly [percent: number, stops: number])[];
    };

/** A position that the head can stand at. */
export interface DialPosition {
  readonly stops: Stops;
  readonly atLowest: boolean;
  readonly atFull: boolean;
  /** Wanted minus reached, stops: within half a step, or all that is out of reach. */
  readonly residual: Stops;
}

/** The two ends of a dial, stops relative to full. */
export function dialRange(scale: DialScale): { readonly lowest: Stops; readonly full: Stops } {
  return { lowest: positionAt(scale, lastIndex(scale)), full: stops(0) };
}

/** Every position from full down to the lowest. */
export function dialSteps(scale: DialScale): readonly Stops[] {
  return Array.from({ length: lastIndex(scale) + 1 }, (_, index) => positionAt(scale, index));
}

/**
 * The position nearest to the wanted stops, a tie going up, held between lowest and full. ±Infinity are the ends.
 * Throws RangeError on NaN. No list is built, so it is cheap enough to call while a bead is dragged.
 */
export function quantiseDial(scale: DialScale, wanted: Stops): DialPosition {
  if (Number.isNaN(wanted)) throw new RangeError("The wanted dial must be a number");
  const last = lastIndex(scale);
  let index = Math.min(Math.max(Math.floor(indexNear(scale, wanted)), 0), last);
  // The floor is one of the two neighbours; the lower neighbour wins only when strictly nearer.
  if (index < last) {
    const [above, below] = [positionAt(scale, index), positionAt(scale, index + 1)];
    if (wanted - below < above - wanted - 1e-9) index += 1;
  }
  const reached = positionAt(scale, index);
  return { stops: reached, atLowest: index === last, atFull: index === 0, residual: stops(wanted - reached) };
}

/** Percent to stops relative to full: the measured table, straight between its points in log2(percent); linear light without one. */
export function stopsOfPercent(percent: number, table: DialTable | undefined): Stops {
  const [from, to] = segment(table, (point) => percent <= point[0]);
  const slope = (to[1] - from[1]) / Math.log2(to[0] / from[0]);
  return stops(from[1] + slope * Math.log2(percent / from[0]) + 0);
}

/** The inverse of `stopsOfPercent`. */
export function percentOfStops(below: Stops, table: DialTable | undefined): number {
  const [from, to] = segment(table, (point) => below <= point[1]);
  const slope = (to[1] - from[1]) / Math.log2(to[0] / from[0]);
  return from[0] * 2 ** ((below - from[1]) / slope);
}

/** Percent and the stops relative to full measured there, rising. */
export type DialTable = readonly DialTablePoint[];
export type DialTablePoint = readonly [percent: number, stops: number];

/** More positions than any dial has. */
const MOST_POSITIONS = 1000;

/**
 * Whether a scale from a file describes a dial that can exist. Faults (all of them): dial-scale-range,
 * dial-scale-step, dial-scale-top, dial-scale-full, dial-scale-table. Every other function here trusts its scale.
 */
export function checkDialScale(scale: DialScale, where = "dial"): Result<DialScale> {
  const faults: Fault[] = [];
  const ask = (good: boolean, code: string, field: string, what: string, mend: string): void => {
    if (!good) faults.push(fault(code, what, `${where}.${field}`, mend));
  };
  if (scale.kind === "percent") {
    const { lowestPercent: lowest, stepPercent: step } = scale;
    ask(lowest > 0 && lowest <= 100, "dial-scale-range", "lowestPercent", `Lowest is ${lowest} %`, "Write 1 to 100.");
    ask(
      step >= 0.1 && step <= 50,
      "dial-scale-step",
      "stepPercent",
      `Step is ${step} %`,
      "Write a step from 0.1 to 50.",
    );
    faults.push(...tableFaults(scale.table ?? [], `${where}.table`));
  } else {
    const { lowestStops: lowest, stepStops: step } = scale;
    ask(
      lowest <= 0 && lowest >= -20,
      "dial-scale-range",
      "lowestStops",
      `Lowest is ${lowest} stops`,
      "Write -20 to 0.",
    );
    ask(step >= 0.1 && step <= 5, "dial-scale-step", "stepStops", `Step is ${step} stops`, "Write 0.1 or 1/3, say.");
  }
  if (scale.kind === "number") {
    ask(Math.abs(scale.top) <= 1000, "dial-scale-top", "top", `Top is ${scale.top}`, "Write the number at full power.");
  }
  if (scale.kind === "watt-seconds") {
    const good = scale.fullWs > 0 && scale.fullWs <= 100_000;
    ask(
      good,
      "dial-scale-full",
      "fullWs",
      `Full is ${scale.fullWs} Ws`,
      "Write the stored energy at full power, in Ws.",
    );
  }
  return faults.length > 0 ? failure(...faults) : success(scale);
}

function tableFaults(table: DialTable, where: string): readonly Fault[] {
  const mend = "Write rising percents up to 100 with rising stops up to 0.";
  return table.flatMap((point, row) => {
    const before = table[row - 1] ?? [0, Number.NEGATIVE_INFINITY];
    const [percent, below] = point;
    const rising = percent > before[0] && below > before[1];
    // Full is where the stops count from, so only 100 % stands at 0.
    const inside = Number.isFinite(below) && percent <= 100 && (percent === 100 ? below === 0 : below < 0);
    if (rising && inside) return [];
    return [
      fault("dial-scale-table", `${percent} % at ${below} stops does not rise to full`, `${where}[${row}]`, mend),
    ];
  });
}

/** The two points whose line holds a value; 100 % at 0 closes the table; below its first point light counts as linear. */
function segment(
  table: DialTable | undefined,
  reached: (point: DialTablePoint) => boolean,
): readonly [DialTablePoint, DialTablePoint] {
  const points: DialTablePoint[] = [...(table ?? []).filter(([percent]) => percent < 100), [100, 0]];
  const [percent, below] = points[0] ?? [100, 0];
  points.unshift([percent / 2, below - 1]);
  const found = points.findIndex((point, index) => index > 0 && reached(point));
  const upper = found < 0 ? points.length - 1 : found;
  return [points[upper - 1] as DialTablePoint, points[upper] as DialTablePoint];
}

/** A third written as 0.333 or 0.33 is a third: steps that divide a stop do so exactly. */
export function exactStep(step: number): { readonly perStop: number } | { readonly step: number } {
  const perStop = Math.round(1 / step);
  return perStop >= 1 && Math.abs(perStop * step - 1) < 0.02 ? { perStop } : { step };
}

const stepsDown = (stepStops: number, down: number): number => {
  const step = exactStep(stepStops);
  return "perStop" in step ? down * step.perStop : down / step.step;
};

/** Positions are counted from full, 0, downward; the lowest is one even where the steps miss it. */
function lastIndex(scale: DialScale): number {
  const count =
    scale.kind === "percent"
      ? (100 - scale.lowestPercent) / scale.stepPercent
      : stepsDown(scale.stepStops, -scale.lowestStops);
  return Math.min(Math.max(Math.ceil(count - 0.02), 0), MOST_POSITIONS);
}

function positionAt(scale: DialScale, index: number): Stops {
  if (index === 0) return stops(0);
  if (scale.kind === "percent") {
    const percent = Math.max(100 - index * scale.stepPercent, scale.lowestPercent);
    return stopsOfPercent(percent, scale.table);
  }
  const step = exactStep(scale.stepStops);
  const down = "perStop" in step ? index / step.perStop : index * step.step;
  // A lowest of -5.33 on a dial in thirds is -5 1/3: within a hundredth the step is believed.
  return stops(down > -scale.lowestStops + 0.01 ? scale.lowestStops : 0 - down);
}

/** Where the wanted stops fall between positions; the grace keeps a position that is a hair below from slipping. */
function indexNear(scale: DialScale, wanted: Stops): number {
  const index =
    scale.kind === "percent"
      ? (100 - percentOfStops(wanted, scale.table)) / scale.stepPercent
      : stepsDown(scale.stepStops, -wanted);
  return Math.abs(index - roundHalfUp(index)) < 1e-6 ? roundHalfUp(index) : index;
}
