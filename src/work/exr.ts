/**
 * OpenEXR files (the published "OpenEXR File Layout", Academy Software Foundation): one part of scan lines, three
 * 32-bit float channels B, G, R, blocks of 16 lines under ZIP compression. Values are written as they are; the
 * chromaticities say Rec. 709 with D65 (ITU-R BT.709).
 */

import { deflate, joined } from "./bytes.ts";

/** Lines in a block of ZIP compression. */
const LINES = 16;
const MAGIC = 20_000_630;
/** Version 2, no flags: a single part, scan lines, names shorter than 32 bytes. */
const VERSION = 2;
const FLOAT = 2;
const ZIP = 3;
/** Alphabetical, as the layout asks; and where each stands in our rgb. */
const CHANNELS: readonly (readonly [string, number])[] = [
  ["B", 2],
  ["G", 1],
  ["R", 0],
];
/** Red, green, blue, white; x and y of each. */
const REC_709: readonly number[] = [0.64, 0.33, 0.3, 0.6, 0.15, 0.06, 0.3127, 0.329];

/** Linear float rgb, row by row from the top, to an OpenEXR file. `comments` says in words what the values are. */
export async function writeExr(
  rgb: Float32Array,
  width: number,
  height: number,
  comments: string,
): Promise<Uint8Array> {
  const header = headerOf(width, height, comments);
  const blocks: Uint8Array[] = [];
  for (let y = 0; y < height; y += LINES) {
    const raw = linesOf(rgb, width, y, Math.min(LINES, height - y));
    const packed = await deflate(predicted(raw));
    // A block that does not shrink is stored as it is, which readers tell by its size.
    blocks.push(blockOf(y, packed.length < raw.length ? packed : raw));
  }
  return joined([header, offsetsOf(header.length, blocks), ...blocks]);
}

function headerOf(width: number, height: number, comments: string): Uint8Array {
  const window = int32s(0, 0, width - 1, height - 1);
  return joined([
    int32s(MAGIC, VERSION),
    attribute("channels", "chlist", joined([...CHANNELS.map(([name]) => channel(name)), Uint8Array.of(0)])),
    attribute("chromaticities", "chromaticities", floats(...REC_709)),
    attribute("comments", "string", new TextEncoder().encode(comments)),
    attribute("compression", "compression", Uint8Array.of(ZIP)),
    attribute("dataWindow", "box2i", window),
    attribute("displayWindow", "box2i", window),
    attribute("lineOrder", "lineOrder", Uint8Array.of(0)),
    attribute("pixelAspectRatio", "float", floats(1)),
    attribute("screenWindowCenter", "v2f", floats(0, 0)),
    attribute("screenWindowWidth", "float", floats(1)),
    Uint8Array.of(0),
  ]);
}

/** Name, pixel type, linear (0), three reserved bytes, sampling of one in x and y. */
const channel = (name: string): Uint8Array => joined([word(name), int32s(FLOAT, 0, 1, 1)]);

const attribute = (name: string, type: string, value: Uint8Array): Uint8Array =>
  joined([word(name), word(type), int32s(value.length), value]);

/** Plain letters ended by a zero. */
const word = (text: string): Uint8Array => new TextEncoder().encode(`${text}\0`);

/** Line after line, in each line channel after channel. */
function linesOf(rgb: Float32Array, width: number, first: number, lines: number): Uint8Array {
  const raw = new Uint8Array(4 * CHANNELS.length * width * lines);
  const view = new DataView(raw.buffer);
  let at = 0;
  for (let y = first; y < first + lines; y++) {
    for (const [, place] of CHANNELS) {
      for (let x = 0; x < width; x++, at += 4) {
        view.setFloat32(at, rgb[3 * (y * width + x) + place] as number, true);
      }
    }
  }
  return raw;
}

/** What makes floats small under deflate: bytes of even places, then of odd ones, then each less the one before. */
function predicted(raw: Uint8Array): Uint8Array<ArrayBuffer> {
  const sorted = new Uint8Array(raw.length);
  const half = (raw.length + 1) >> 1;
  for (let i = 0; i < raw.length; i++) sorted[(i & 1) * half + (i >> 1)] = raw[i] as number;
  const steps = sorted.slice();
  for (let i = 1; i < raw.length; i++) steps[i] = (sorted[i] as number) - (sorted[i - 1] as number) + 128;
  return steps;
}

const blockOf = (firstLine: number, data: Uint8Array): Uint8Array => joined([int32s(firstLine, data.length), data]);

/** Where each block begins in the file, 64-bit. */
function offsetsOf(headerLength: number, blocks: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(8 * blocks.length);
  const view = new DataView(bytes.buffer);
  let at = headerLength + bytes.length;
  blocks.forEach((block, i) => {
    view.setBigUint64(8 * i, BigInt(at), true);
    at += block.length;
  });
  return bytes;
}

function int32s(...values: readonly number[]): Uint8Array {
  const view = new DataView(new ArrayBuffer(4 * values.length));
  values.forEach((value, i) => {
    view.setInt32(4 * i, value, true);
  });
  return new Uint8Array(view.buffer);
}

function floats(...values: readonly number[]): Uint8Array {
  const view = new DataView(new ArrayBuffer(4 * values.length));
  values.forEach((value, i) => {
    view.setFloat32(4 * i, value, true);
  });
  return new Uint8Array(view.buffer);
}
