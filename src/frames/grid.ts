/**
 * Frames as a coarse grid of patches, for estimates: means over squares of pixels in linear light, and what each is worth.
 */

import { srgbEncode } from "../colour/index.ts";
import { proxyOf, sameSize } from "./linear.ts";
import { readSigma, varianceOf } from "./noise.ts";
import type { LinearFrame } from "./types.ts";

/** Patches along the longer side. */
export const GRID = 96;

/** Luminance of the pixel whose red stands at 3·i, Rec. 709 weights; for a raw frame of its own unbalanced channels. */
export const lightOf = (rgb: Float32Array, i: number): number =>
  0.2126 * (rgb[3 * i] as number) + 0.7152 * (rgb[3 * i + 1] as number) + 0.0722 * (rgb[3 * i + 2] as number);

/** Luminance of every pixel. */
export const lightsOf = ({ rgb }: LinearFrame): Float32Array =>
  Float32Array.from({ length: rgb.length / 3 }, (_, i) => lightOf(rgb, i));

/** Variance of the luminance of a pixel of luminance y: the three channels scatter each for itself, a lossy file's blocks together. */
export const lightVariance = (frame: LinearFrame, y: number): number =>
  (0.2126 ** 2 + 0.7152 ** 2 + 0.0722 ** 2) * varianceOf(frame.noise, y) + blockError(frame, y) ** 2;

/** What a block of 8 by 8 pixels of a coded file may be off by, codes (common practice, no source). */
const BLOCK_CODES = 0.3;
const BLOCK_SIDE = 8;

/** Error that the pixels of a block share, light: it averages over blocks only, not over their pixels. 0 for linear files. */
export const blockError = (frame: LinearFrame, y: number): number =>
  BLOCK_CODES * codeWidth(frame, y) * Math.min(1, BLOCK_SIDE / frame.reduction);

/** Width of one code of a coded file at that light, by sRGB's curve (IEC 61966-2-1); 0 for linear files. */
export function codeWidth({ noise }: LinearFrame, y: number): number {
  const { codeStep } = noise;
  if (codeStep === undefined) return 0;
  const slope = y <= 0.0031308 ? 1 / 12.92 : (2.4 / 1.055) * ((srgbEncode(Math.min(1, y)) + 0.055) / 1.055) ** 1.4;
  return codeStep * slope;
}

/** The frame on the grid: at most GRID patches long. */
export const gridOf = (frame: LinearFrame): LinearFrame => proxyOf(frame, GRID);

/** Light at or below which a pixel of the frame (not of its grid) tells nothing: three read noises (domain 10.4), or four codes. */
export function darkLimit(frame: LinearFrame): number {
  const step = frame.noise.steps?.[0] ?? codeWidth(frame, 0);
  return Math.max(3 * readSigma(frame.noise), 4 * step);
}

/** What two patches may differ by and be the same: three deviations of both, and a code and a half where codes are. */
export const sameWithin = (a: LinearFrame, b: LinearFrame, ya: number, yb: number): number =>
  3 * Math.sqrt(lightVariance(a, ya) + lightVariance(b, yb)) + 1.5 * Math.max(codeWidth(a, ya), codeWidth(b, yb));

/** Mean luminance. */
export function meanLight(frame: LinearFrame): number {
  let sum = 0;
  for (let i = 0; i < frame.clipped.length; i++) sum += lightOf(frame.rgb, i);
  return sum / frame.clipped.length;
}

/** RangeError unless all have one size. */
export function oneSize(frames: readonly LinearFrame[]): void {
  for (const frame of frames) sameSize(frames[0] as LinearFrame, frame);
}

export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length / 2;
  if (sorted.length === 0) return 0;
  return sorted.length % 2 === 1
    ? (sorted[Math.floor(half)] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2;
}
