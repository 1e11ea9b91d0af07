/** A small picture of a frame for lists: a JPEG, encoded for a screen. Node. */

import { displayOf, type LinearFrame, proxyOf } from "../frames/index.ts";
import { encodePixels } from "../picture/index.ts";
import { loadSharp } from "./decode-plain.ts";

const LONGER_SIDE = 320;

/** Null when no encoder is installed. */
export async function thumbnail(frame: LinearFrame): Promise<Uint8Array | null> {
  const sharp = await loadSharp();
  if (sharp === null) return null;
  const small = proxyOf(frame, LONGER_SIDE);
  const pixels = encodePixels(displayOf(small));
  const raw = { width: small.width, height: small.height, channels: 4 as const };
  return new Uint8Array(await sharp(pixels, { raw }).removeAlpha().jpeg({ quality: 82 }).toBuffer());
}
