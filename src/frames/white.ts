/**
 * The colour of a light from a grey patch: in a picture balanced for a white, grey under that white is neutral; what is
 * left of its rgb is the light's own colour against it. sRGB's primaries (IEC 61966-2-1:1999) carry it to CIE xy, the
 * colour room to mired and Duv. A sketch for processed files, whose cameras turn colours as they like.
 */

import {
  linearSrgbOfXyz,
  miredOfKelvin,
  nearestPlanckian,
  type WhitePoint,
  xyOfWhite,
  xyOfXyz,
  xyzOfXy,
} from "../colour/index.ts";
import { failure, fault, kelvin, type Result, success } from "../units/index.ts";
import { displayOf } from "./mix.ts";
import type { LinearFrame, PatchValue } from "./types.ts";

export interface LightWhite extends WhitePoint {
  readonly mired: number;
  /** Against the balance: positive is warmer. */
  readonly miredOver: number;
}

/** Linear sRGB to XYZ, the inverse of `linearSrgbOfXyz`. */
const XYZ_OF_RGB = [
  [0.4123908, 0.35758434, 0.18048079],
  [0.21263901, 0.71516868, 0.07219232],
  [0.01933082, 0.11919478, 0.95053215],
] as const;

/** White of the light on a grey patch. Faults: white-unusable (clipped, dark), white-camera (raw without a matrix), those of `nearestPlanckian`. */
export function whiteOfPatch(
  value: PatchValue,
  frame: Pick<LinearFrame, "balance" | "toSrgb" | "basis">,
  whiteBalanceK: number,
): Result<LightWhite> {
  if (!value.usable) {
    const mend = "Place it on evenly lit grey.";
    return failure(fault("white-unusable", "The patch is clipped or too dark", value.patchId, mend));
  }
  if (frame.basis === "raw" && frame.toSrgb === null) {
    const what = "The raw file does not say what its channels are";
    return failure(fault("white-camera", what, value.patchId, "Convert it to DNG, or use a processed file."));
  }
  const shown = displayOf({ rgb: Float32Array.from(value.mean), balance: frame.balance, toSrgb: frame.toSrgb });
  const white = linearSrgbOfXyz(xyzOfXy(xyOfWhite(kelvin(whiteBalanceK), 0)));
  const own = white.map((part, c) => part * (shown[c] as number));
  const [X, Y, Z] = XYZ_OF_RGB.map((row) => row.reduce((sum, m, c) => sum + m * (own[c] as number), 0)) as [
    number,
    number,
    number,
  ];
  const found = nearestPlanckian(xyOfXyz({ X, Y, Z }), value.patchId);
  if (!found.ok) return found;
  const mired = miredOfKelvin(found.value.kelvin);
  return success({ ...found.value, mired, miredOver: mired - 1e6 / whiteBalanceK });
}
