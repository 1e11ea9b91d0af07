/**
 * Two or more lights on one spot: tristimulus values add, weighted by illuminance. The mean of mireds is
 * only a guess at the result and leaves out that a mixture of two points on a curved locus lies off it.
 * Source: additivity of tristimulus values (CIE 15).
 */

import { type Xy, type Xyz, xyOfXyz, xyzOfXy } from "./chromaticity.ts";

export interface WeightedLight {
  readonly xy: Xy;
  /** Illuminance or luminous exposure at the spot, any common scale, 0 or more. */
  readonly weight: number;
}

/** Chromaticity of the sum, or null when no light has any weight. */
export function mixedXy(lights: readonly WeightedLight[]): Xy | null {
  let sum: Xyz = { X: 0, Y: 0, Z: 0 };
  for (const { xy, weight } of lights) {
    const { X, Y, Z } = xyzOfXy(xy, weight);
    sum = { X: sum.X + X, Y: sum.Y + Y, Z: sum.Z + Z };
  }
  return sum.Y > 0 ? xyOfXyz(sum) : null;
}
