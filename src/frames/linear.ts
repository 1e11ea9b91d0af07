/**
 * From a file's numbers to linear light. Light adds only there: frame(all) = frame(none) + Σ [frame(i) − frame(none)]
 * (domain 10.1). Raw and linear files are so already; processed files go through a curve: one recovered from a bracket
 * of known steps, or their own profile's, which is a sketch. Estimates work on proxies: means over squares of pixels,
 * taken in linear light.
 */

import { clipOf } from "./clip.ts";
import { assumedNoise, averagedNoise, noiseFromSmooth } from "./noise.ts";
import { lightAt, lightOfCodes, srgbCurve } from "./tone-curve.ts";
import type { Basis, Frame, FrameExposure, LinearFrame, NoiseModel, Rgb, ToneCurve } from "./types.ts";

/** Whether stops between such frames are only a sketch. */
export const isSketch = (basis: Basis): boolean => basis === "profile";

export interface LinearOptions {
  /** The camera's recovered response, for coded files; without it the file's profile serves. */
  readonly response?: ToneCurve | null;
  /** Known beforehand, in linear units at full size; estimated from smooth places without. */
  readonly noise?: NoiseModel;
}

/** The frame in linear light, at full size. */
export function linearFrame(frame: Frame, options: LinearOptions = {}): LinearFrame {
  const { image } = frame;
  const curve = image.encoding === "linear" ? null : (options.response ?? image.profile ?? srgbCurve);
  const rgb = curve === null ? numbersOf(image.rgb) : throughCurve(image.rgb, curve);
  const plain: LinearFrame = {
    ...{ id: frame.id, name: frame.name, width: image.width, height: image.height, rgb },
    ...{ clipped: clippedPixels(image.rgb, clipOf(image)), basis: basisOf(frame, options), reduction: 1 },
    ...{ noise: assumedNoise(image.bits, curve), exposure: frame.exposure },
    ...{ balance: image.balance, toSrgb: image.toSrgb },
  };
  const noise = options.noise ?? noiseFromSmooth(plain) ?? plain.noise;
  return { ...plain, noise: curve === null ? noise : { ...noise, codeStep: 1 / (2 ** image.bits - 1) } };
}

/**
 * Means over squares of pixels so that the longer side is at most `longest`; the frame itself when it is small enough.
 * A last, incomplete row or column is left out. A clipped pixel marks the square it lies in.
 */
export function proxyOf(frame: LinearFrame, longest: number): LinearFrame {
  const k = Math.ceil(Math.max(frame.width, frame.height) / longest);
  if (k <= 1) return frame;
  const [width, height] = [Math.floor(frame.width / k), Math.floor(frame.height / k)];
  const rgb = new Float32Array(3 * width * height);
  const clipped = new Uint8Array(width * height);
  const row = new Float64Array(3 * width);
  for (let y = 0; y < height; y++) {
    row.fill(0);
    for (let dy = 0; dy < k; dy++) {
      const from = (y * k + dy) * frame.width;
      for (let x = 0; x < width; x++) addRun(frame, from + x * k, k, row, 3 * x, clipped, y * width + x);
    }
    const scale = 1 / (k * k);
    for (let i = 0; i < row.length; i++) rgb[3 * y * width + i] = scale * (row[i] as number);
  }
  const noise = averagedNoise(frame.noise, k * k);
  return { ...frame, width, height, rgb, clipped, noise, reduction: frame.reduction * k };
}

/** A light's frame without the ambient that is in it. Subtract once, from each light's frame; never from a sum that keeps it. */
export function withoutAmbient(frame: LinearFrame, ambient: LinearFrame | null): LinearFrame {
  if (ambient === null) return frame;
  sameSize(frame, ambient);
  const rgb = new Float32Array(frame.rgb.length);
  let sum = 0;
  for (let i = 0; i < rgb.length; i++) {
    const below = ambient.rgb[i] as number;
    rgb[i] = (frame.rgb[i] as number) - below;
    sum += below;
  }
  const clipped = frame.clipped.map((value, i) => value | (ambient.clipped[i] as number));
  // Both frames scatter: their floors add, and so does the shot noise of the ambient that was in the first.
  const shot = Math.max(0, sum / rgb.length);
  const floor = frame.noise.floor + ambient.noise.floor + shot * (frame.noise.perUnit + ambient.noise.perUnit);
  return { ...frame, rgb, clipped, noise: { ...frame.noise, floor } };
}

/** RangeError unless both frames have one size: callers check it where files come in. */
export function sameSize(a: LinearFrame, b: LinearFrame): void {
  if (a.width !== b.width || a.height !== b.height) throw new RangeError(`${a.name} and ${b.name} differ in size`);
}

