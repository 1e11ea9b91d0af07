/**
 * Lighting ratios. Only stops under are ever stored; the two conventions of the trade are views of them:
 * light-to-light 2ⁿ : 1 (each light read alone), and lit side to shadow side (2ⁿ + 1) : 1, true when the
 * fill reaches both sides alike and nothing else lights the shadow. Room light counts as fill.
 */

import type { Stops } from "../units/index.ts";
import { stops } from "../units/index.ts";

/** 2ⁿ for a fill n stops under the main. */
export const lightToLight = (under: Stops): number => 2 ** under;
/** n of a light-to-light ratio. */
export const stopsOfLightToLight = (ratio: number): Stops => stops(Math.log2(ratio));
/** 2ⁿ + 1. */
export const litToShadow = (under: Stops): number => 2 ** under + 1;
/** n of a lit-to-shadow ratio R > 1: log2(R − 1). −Infinity at 1:1 (no main), NaN below. */
export const stopsOfLitToShadow = (ratio: number): Stops => stops(Math.log2(ratio - 1));
/** Stops that a light n under adds to the main on the same patch: log2(1 + 2⁻ⁿ). */
export const addedToMain = (under: Stops): Stops => stops(Math.log2(1 + 2 ** -under));

/** Stops added to the main by several lights on the same patch, each so many stops under. */
export function addedByAll(unders: readonly Stops[]): Stops {
  let sum = 1;
  for (const under of unders) sum += 2 ** -under;
  return stops(Math.log2(sum));
}

/** Lit to shadow from exposures on one scale: (main + fill)/fill, room light counted in the fill. */
export const litToShadowOf = (main: number, fillWithRoom: number): number => (main + fillWithRoom) / fillWithRoom;
