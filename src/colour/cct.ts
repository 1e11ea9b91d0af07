/**
 * Correlated colour temperature and Duv of a chromaticity: the temperature of the nearest Planckian radiator
 * in CIE 1960 (u, v), and the signed distance to it, positive above the locus (green). Meaningful for
 * |Duv| < 0.05 only (CIE 15).
 *
 * `nearestPlanckian` searches the locus itself and is the reference; `robertson` interpolates the 31 lines
 * of Robertson 1968 and is quick; `mccamy` is McCamy's cubic of 1992, within 2 K near daylight and 15 K
 * elsewhere, without Duv.
 */

import { failure, fault, type Kelvin, kelvin, type Result, success } from "../units/index.ts";
import { type Uv, uvOfXy, type Xy } from "./chromaticity.ts";
import type { WhitePoint } from "./gel.ts";
import { greenNormal, planckianUv } from "./locus.ts";
import { isotherms } from "./robertson-table.ts";

const leastMired = 10;
const mostMired = 1000;
const farthestDuv = 0.05;

/** Search over 1000 to 100 000 K. Faults `colour-not-white`, `colour-no-chromaticity`. */
export function nearestPlanckian(xy: Xy, where = "chromaticity"): Result<WhitePoint> {
  if (!isChromaticity(xy)) return noChromaticity(where);
  const light = uvOfXy(xy);
  const squaredDistance = (reciprocal: number): number => {
    const { u, v } = planckianUv(kelvin(1e6 / reciprocal));
    return (u - light.u) ** 2 + (v - light.v) ** 2;
  };
  const [low, high] = coarseBracket(squaredDistance);
  const reciprocal = goldenSection(squaredDistance, low, high);
  const temperature = kelvin(1e6 / reciprocal);
  const duv = signedDistance(light, planckianUv(temperature), greenNormal(temperature));
  const atEnd = reciprocal < leastMired + 0.01 || reciprocal > mostMired - 0.01;
  return atEnd || Math.abs(duv) > farthestDuv ? notWhite(where) : success({ kelvin: temperature, duv });
}

/** Robertson's method, 1667 K upward. Faults as `nearestPlanckian`. */
export function robertson(xy: Xy, where = "chromaticity"): Result<WhitePoint> {
  if (!isChromaticity(xy)) return noChromaticity(where);
  const light = uvOfXy(xy);
  for (let i = 1; i < isotherms.length; i += 1) {
    const cool = isotherms[i - 1] as Isotherm;
    const warm = isotherms[i] as Isotherm;
    const before = distanceToIsotherm(light, cool);
    const after = distanceToIsotherm(light, warm);
    if (before < 0 === after < 0) continue;
    // Between the two lines the temperature goes with the share of the distance, linear in mired.
    const share = before / (before - after);
    const blend = (pick: 0 | 1 | 2): number => cool[pick] + (warm[pick] - cool[pick]) * share;
    const foot = { u: blend(1), v: blend(2) };
    const duv = Math.hypot(light.u - foot.u, light.v - foot.v) * (light.v >= foot.v ? 1 : -1);
    const reciprocal = blend(0);
    if (Math.abs(duv) > farthestDuv || reciprocal <= 0) return notWhite(where);
    return success({ kelvin: kelvin(1e6 / reciprocal), duv });
  }
  return notWhite(where);
}

/** McCamy 1992; a number whatever (x, y) is, sensible near the locus only. */
export function mccamy({ x, y }: Xy): Kelvin {
  const n = (x - 0.332) / (0.1858 - y);
  return kelvin(((449 * n + 3525) * n + 6823.3) * n + 5520.33);
}

type Isotherm = (typeof isotherms)[number];

/** Signed distance from a line of slope t through (u, v). */
function distanceToIsotherm(light: Uv, [, u, v, slope]: Isotherm): number {
  return (light.v - v - slope * (light.u - u)) / Math.hypot(1, slope);
}

/** The best of 34 places a tenth octave apart, with its neighbours: the golden section needs one valley. */
function coarseBracket(f: (reciprocal: number) => number): readonly [number, number] {
  const steps = 34;
  const at = (i: number): number => leastMired * (mostMired / leastMired) ** (i / steps);
  let best = 0;
  for (let i = 1; i <= steps; i += 1) if (f(at(i)) < f(at(best))) best = i;
  return [at(Math.max(0, best - 1)), at(Math.min(steps, best + 1))];
}

/** Minimum of a function with one valley, to 10⁻⁵ of the argument's unit. */
function goldenSection(f: (x: number) => number, from: number, to: number): number {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [from, to];
  let [a, b] = [high - ratio * (high - low), low + ratio * (high - low)];
  let [fa, fb] = [f(a), f(b)];
  while (high - low > 1e-5) {
    if (fa < fb) {
      [high, b, fb] = [b, a, fa];
      a = high - ratio * (high - low);
      fa = f(a);
    } else {
      [low, a, fa] = [a, b, fb];
      b = low + ratio * (high - low);
      fb = f(b);
    }
  }
  return (low + high) / 2;
}

const signedDistance = (light: Uv, foot: Uv, normal: Uv): number =>
  (light.u - foot.u) * normal.u + (light.v - foot.v) * normal.v;

const isChromaticity = ({ x, y }: Xy): boolean => x >= 0 && y > 0 && x + y <= 1;

const noChromaticity = (where: string): Result<never> =>
  failure(
    fault(
      "colour-no-chromaticity",
      "x and y are no chromaticity",
      where,
      "Give x and y above 0 with a sum of at most 1.",
    ),
  );

const notWhite = (where: string): Result<never> =>
  failure(
    fault(
      "colour-not-white",
      "This colour lies too far from white to have a colour temperature",
      where,
      "Name it by its chromaticity instead.",
    ),
  );
