/**
 * Ratios in words. The trade uses two conventions, light to light (2ⁿ : 1, each light alone) and lit side to
 * shadow side; a ratio always says which, and never shows more digits than it knows: "8:1", "6.6:1",
 * "about 11:1". Stops are the only form kept.
 */

import type { RatioReport } from "./types.ts";

/** Beyond this error bar (stops, 1σ) one decimal of a ratio says more than anybody knows. */
const DECIMAL_SIGMA_STOPS = 0.1;
/** Rounding that changes the ratio by more than this is owned up to. */
const HONEST_ROUNDING = 0.015;

/**
 * "8:1" for 3 stops; "1:2" when the first is the weaker. One decimal below 10 where the error bar allows it,
 * else whole numbers, from 100 on two figures; "about" where rounding or the error bar makes it so.
 * `sigmaStops` is the standard deviation of `stops` (0 for a wish).
 */
export function ratioWords(stops: number, sigmaStops: number): string {
  const ratio = 2 ** Math.abs(stops);
  const shown = shownRatio(ratio, sigmaStops);
  const rough = sigmaStops > DECIMAL_SIGMA_STOPS || Math.abs(Number(shown) / ratio - 1) > HONEST_ROUNDING;
  const words = stops >= 0 || shown === "1" ? `${shown}:1` : `1:${shown}`;
  return rough ? `about ${words}` : words;
}

/** What is known about a ratio before it is put in words; null stops: one side is dark or unknown. */
export interface RatioInput {
  readonly name: string;
  readonly convention: RatioReport["convention"];
  readonly stops: number | null;
  readonly sigmaStops: number;
  readonly meteredStops: number | null;
  readonly meteredSigmaStops: number;
  readonly atTargetStops: number | null;
  /** 0 where the target is a wish; the geometry's error bar where it was computed. */
  readonly atTargetSigmaStops: number;
}

/** The three views of one ratio: predicted, metered, at the targets. */
export function ratioReport(input: RatioInput): RatioReport {
  const words = (stops: number | null, sigma: number): string | null =>
    stops === null ? null : ratioWords(stops, sigma);
  return {
    name: input.name,
    convention: input.convention,
    stops: input.stops,
    words: words(input.stops, input.sigmaStops) ?? "no ratio: one side is dark",
    meteredStops: input.meteredStops,
    meteredWords: words(input.meteredStops, input.meteredSigmaStops),
    atTargetStops: input.atTargetStops,
    atTargetWords: words(input.atTargetStops, input.atTargetSigmaStops),
  };
}

function shownRatio(ratio: number, sigmaStops: number): string {
  if (ratio >= 99.5) return String(Number(ratio.toPrecision(2)));
  if (ratio >= 9.95 || sigmaStops > DECIMAL_SIGMA_STOPS) return String(Math.round(ratio));
  return String(Math.round(ratio * 10) / 10);
}
