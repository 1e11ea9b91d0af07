/** A file's bytes to a reading or a frame, in this thread: header first, then the decoder of its kind. Node. */

import { createHash } from "node:crypto";
import type { Frame } from "../frames/index.ts";
import { type Result, success } from "../units/index.ts";
import { type CodeMeaning, decodePlain } from "./decode-plain.ts";
import { decodeRaw } from "./decode-raw.ts";
import { type FileHeader, readHeader } from "./header.ts";
import { frameImage, type Reading } from "./reading.ts";

export interface DecodeOptions {
  /** Raw: each 2 × 2 block as one pixel, for proxies. Usually full size. */
  readonly half?: boolean;
  /** What the codes mean, where the file's own word is wrong or missing. */
  readonly meaning?: CodeMeaning;
}

export interface DecodedFile {
  readonly header: FileHeader;
  readonly reading: Reading;
  readonly sha256: string;
}

export const sha256Of = (bytes: Uint8Array): string => createHash("sha256").update(bytes).digest("hex");

/** An id from the content: the same bytes are the same frame. */
export const frameIdOf = (sha256: string): string => `frame-${sha256.slice(0, 24)}`;

/** Faults: empty, too large, of no kind that is read, damaged, cut short, too slow, the decoder not installed. */
export async function decodeFile(
  bytes: Uint8Array,
  name: string,
  options: DecodeOptions = {},
): Promise<Result<DecodedFile>> {
  const header = readHeader(bytes, name);
  if (!header.ok) return header;
  const reading =
    header.value.kind === "raw"
      ? await decodeRaw(bytes, header.value, name, options.half === true)
      : await decodePlain(bytes, header.value, name, options.meaning ?? null);
  if (!reading.ok) return reading;
  return success({ header: header.value, reading: reading.value, sha256: sha256Of(bytes) });
}

/** A whole frame, full size: three floats a pixel. */
export async function decodeFrame(
  bytes: Uint8Array,
  name: string,
  options: DecodeOptions = {},
): Promise<Result<Frame>> {
  const file = await decodeFile(bytes, name, options);
  return file.ok ? success(frameOf(file.value, name)) : file;
}

export function frameOf({ header, reading, sha256 }: DecodedFile, name: string): Frame {
  const { exposure } = header;
  return { id: frameIdOf(sha256), name, sha256, image: frameImage(reading), exposure, notes: reading.notes };
}