/** Stops of exposure by the settings, log2(t·ISO/N²); null where one is missing. For flash alone leave out the time. */
export function settingStops(exposure: FrameExposure, medium: "flash" | "continuous"): number | null {
  const { shutterS, fNumber, iso } = exposure;
  if (fNumber === null || iso === null || (medium === "continuous" && shutterS === null)) return null;
  return Math.log2(iso / fNumber ** 2) + (medium === "continuous" ? Math.log2(shutterS as number) : 0);
}

/**
 * For full-size sums without a float copy of each frame: adds gain·light of interleaved codes into `out`, through one
 * table per channel (`codeTables`). Any part of the picture: both arrays are walked side by side.
 */
export function addCodes(
  out: Float32Array,
  codes: Uint8Array | Uint8ClampedArray | Uint16Array,
  tables: readonly [Float32Array, Float32Array, Float32Array],
  gain: readonly [number, number, number],
): void {
  const [tr, tg, tb] = tables;
  const [gr, gg, gb] = gain;
  for (let i = 0; i < out.length; i += 3) {
    out[i] = (out[i] as number) + gr * (tr[codes[i] as number] as number);
    out[i + 1] = (out[i + 1] as number) + gg * (tg[codes[i + 1] as number] as number);
    out[i + 2] = (out[i + 2] as number) + gb * (tb[codes[i + 2] as number] as number);
  }
}

/** Light of every code, black and white levels in it: for `addCodes`. Codes run 0…2^bits − 1. */
export function codeTables(
  curve: ToneCurve | null,
  bits: number,
  black = 0,
  white: number = 2 ** bits - 1,
): readonly [Float32Array, Float32Array, Float32Array] {
  if (curve === null) {
    const table = Float32Array.from({ length: 2 ** bits }, (_, i) => (i - black) / (white - black));
    return [table, table, table];
  }
  return [lightOfCodes(curve, bits, 0), lightOfCodes(curve, bits, 1), lightOfCodes(curve, bits, 2)];
}

function basisOf({ image }: Frame, options: LinearOptions): Basis {
  if (image.encoding === "linear") return image.source === "raw" ? "raw" : "linear-file";
  return options.response ? "recovered" : "profile";
}

/** Float files may hold what is no number: black then, and marked as clipped. The same array where there is none. */
function numbersOf(rgb: Float32Array): Float32Array {
  for (let i = 0; i < rgb.length; i++) {
    if (!Number.isFinite(rgb[i] as number)) return rgb.map((value) => (Number.isFinite(value) ? value : 0));
  }
  return rgb;
}

function throughCurve(codes: Float32Array, curve: ToneCurve): Float32Array {
  const rgb = new Float32Array(codes.length);
  // A table fine enough that reading it at the nearest entry costs below 1e-4 of the value.
  const fine = ([0, 1, 2] as const).map((c) =>
    Float32Array.from({ length: 65_536 }, (_, i) => lightAt(curve, c, i / 65_535)),
  );
  for (let c = 0; c < 3; c++) {
    const table = fine[c] as Float32Array;
    for (let i = c; i < codes.length; i += 3) {
      const code = codes[i] as number;
      rgb[i] = table[code > 0 ? Math.min(65_535, Math.round(65_535 * code)) : 0] as number;
    }
  }
  return rgb;
}

function clippedPixels(rgb: Float32Array, [r, g, b]: Rgb): Uint8Array {
  const clipped = new Uint8Array(rgb.length / 3);
  for (let i = 0, j = 0; j < clipped.length; i += 3, j++) {
    // Written so that what is no number counts as clipped.
    const fine = (rgb[i] as number) < r && (rgb[i + 1] as number) < g && (rgb[i + 2] as number) < b;
    if (!fine) clipped[j] = 1;
  }
  return clipped;
}

function addRun(
  { rgb, clipped }: LinearFrame,
  from: number,
  length: number,
  row: Float64Array,
  at: number,
  marks: Uint8Array,
  mark: number,
): void {
  let [r, g, b, any] = [0, 0, 0, 0];
  for (let i = from; i < from + length; i++) {
    r += rgb[3 * i] as number;
    g += rgb[3 * i + 1] as number;
    b += rgb[3 * i + 2] as number;
    any |= clipped[i] as number;
  }
  row[at] = (row[at] as number) + r;
  row[at + 1] = (row[at + 1] as number) + g;
  row[at + 2] = (row[at + 2] as number) + b;
  marks[mark] = (marks[mark] as number) | any;
}
