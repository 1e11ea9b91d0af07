/**
 * What is taken in, and no more: judged by a file's own header before a pixel is decoded, so that a small file
 * that claims a huge picture (a bomb) costs nothing.
 */

import { type Fault, fault } from "../units/index.ts";

/** Bytes of one file: an uncompressed 16-bit picture of 60 megapixels is 360 MB. */
export const LARGEST_FILE: number = 512 * 1024 * 1024;
/** Pixels of one frame: the largest studio cameras have about 150 million. */
export const MOST_PIXELS: number = 160_000_000;
/** One side, pixels. */
export const LONGEST_SIDE: number = 65_500;
/** How long one frame may take to decode, ms. */
export const DECODE_PATIENCE_MS: number = 60_000;

/** Null when a picture of this size is taken in. */
export function sizeFault(width: number, height: number, name: string): Fault | null {
  if (!Number.isInteger(width) || !Number.isInteger(height) || width < 1 || height < 1) {
    return fault("frame-empty", `Its header says ${width} × ${height} pixels`, name, "Copy the file again.");
  }
  if (width > LONGEST_SIDE || height > LONGEST_SIDE || width * height > MOST_PIXELS) {
    const megapixels = Math.round((width * height) / 1e6);
    return fault(
      "frame-too-large",
      `Its header says ${width} × ${height} pixels, ${megapixels} megapixels; at most ${MOST_PIXELS / 1e6} are read`,
      name,
      "Give a smaller picture.",
    );
  }
  return null;
}

/** Null when a file of this many bytes is taken in. */
export function bytesFault(bytes: number, name: string): Fault | null {
  if (bytes === 0) return fault("frame-empty", "The file is empty", name, "Copy the file again.");
  if (bytes <= LARGEST_FILE) return null;
  const what = `The file has ${Math.round(bytes / 1024 / 1024)} MB; at most ${LARGEST_FILE / 1024 / 1024} are read`;
  return fault("frame-too-large", what, name, "Give a smaller file.");
}
