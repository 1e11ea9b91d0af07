/**
 * The exact scale under the printed marks. Av = 2·log2(N), N = 2^(Av/2); Tv = −log2(t), t in s;
 * EV = Av + Tv (APEX, ASA PH2.5-1960). The marks on lenses and meters are rounded; taken literally they are
 * wrong by up to 0.14 stop, so every mark is turned into its exact value before any arithmetic. Full marks
 * sit at 2^(k/2), half at 2^(k/4), third at 2^(k/6), tenths at 2^(k/20). Marks from f/1 to f/64 are the trade's;
 * those beyond are the exact values rounded (f/0.35, f/90 and f/180 as the trade writes them).
 */

import { roundHalfUp, superscript } from "./notation.ts";
import { type Ev, ev, type FNumber, fNumber, type Seconds, seconds } from "./unit.ts";

/** Av of an exact f-number, N > 0. */
export const avOfFNumber = (n: FNumber): Ev => ev(2 * Math.log2(n));
/** Exact f-number of an Av. */
export const fNumberOfAv = (av: Ev): FNumber => fNumber(2 ** (av / 2));
/** Tv of a time in s, t > 0. */
export const tvOfSeconds = (t: Seconds): Ev => ev(-Math.log2(t));
/** Time in s of a Tv. */
export const secondsOfTv = (tv: Ev): Seconds => seconds(2 ** -tv);
/** Exposure value log2(N²/t). */
export const evOfExposure = (n: FNumber, t: Seconds): Ev => ev(avOfFNumber(n) + tvOfSeconds(t));

/** How fine a scale is marked. */
export type ScaleStep = "full" | "half" | "third" | "tenth";

/** Positions per stop. */
export const STEPS_PER_STOP: Readonly<Record<ScaleStep, number>> = { full: 1, half: 2, third: 3, tenth: 10 };

/** A printed mark and the exact place that it stands for. */
export interface Mark {
  readonly label: string;
  readonly av: Ev;
}

/** The lowest and highest full-stop marks that a reading may stand on: f/0.35 and f/256. */
export const LOWEST_FULL = -3;
export const HIGHEST_FULL = 16;

// Each list starts at Av = LOWEST_FULL.
const FULL = "0.35 0.5 0.7 1.0 1.4 2.0 2.8 4.0 5.6 8.0 11 16 22 32 45 64 90 128 180 256".split(" ");
const HALF = (
  "0.35 0.42 0.5 0.59 0.7 0.84 1.0 1.2 1.4 1.7 2.0 2.4 2.8 3.3 4.0 4.8 5.6 6.7 8.0 9.5 11 13 16 19 22 27 32 38 45 54 " +
  "64 76 90 108 128 152 180 215 256"
).split(" ");
const THIRD = (
  "0.35 0.4 0.45 0.5 0.56 0.63 0.7 0.8 0.9 1.0 1.1 1.2 1.4 1.6 1.8 2.0 2.2 2.5 2.8 3.2 3.5 4.0 4.5 5.0 5.6 6.3 7.1 8.0 " +
  "9.0 10 11 13 14 16 18 20 22 25 29 32 36 40 45 51 57 64 72 81 90 102 114 128 144 161 180 203 228 256"
).split(" ");

/**
 * The marks of a scale, low to high. Tenths have no printed marks; they are labelled by the full mark below
 * and a raised digit.
 */
export function apertureMarks(step: ScaleStep): readonly Mark[] {
  return MARKS[step];
}

/** The full-stop mark at Av = `full` (an integer), "5.6" for 5; computed to two digits off the end of the printed scale. */
export function fullMarkLabel(full: number): string {
  const label = FULL[full - LOWEST_FULL];
  if (label !== undefined) return label;
  const exact = 2 ** (full / 2);
  return exact < 1 ? String(Number(exact.toPrecision(2))) : String(Math.round(exact));
}

/** The mark of `step` that is nearest to `av`; a tie goes up. Off the end of the scale it is the last mark. */
export function nearestMark(av: Ev, step: ScaleStep): Mark {
  if (Number.isNaN(av)) throw new RangeError("Av must be a number");
  const marks = MARKS[step];
  const index = roundHalfUp((av - LOWEST_FULL) * STEPS_PER_STOP[step]);
  return marks[Math.min(Math.max(index, 0), marks.length - 1)] as Mark;
}

/**
 * The mark that a typed number names on this scale, or null. "1.2" and "13" name different places on the third
 * and half scales, which is why the scale is always said. On the tenth scale only full stops have a number.
 */
export function markNamed(nominal: number, step: ScaleStep): Mark | null {
  return MARKS[step === "tenth" ? "full" : step].find((mark) => Number(mark.label) === nominal) ?? null;
}

const listMarks = (labels: readonly string[], perStop: number): readonly Mark[] =>
  labels.map((label, k) => ({ label, av: ev((LOWEST_FULL * perStop + k) / perStop) }));

const tenthMarks = (): readonly Mark[] =>
  FULL.flatMap((label, k) =>
    Array.from({ length: 10 }, (_, tenth) => ({
      label: tenth === 0 ? label : label + superscript(tenth),
      av: ev(((LOWEST_FULL + k) * 10 + tenth) / 10),
    })),
  );

const MARKS: Readonly<Record<ScaleStep, readonly Mark[]>> = {
  full: listMarks(FULL, 1),
  half: listMarks(HALF, 2),
  third: listMarks(THIRD, 3),
  tenth: tenthMarks(),
};
