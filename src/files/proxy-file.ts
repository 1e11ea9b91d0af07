/**
 * A linear proxy as bytes: half floats (IEEE 754 binary16, little-endian), red green blue, row by row from the upper
 * left, then one byte a pixel, 1 where it clips. Sizes and the rest are told beside it. Runs anywhere.
 */

import { packHalf, unpackHalf } from "../frames/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";

export interface StoredProxy {
  readonly rgb: Float32Array;
  readonly clipped: Uint8Array;
}

export function writeProxy({ rgb, clipped }: StoredProxy): Uint8Array {
  const halves = packHalf(rgb);
  const bytes = new Uint8Array(2 * halves.length + clipped.length);
  const view = new DataView(bytes.buffer);
  for (let i = 0; i < halves.length; i++) view.setUint16(2 * i, halves[i] as number, true);
  bytes.set(clipped, 2 * halves.length);
  return bytes;
}

/** Fault: not of the size that was told. */
export function readProxy(bytes: Uint8Array, width: number, height: number, name: string): Result<StoredProxy> {
  const pixels = width * height;
  if (bytes.length !== 7 * pixels) {
    const what = `The proxy has ${bytes.length} bytes, not the ${7 * pixels} of ${width} × ${height} pixels`;
    return failure(fault("proxy-damaged", what, name, "Take the frame out and add its file again."));
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const halves = Uint16Array.from({ length: 3 * pixels }, (_, i) => view.getUint16(2 * i, true));
  return success({ rgb: unpackHalf(halves), clipped: bytes.slice(6 * pixels) });
}
