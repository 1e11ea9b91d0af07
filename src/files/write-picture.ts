/**
 * 16-bit rgb pictures written row by row, so that memory holds one band: TIFF 6.0 (one strip a band, uncompressed,
 * with an embedded sRGB profile) and PNG (ISO/IEC 15948, with the sRGB chunk). Both new files, flushed. Node.
 */

import { type FileHandle, open } from "node:fs/promises";
import { crc32, createDeflate, type Deflate } from "node:zlib";
import { srgbProfile } from "./srgb-profile.ts";

/** 16-bit codes, three a pixel, of rows [from, to). */
export type Rows = (from: number, to: number) => Uint16Array;

/** Rows encoded at a time. */
const BAND = 64;

/** Throws what the system throws, EEXIST where the name is taken. */
export async function writePicture(
  path: string,
  format: "tiff16" | "png16",
  width: number,
  height: number,
  rows: Rows,
): Promise<void> {
  const file = await open(path, "wx");
  try {
    await (format === "tiff16" ? writeTiff(file, width, height, rows) : writePng(file, width, height, rows));
    await file.sync();
  } finally {
    await file.close();
  }
}

const SHORT = 3;
const LONG = 4;
const UNDEFINED = 7;

/** Header, directory and its long values first, then the bands. */
async function writeTiff(file: FileHandle, width: number, height: number, rows: Rows): Promise<void> {
  const profile = srgbProfile();
  const bands = Math.ceil(height / BAND);
  const bandBytes = 6 * width * BAND;
  const sizes = Array.from({ length: bands }, (_, i) => 6 * width * Math.min(BAND, height - i * BAND));
  const data = (start: number): readonly number[] => sizes.map((_, i) => start + i * bandBytes);
  const entries = (start: number): readonly Entry[] => [
    { id: 256, type: LONG, values: [width] },
    { id: 257, type: LONG, values: [height] },
    { id: 258, type: SHORT, values: [16, 16, 16] },
    { id: 259, type: SHORT, values: [1] },
    { id: 262, type: SHORT, values: [2] },
    { id: 273, type: LONG, values: data(start) },
    { id: 277, type: SHORT, values: [3] },
    { id: 278, type: LONG, values: [BAND] },
    { id: 279, type: LONG, values: sizes },
    { id: 284, type: SHORT, values: [1] },
    { id: 34675, type: UNDEFINED, values: [...profile] },
  ];
  const start = directory(entries(0)).length;
  await file.write(directory(entries(start)));
  for (let y = 0; y < height; y += BAND) await file.write(bytesOf(rows(y, Math.min(height, y + BAND)), true));
}

interface Entry {
  readonly id: number;
  readonly type: number;
  readonly values: readonly number[];
}

const BYTES: Readonly<Record<number, number>> = { [SHORT]: 2, [LONG]: 4, [UNDEFINED]: 1 };

/** The whole head of a little-endian file: mark, one directory at byte 8, the values that do not fit into it. */
function directory(entries: readonly Entry[]): Uint8Array {
  const first = 8 + 2 + 12 * entries.length + 4;
  const long = entries.map(({ type, values }) => (BYTES[type] as number) * values.length).filter((n) => n > 4);
  const bytes = new Uint8Array(first + long.reduce((sum, n) => sum + n + (n % 2), 0));
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 42, 0]);
  view.setUint32(4, 8, true);
  view.setUint16(8, entries.length, true);
  let free = first;
  entries.forEach(({ id, type, values }, i) => {
    const at = 10 + 12 * i;
    const size = (BYTES[type] as number) * values.length;
    view.setUint16(at, id, true);
    view.setUint16(at + 2, type, true);
    view.setUint32(at + 4, values.length, true);
    if (size > 4) view.setUint32(at + 8, free, true);
    putValues(view, size > 4 ? free : at + 8, type, values);
    if (size > 4) free += size + (size % 2);
  });
  return bytes;
}

function putValues(view: DataView, at: number, type: number, values: readonly number[]): void {
  values.forEach((value, i) => {
    if (type === SHORT) view.setUint16(at + 2 * i, value, true);
    else if (type === LONG) view.setUint32(at + 4 * i, value, true);
    else view.setUint8(at + i, value);
  });
}

async function writePng(file: FileHandle, width: number, height: number, rows: Rows): Promise<void> {
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  header.set([16, 2], 8);
  await file.write(Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a));
  await file.write(chunk("IHDR", header));
  await file.write(chunk("sRGB", Uint8Array.of(0)));
  const deflate = createDeflate({ level: 3, chunkSize: 256 * 1024 });
  const written = drain(deflate, file);
  // A disc that refuses is told where the next band waits for it.
  written.catch(() => {});
  for (let y = 0; y < height; y += BAND) {
    const lines = scanLines(bytesOf(rows(y, Math.min(height, y + BAND)), false), 6 * width);
    if (!deflate.write(lines)) await Promise.race([written, new Promise((resolve) => deflate.once("drain", resolve))]);
  }
  deflate.end();
  await written;
  await file.write(chunk("IEND", new Uint8Array(0)));
}

async function drain(deflate: Deflate, file: FileHandle): Promise<void> {
  for await (const part of deflate) await file.write(chunk("IDAT", part as Uint8Array));
}

/** Each row led by filter 1 (difference to the pixel before). */
function scanLines(bytes: Uint8Array, row: number): Uint8Array {
  const height = bytes.length / row;
  const lines = new Uint8Array((row + 1) * height);
  for (let y = 0; y < height; y++) {
    const at = (row + 1) * y;
    lines[at] = 1;
    for (let i = 0; i < row; i++) {
      const before = i >= 6 ? (bytes[row * y + i - 6] as number) : 0;
      lines[at + 1 + i] = (bytes[row * y + i] as number) - before;
    }
  }
  return lines;
}

/** Length, name, data, CRC-32 of name and data. */
function chunk(name: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + data.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  for (let i = 0; i < 4; i++) bytes[4 + i] = name.charCodeAt(i);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, crc32(bytes.subarray(4, 8 + data.length)));
  return bytes;
}

function bytesOf(codes: Uint16Array, littleEndian: boolean): Uint8Array {
  const bytes = new Uint8Array(2 * codes.length);
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i] as number;
    bytes[2 * i + (littleEndian ? 0 : 1)] = code & 255;
    bytes[2 * i + (littleEndian ? 1 : 0)] = code >> 8;
  }
  return bytes;
}
