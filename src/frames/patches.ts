/**
 * Figures from patches of the frames. Stops between two means a, b over n pixels: Δ = log2(a/b),
 * σ = (1/ln 2)·√(σa²/(n·a²) + σb²/(n·b²)) (domain 10.4). Between frames flash and aperture repeat to some hundredths
 * only, so at least three patches are taken and their median told.
 */

import { failure, fault, type Result, success } from "../units/index.ts";
import { darkLimit, lightOf, lightVariance, medianOf } from "./grid.ts";
import { displayOf } from "./mix.ts";
import type { LinearFrame, Patch, PatchValue, Rgb, StopsValue } from "./types.ts";

/** A mean of n values with the variance of one. */
export interface Mean {
  readonly mean: number;
  readonly variance: number;
  readonly n: number;
}

/** Stops of a over b; null where one shows no light. */
export function stopsOfMeans(a: Mean, b: Mean): StopsValue | null {
  if (!(a.mean > 0 && b.mean > 0)) return null;
  const square = ({ mean, variance, n }: Mean): number => variance / (n * mean * mean);
  return { stops: Math.log2(a.mean / b.mean), sigmaStops: Math.sqrt(square(a) + square(b)) / Math.LN2 };
}

/** Part of a patch that may clip, and of its pixels that must be usable. */
const CLIPPED_PART = 0.1;

/** A patch in a frame; the part outside the picture is left out. Fault: patch-outside. */
export function measurePatch(frame: LinearFrame, patch: Patch): Result<PatchValue> {
  const [x0, y0] = [Math.max(0, Math.floor(patch.x)), Math.max(0, Math.floor(patch.y))];
  const [x1, y1] = [
    Math.min(frame.width, Math.ceil(patch.x + patch.width)),
    Math.min(frame.height, Math.ceil(patch.y + patch.height)),
  ];
  if (!(x1 > x0 && y1 > y0)) {
    return failure(fault("patch-outside", `${patch.name} lies outside the picture`, patch.id, "Place it again."));
  }
  const dark = darkLimit(frame);
  const sums: [number, number, number] = [0, 0, 0];
  let [used, clipped, darkOnes, variance] = [0, 0, 0, 0];
  for (let y = y0; y < y1; y++) {
    for (let i = y * frame.width + x0; i < y * frame.width + x1; i++) {
      if (frame.clipped[i]) {
        clipped++;
        continue;
      }
      const light = lightOf(frame.rgb, i);
      if (light <= dark) darkOnes++;
      for (let c = 0; c < 3; c++) sums[c] = (sums[c] as number) + (frame.rgb[3 * i + c] as number);
      variance += lightVariance(frame, light);
      used++;
    }
  }
  const all = (x1 - x0) * (y1 - y0);
  const mean = sums.map((sum) => sum / Math.max(1, used)) as unknown as Rgb;
  const luminance = 0.2126 * mean[0] + 0.7152 * mean[1] + 0.0722 * mean[2];
  const clippedPart = clipped / all;
  return success({
    ...{ patchId: patch.id, mean, luminance, sigma: Math.sqrt(variance) / Math.max(1, used), pixels: used },
    ...{ clippedPart, darkPart: darkOnes / all, usable: clippedPart < CLIPPED_PART && luminance > dark },
  });
}

/** Stops of one patch over another: in one frame, or the same patch in two. Null where one is not usable. */
export function stopsBetween(a: PatchValue, b: PatchValue): StopsValue | null {
  if (!a.usable || !b.usable) return null;
  const one = ({ luminance, sigma }: PatchValue): Mean => ({ mean: luminance, variance: sigma * sigma, n: 1 });
  return stopsOfMeans(one(a), one(b));
}

/** Patches that a figure between frames rests on. */
export const FEWEST_PATCHES = 3;

/**
 * The median of at least three differences; σ by their scatter, and by their own where that is more
 * (1.2533 for a median, Kendall and Stuart, from memory). Fault: patches-few.
 */
export function medianStops(values: readonly StopsValue[]): Result<StopsValue> {
  if (values.length < FEWEST_PATCHES) {
    const what = `${values.length} of ${FEWEST_PATCHES} patches serve`;
    return failure(fault("patches-few", what, "patches", "Place more patches, off clipped and black places."));
  }
  const median = medianOf(values.map(({ stops }) => stops));
  const scatter = 1.4826 * medianOf(values.map(({ stops }) => Math.abs(stops - median)));
  const own = Math.sqrt(values.reduce((sum, { sigmaStops }) => sum + sigmaStops ** 2, 0) / values.length);
  return success({ stops: median, sigmaStops: (1.2533 * Math.max(scatter, own)) / Math.sqrt(values.length) });
}

/** Tone of a patch as it is displayed: display-linear luminance, 1 the white level, and stops from the 18 % card. */
export function toneOfPatch(
  value: PatchValue,
  frame: Pick<LinearFrame, "balance" | "toSrgb">,
): { readonly y: number; readonly stopsFromCard: number } {
  const shown = displayOf({ rgb: Float32Array.from(value.mean), balance: frame.balance, toSrgb: frame.toSrgb });
  const y = lightOf(shown, 0);
  return { y, stopsFromCard: Math.log2(y / 0.18) };
}
