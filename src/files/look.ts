/**
 * A frame's linear proxy, straight from its codes: means over whole squares of pixels, taken in linear light, as
 * frames' `proxyOf` takes them, without a float copy of the full frame. Beside it a picture of single pixels in the
 * file's own code, which the recovery of a response needs (a mean of codes is no code).
 */

import {
  averagedNoise,
  clipOf,
  type Frame,
  type FrameImage,
  type LinearFrame,
  linearFrame,
  proxyOf,
  type Rgb,
  type ToneCurve,
} from "../frames/index.ts";
import type { DecodedFile } from "./decode.ts";
import { frameIdOf } from "./decode.ts";
import { frameImage, lightTables, type Raster, type Reading } from "./reading.ts";

/** Longer side of a proxy at most, pixels. */
export const PROXY_SIDE = 1600;
/** Longer side of the picture of single pixels. */
export const SAMPLE_SIDE = 400;

export interface Look {
  readonly proxy: LinearFrame;
  /** The same frame as single pixels, in its own code, small. */
  readonly sample: Frame;
  /** Upright, full size. */
  readonly width: number;
  readonly height: number;
}

/** `response`: the camera's recovered curve, for coded files. */
export function lookAt(file: DecodedFile, name: string, longest: number, response: ToneCurve | null): Look {
  const { header, reading, sha256 } = file;
  const named = { id: frameIdOf(sha256), name, sha256, exposure: header.exposure, notes: reading.notes };
  const sample: Frame = { ...named, image: singlePixels(reading, SAMPLE_SIDE) };
  const { width, height } = reading.raster;
  if (reading.raster.codes instanceof Float32Array) {
    const proxy = proxyOf(linearFrame({ ...named, image: frameImage(reading) }, { response }), longest);
    const full = reading.full ?? { width, height };
    return { proxy: { ...proxy, reduction: Math.round(full.width / proxy.width) }, sample, ...full };
  }
  const k = Math.max(1, Math.ceil(Math.max(width, height) / longest));
  const detail = linearFrame({ ...named, image: detailTiles(reading) }, { response });
  const means = squares(reading, lightTables(reading, response), clipCodes(reading, clipOf(sample.image)), k);
  return {
    proxy: { ...detail, ...means, noise: averagedNoise(detail.noise, k * k), reduction: k },
    sample,
    width,
    height,
  };
}

/** Part of a raster as a raster of its own. */
function part(reading: Reading, width: number, height: number, from: (x: number, y: number) => number): FrameImage {
  const { raster } = reading;
  const Codes = raster.codes.constructor as new (length: number) => Raster["codes"];
  const codes = new Codes(raster.channels * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const source = raster.channels * from(x, y);
      const target = raster.channels * (y * width + x);
      for (let c = 0; c < raster.channels; c++) codes[target + c] = raster.codes[source + c] as number;
    }
  }
  return frameImage({ ...reading, raster: { width, height, channels: raster.channels, codes } });
}

/** Every k-th pixel of every k-th row. */
function singlePixels(reading: Reading, longest: number): FrameImage {
  const { width, height } = reading.raster;
  const k = Math.max(1, Math.ceil(Math.max(width, height) / longest));
  const [w, h] = [Math.max(1, Math.floor(width / k)), Math.max(1, Math.floor(height / k))];
  const middle = k >> 1;
  return part(
    reading,
    w,
    h,
    (x, y) => Math.min(height - 1, k * y + middle) * width + Math.min(width - 1, k * x + middle),
  );
}

/** Squares of full detail, side by side, for the estimate of noise: a multiple of its blocks. */
const TILE = 64;
const MOST_TILES = 12;

/** The whole picture when it is small, else 12 × 12 squares spread evenly over it. */
function detailTiles(reading: Reading): FrameImage {
  const { width, height } = reading.raster;
  const columns = Math.min(MOST_TILES, Math.floor(width / TILE));
  const rows = Math.min(MOST_TILES, Math.floor(height / TILE));
  if (columns < 1 || rows < 1) return part(reading, width, height, (x, y) => y * width + x);
  const start = (i: number, count: number, side: number): number => Math.floor(((side - TILE) * (i + 0.5)) / count);
  const place = (at: number, count: number, side: number): number =>
    start(Math.floor(at / TILE), count, side) + (at % TILE);
  return part(
    reading,
    TILE * columns,
    TILE * rows,
    (x, y) => place(y, rows, height) * width + place(x, columns, width),
  );
}

/** The first code of each channel that counts as clipped. */
function clipCodes({ white, black }: Reading, clip: Rgb): Rgb {
  const code = (c: 0 | 1 | 2): number => black[c] + clip[c] * (white - black[c]) - 1e-6 * white;
  return [code(0), code(1), code(2)];
}

/** Means over whole squares of k × k pixels; of a picture narrower than a square, over what there is. */
function squares(
  { raster }: Reading,
  tables: readonly [Float32Array, Float32Array, Float32Array],
  clip: Rgb,
  k: number,
): Pick<LinearFrame, "width" | "height" | "rgb" | "clipped"> {
  const width = Math.max(1, Math.floor(raster.width / k));
  const height = Math.max(1, Math.floor(raster.height / k));
  const [across, down] = [Math.min(k, raster.width), Math.min(k, raster.height)];
  const rgb = new Float32Array(3 * width * height);
  const clipped = new Uint8Array(width * height);
  const sums = new Float64Array(3 * width);
  for (let y = 0; y < height; y++) {
    sums.fill(0);
    const marks = clipped.subarray(y * width, (y + 1) * width);
    for (let dy = 0; dy < down; dy++) addRow(raster, y * down + dy, across, tables, clip, sums, marks);
    const scale = 1 / (across * down);
    for (let i = 0; i < sums.length; i++) rgb[3 * y * width + i] = scale * (sums[i] as number);
  }
  return { width, height, rgb, clipped };
}

/** Adds one row of the raster to the sums of the squares that it crosses. */
function addRow(
  { width, channels, codes }: Raster,
  row: number,
  across: number,
  [red, green, blue]: readonly [Float32Array, Float32Array, Float32Array],
  [clipR, clipG, clipB]: Rgb,
  sums: Float64Array,
  marks: Uint8Array,
): void {
  const second = channels === 3 ? 1 : 0;
  const third = channels === 3 ? 2 : 0;
  let at = channels * row * width;
  for (let square = 0; square < marks.length; square++) {
    let r = 0;
    let g = 0;
    let b = 0;
    for (let i = 0; i < across; i++, at += channels) {
      const codeR = codes[at] as number;
      const codeG = codes[at + second] as number;
      const codeB = codes[at + third] as number;
      r += red[codeR] as number;
      g += green[codeG] as number;
      b += blue[codeB] as number;
      if (codeR >= clipR || codeG >= clipG || codeB >= clipB) marks[square] = 1;
    }
    sums[3 * square] = (sums[3 * square] as number) + r;
    sums[3 * square + 1] = (sums[3 * square + 1] as number) + g;
    sums[3 * square + 2] = (sums[3 * square + 2] as number) + b;
  }
}
