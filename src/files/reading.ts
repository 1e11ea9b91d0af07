/**
 * A decoded picture in its file's own codes, upright, before anything is normalised: what every decoder gives. Codes
 * stay small integers as long as they can (a 24-megapixel JPEG is 72 MB this way, 288 MB as floats); one table per
 * channel takes them to a frame's numbers or straight to light.
 */

import { type FrameImage, lightAt, srgbCurve, type ToneCurve } from "../frames/index.ts";
import type { Fault } from "../units/index.ts";

/** Row by row from the upper left; grey pictures have one channel. Floats only where a demosaic made them. */
export interface Raster {
  readonly width: number;
  readonly height: number;
  readonly channels: 1 | 3;
  readonly codes: Uint8Array | Uint16Array | Float32Array;
}

export interface Reading {
  readonly raster: Raster;
  /** Upright size of the file's own picture, where the raster is a smaller one of it. */
  readonly full?: { readonly width: number; readonly height: number };
  /** The code that is 1 in a frame's numbers; for coded pictures the largest code. */
  readonly white: number;
  /** The code that is 0, channel by channel. */
  readonly black: readonly [number, number, number];
  readonly image: Omit<FrameImage, "width" | "height" | "rgb">;
  readonly notes: readonly Fault[];
}

/** The frame's numbers: every channel as a part of white over black, grey repeated. */
export function frameImage({ raster, white, black, image }: Reading): FrameImage {
  const { width, height } = raster;
  return { width, height, rgb: spread(raster, (code, c) => (code - black[c]) / (white - black[c])), ...image };
}

/** A value per code and channel: by table for whole codes, by sum for floats (which are overwritten). */
function spread(raster: Raster, numberAt: (code: number, channel: 0 | 1 | 2) => number): Float32Array {
  const { codes, channels } = raster;
  const pixels = raster.width * raster.height;
  const tables = codes instanceof Float32Array ? null : tablesOf(codes, numberAt);
  const rgb = channels === 3 && codes instanceof Float32Array ? codes : new Float32Array(3 * pixels);
  for (let p = 0; p < pixels; p++) {
    for (let c = 0; c < 3; c++) {
      const code = codes[channels === 3 ? 3 * p + c : p] as number;
      rgb[3 * p + c] = tables === null ? numberAt(code, c as 0 | 1 | 2) : ((tables[c] as Float32Array)[code] as number);
    }
  }
  return rgb;
}

function tablesOf(
  codes: Uint8Array | Uint16Array,
  numberAt: (code: number, channel: 0 | 1 | 2) => number,
): readonly [Float32Array, Float32Array, Float32Array] {
  const length = codes.BYTES_PER_ELEMENT === 1 ? 256 : 65_536;
  const table = (c: 0 | 1 | 2): Float32Array => Float32Array.from({ length }, (_, code) => numberAt(code, c));
  return [table(0), table(1), table(2)];
}

/** Light at each code, 1 at white, by the given curve or the reading's own. Only for rasters of whole codes. */
export function lightTables(
  reading: Reading,
  curve: ToneCurve | null,
): readonly [Float32Array, Float32Array, Float32Array] {
  const { raster, white, black, image } = reading;
  if (raster.codes instanceof Float32Array) throw new RangeError("A raster of floats has no table");
  const used = image.encoding === "coded" ? (curve ?? image.profile ?? srgbCurve) : null;
  return tablesOf(raster.codes, (code, c) => {
    const part = (code - black[c]) / (white - black[c]);
    return used === null ? part : lightAt(used, c, part);
  });
}
