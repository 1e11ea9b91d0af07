/**
 * PPM and PGM files, plain (P2, P3) and packed (P5, P6), up to 16 bits (netpbm's format pages, "ppm" and "pgm";
 * 16-bit samples have their most significant byte first). The format has no place for an exposure: a comment
 * `#Exposure=N` counts as a shutter setting in units of its own, which is enough for the steps between frames.
 */

import { failure, fault, type Result, success } from "../units/index.ts";

export interface PnmHeader {
  readonly width: number;
  readonly height: number;
  /** The largest code. */
  readonly most: number;
  readonly channels: 1 | 3;
  readonly plain: boolean;
  /** Where the samples begin. */
  readonly at: number;
  /** From a comment; null without. */
  readonly shutterUnits: number | null;
}

const KINDS: Readonly<Record<string, { readonly channels: 1 | 3; readonly plain: boolean }>> = {
  P2: { channels: 1, plain: true },
  P3: { channels: 3, plain: true },
  P5: { channels: 1, plain: false },
  P6: { channels: 3, plain: false },
};
/** A header with its comments is no longer than this. */
const LONGEST_HEADER = 64 * 1024;

export function readPnmHeader(bytes: Uint8Array, name: string): Result<PnmHeader> {
  const magic = String.fromCharCode(bytes[0] ?? 0, bytes[1] ?? 0);
  const kind = KINDS[magic];
  if (kind === undefined) {
    return failure(fault("frame-kind", `Files that begin with ${magic} are not read`, name, "Save it as PPM or PGM."));
  }
  const cursor: Cursor = { bytes, at: 2, end: Math.min(bytes.length, LONGEST_HEADER), comments: "" };
  const [width, height, most] = [nextNumber(cursor), nextNumber(cursor), nextNumber(cursor)];
  if (width === null || height === null || most === null || most < 1 || most > 65_535) {
    const what = "Its header does not state width, height and the largest code (1 to 65535)";
    return failure(fault("frame-header", what, name, "Copy the file again, or save it anew."));
  }
  const exposure = /#\s*Exposure\s*=\s*(\d{1,9}(?:\.\d{1,9})?)/i.exec(cursor.comments);
  const shutterUnits = exposure === null ? null : Number(exposure[1]);
  // One white space parts the header from packed samples.
  return success({
    width,
    height,
    most,
    ...kind,
    at: cursor.at + (kind.plain ? 0 : 1),
    shutterUnits: shutterUnits || null,
  });
}

/** All samples, widened evenly to the full range of `Uint8Array` or `Uint16Array`. Faults: too few samples, codes above the largest. */
export function readPnmSamples(bytes: Uint8Array, header: PnmHeader, name: string): Result<Uint8Array | Uint16Array> {
  const count = header.width * header.height * header.channels;
  const isWide = header.most > 255;
  const least = header.plain ? 2 * count - 1 : count * (isWide ? 2 : 1);
  if (bytes.length - header.at < least) return failure(ends(name));
  const codes = isWide ? new Uint16Array(count) : new Uint8Array(count);
  return header.plain ? readPlain(bytes, header, codes, name) : readPacked(bytes, header, codes, name);
}

function readPacked(
  bytes: Uint8Array,
  header: PnmHeader,
  codes: Uint8Array | Uint16Array,
  name: string,
): Result<Uint8Array | Uint16Array> {
  const isWide = codes.BYTES_PER_ELEMENT === 2;
  for (let i = 0; i < codes.length; i++) {
    const at = header.at + (isWide ? 2 * i : i);
    const code = isWide ? ((bytes[at] as number) << 8) | (bytes[at + 1] as number) : (bytes[at] as number);
    if (code > header.most) return failure(above(code, header.most, name));
    codes[i] = code;
  }
  return success(codes);
}

function readPlain(
  bytes: Uint8Array,
  header: PnmHeader,
  codes: Uint8Array | Uint16Array,
  name: string,
): Result<Uint8Array | Uint16Array> {
  const cursor: Cursor = { bytes, at: header.at, end: bytes.length, comments: "" };
  for (let i = 0; i < codes.length; i++) {
    const code = nextNumber(cursor);
    if (code === null) {
      const isOver = cursor.at >= bytes.length;
      return failure(isOver ? ends(name) : fault("frame-damaged", "A sample is no number", name, "Save it anew."));
    }
    if (code > header.most) return failure(above(code, header.most, name));
    codes[i] = code;
  }
  return success(codes);
}

interface Cursor {
  readonly bytes: Uint8Array;
  at: number;
  readonly end: number;
  comments: string;
}

/** The next whole number after white space and comments; null when there is none. */
function nextNumber(cursor: Cursor): number | null {
  const { bytes, end } = cursor;
  while (cursor.at < end) {
    const byte = bytes[cursor.at] as number;
    if (byte === 0x23) readComment(cursor);
    else if (byte === 0x20 || (byte >= 0x09 && byte <= 0x0d)) cursor.at += 1;
    else break;
  }
  let value = 0;
  const start = cursor.at;
  for (; cursor.at < end; cursor.at++) {
    const digit = (bytes[cursor.at] as number) - 0x30;
    if (digit < 0 || digit > 9) break;
    value = value * 10 + digit;
    if (value > 1e9) return null;
  }
  return cursor.at === start ? null : value;
}

/** To the end of the line; what stands in the header's comments is kept. */
function readComment(cursor: Cursor): void {
  const start = cursor.at;
  while (cursor.at < cursor.end && cursor.bytes[cursor.at] !== 0x0a) cursor.at += 1;
  if (cursor.comments.length < 4096) {
    const text = String.fromCharCode(...cursor.bytes.subarray(start, Math.min(cursor.at, start + 1024)));
    cursor.comments += `${text}\n`;
  }
}

const ends = (name: string) =>
  fault("frame-truncated", "The file ends before its last pixel", name, "Copy the file again, whole.");

const above = (code: number, most: number, name: string) =>
  fault("frame-damaged", `A sample is ${code}, above the stated largest, ${most}`, name, "Save it anew.");
