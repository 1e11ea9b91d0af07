/**
 * How far apart two whites are, and whether that shows. Steps are circles of radius n·0.0011 in CIE 1976
 * (u′, v′) (CIE TN 001:2014; the factor from memory). Limits: common practice, no source.
 */

import { type Mired, mired } from "../units/index.ts";
import { uvPrimeOfXy } from "./chromaticity.ts";
import type { WhitePoint } from "./gel.ts";
import { xyOfWhite } from "./locus.ts";

export interface WhiteDifference {
  /** Second minus first; positive is warmer. */
  readonly mired: Mired;
  /** Second minus first; positive is greener. */
  readonly duv: number;
  readonly steps: number;
}

export function whiteDifference(first: WhitePoint, second: WhitePoint): WhiteDifference {
  const a = uvPrimeOfXy(xyOfWhite(first.kelvin, first.duv));
  const b = uvPrimeOfXy(xyOfWhite(second.kelvin, second.duv));
  return {
    mired: mired(1e6 / second.kelvin - 1e6 / first.kelvin),
    duv: second.duv - first.duv,
    steps: Math.hypot(a.u - b.u, a.v - b.v) / 0.0011,
  };
}

/**
 * Whether two lights pass as one colour. Lights that meet on the face: within 10 mired and 0.003 Duv, or
 * within 3 steps; lights that separate (hair, edge, backdrop): within 25 mired.
 */
export function whitesMatch(difference: WhiteDifference, use: "face" | "separation"): boolean {
  if (use === "separation") return Math.abs(difference.mired) <= 25;
  if (difference.steps <= 3) return true;
  return Math.abs(difference.mired) <= 10 && Math.abs(difference.duv) <= 0.003;
}
