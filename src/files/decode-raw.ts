/**
 * Camera raw through LibRaw, compiled to WebAssembly. A DNG with a 2 × 2 filter pattern gives its sensor's codes, and
 * its own tags the levels (Adobe DNG 1.7, chapter 4): they are demosaiced here, linear, with negative noise kept. What
 * has another pattern, or keeps its levels in a maker's notes, is unpacked and demosaiced by LibRaw: black subtracted,
 * no white balance, no curve, camera colours, bilinear where the pattern has it. Node.
 */

import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import type { Rgb } from "../frames/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { binned, demosaic, type Mosaic, type Pattern, type Picture } from "./demosaic.ts";
import type { FileHeader } from "./header.ts";
import { sizeFault } from "./limits.ts";
import { oriented } from "./orient.ts";
import type { Reading } from "./reading.ts";

/** What LibRaw's metadata hold of what is used here. */
interface RawMetadata {
  readonly width: number;
  readonly height: number;
  readonly raw_width: number;
  readonly raw_height: number;
  readonly flip: number;
  readonly iso_speed: number;
  readonly shutter: number;
  readonly aperture: number;
  readonly colors: number;
  readonly filters: number;
  readonly dng_version: number;
  readonly color_data: {
    readonly black: number;
    readonly maximum: number;
    readonly raw_bps: number;
    readonly cam_mul: readonly number[];
    readonly rgb_cam: readonly (readonly number[])[];
    readonly dng_levels?: { readonly asshotneutral: readonly number[] };
  };
}

interface Samples {
  readonly width: number;
  readonly height: number;
  readonly data: Uint16Array;
}

interface Decoder {
  open(bytes: Uint8Array, settings: object): void;
  metadata(full: boolean): RawMetadata | undefined;
  imageData(): (Samples & { readonly colors: number }) | undefined;
  rawImageData():
    | (Samples & { readonly raw_width: number; readonly top_margin: number; readonly left_margin: number })
    | undefined;
  delete(): void;
}

interface Library {
  readonly LibRaw: new () => Decoder;
}

/** Linear, as the sensor gave it: no balance, no brightening, no curve, no colour conversion, bilinear, upright as stored. */
const PLAIN = {
  outputBps: 16,
  gamm: [1, 1],
  noAutoBright: true,
  adjustMaximumThr: 0,
  noAutoScale: true,
  outputColor: 0,
  userQual: 0,
  userFlip: 0,
};

/** `half`: each block of 2 × 2 sites as one pixel, without guessing. */
export async function decodeRaw(
  bytes: Uint8Array,
  header: FileHeader,
  name: string,
  half: boolean,
): Promise<Result<Reading>> {
  const library = await loadLibrary();
  if (library === null) return failure(missing(name));
  const decoder = new library.LibRaw();
  try {
    decoder.open(bytes, { ...PLAIN, halfSize: half });
    const metadata = decoder.metadata(true);
    if (metadata === undefined) return failure(damaged(name));
    const tooLarge = sizeFault(metadata.raw_width, metadata.raw_height, name);
    if (tooLarge !== null) return failure(tooLarge);
    const pattern = patternOf(metadata);
    const isBayerDng = metadata.dng_version > 0 && pattern !== null && header.blackLevels !== null;
    return isBayerDng
      ? fromMosaic(decoder, metadata, header, pattern, name, half)
      : fromLibrary(decoder, metadata, name);
  } catch {
    // LibRaw throws values of its own, not errors: a file it cannot open or unpack.
    return failure(damaged(name));
  } finally {
    decoder.delete();
  }
}

const damaged = (name: string) =>
  fault(
    "frame-damaged",
    "The raw decoder cannot read this file",
    name,
    "Copy the file again; if it stays, convert it to DNG.",
  );

const missing = (name: string) =>
  fault(
    "decoder-missing",
    "The raw decoder is not installed",
    name,
    "Install Stopwise again with its optional packages.",
  );

async function loadLibrary(): Promise<Library | null> {
  try {
    // The package's own entry wants a browser's worker; the module under it runs anywhere when handed its bytes.
    const entry = createRequire(import.meta.url).resolve("libraw-wasm");
    const module = new URL("libraw.js", pathToFileURL(entry));
    const wasmBinary = await readFile(new URL("libraw.wasm", pathToFileURL(entry)));
    const { default: start } = (await import(module.href)) as { default: (options: object) => Promise<Library> };
    return await start({ wasmBinary, print: () => {}, printErr: () => {} });
  } catch {
    return null;
  }
}

/** The colour of a site by LibRaw's word of 16 sites, two columns by eight rows, two bits each; null for other patterns. */
function patternOf({ filters, colors }: RawMetadata): Pattern | null {
  if (filters < 1000 || colors !== 3) return null;
  const at = (row: number, column: number): number => {
    const colour = (filters >>> ((((row << 1) & 14) | (column & 1)) << 1)) & 3;
    return colour === 3 ? 1 : colour;
  };
  for (let row = 2; row < 8; row++) {
    for (let column = 0; column < 2; column++) if (at(row, column) !== at(row & 1, column)) return null;
  }
  const pattern: Pattern = [at(0, 0), at(0, 1), at(1, 0), at(1, 1)];
  return [0, 1, 2].every((colour) => pattern.includes(colour)) ? pattern : null;
}

function fromMosaic(
  decoder: Decoder,
  metadata: RawMetadata,
  header: FileHeader,
  pattern: Pattern,
  name: string,
  half: boolean,
): Result<Reading> {
  const raw = decoder.rawImageData();
  const white = header.whiteLevel ?? metadata.color_data.maximum;
  const levels = header.blackLevels as readonly number[];
  if (raw === undefined || raw.width < 2 || raw.height < 2) return failure(damaged(name));
  if (levels.some((level) => level >= white)) {
    const what = `Its black level ${levels.join(", ")} is not under its white level ${white}`;
    return failure(fault("frame-levels", what, name, "Convert it again from the camera's file."));
  }
  const black = sitesOf(levels);
  const { width, height } = raw;
  const mosaic: Mosaic = {
    width,
    height,
    codes: cropped(raw),
    pattern,
    black,
    white,
    clipCode: clipCode(white, black),
  };
  const picture = half ? binned(mosaic) : demosaic(mosaic);
  return success(readingOf(picture, metadata, { white, black: levels }, { width, height }));
}

/** One level for all, or one per site of the 2 × 2 pattern; of more sites the first four are near enough. */
const sitesOf = (levels: readonly number[]): Mosaic["black"] =>
  levels.length >= 4
    ? [levels[0] as number, levels[1] as number, levels[2] as number, levels[3] as number]
    : [levels[0] as number, levels[0] as number, levels[0] as number, levels[0] as number];

/** 0.98 of white over black (domain, 10.4). */
const clipCode = (white: number, black: readonly number[]): number => {
  const least = Math.min(...black);
  return least + CLIP * (white - least);
};

const CLIP = 0.98;

/** The visible area of the sensor, a copy of our own. */
function cropped(raw: NonNullable<ReturnType<Decoder["rawImageData"]>>): Uint16Array {
  const { width, height, raw_width: pitch, top_margin: top, left_margin: left, data } = raw;
  const codes = new Uint16Array(width * height);
  for (let y = 0; y < height; y++) {
    const at = (top + y) * pitch + left;
    codes.set(data.subarray(at, at + width), y * width);
  }
  return codes;
}

function fromLibrary(decoder: Decoder, before: RawMetadata, name: string): Result<Reading> {
  const picture = decoder.imageData();
  const white = before.color_data.maximum - before.color_data.black;
  if (picture === undefined || (picture.colors !== 3 && picture.colors !== 1) || !(white > 0))
    return failure(damaged(name));
  const { width, height, colors } = picture;
  const rgb = new Float32Array(3 * width * height);
  for (let p = 0; p < width * height; p++) {
    for (let c = 0; c < 3; c++) {
      rgb[3 * p + c] = (picture.data[colors === 3 ? 3 * p + c : p] as number) / white;
    }
  }
  const levels = { white: before.color_data.maximum, black: [before.color_data.black] };
  return success(readingOf({ width, height, rgb }, before, levels, before));
}

/** The picture's numbers are parts of white over black already; `full` is the sensor's, not yet turned upright. */
function readingOf(
  picture: Picture,
  metadata: RawMetadata,
  levels: { readonly white: number; readonly black: readonly number[] },
  full: { readonly width: number; readonly height: number },
): Reading {
  const turned = oriented(picture, orientationOf(metadata.flip));
  const isOnSide = turned.width === picture.height && turned.height === picture.width && turned.width !== turned.height;
  const colour = metadata.color_data.rgb_cam.slice(0, 3).map((row) => row.slice(0, 3));
  const isKnown = colour.length === 3 && colour.every((row) => row.every(Number.isFinite) && row.some((v) => v !== 0));
  return {
    raster: { width: turned.width, height: turned.height, channels: 3, codes: turned.rgb },
    full: isOnSide ? { width: full.height, height: full.width } : { width: full.width, height: full.height },
    white: 1,
    black: [0, 0, 0],
    image: {
      bits: metadata.color_data.raw_bps > 0 ? Math.min(16, metadata.color_data.raw_bps) : 14,
      encoding: "linear",
      source: "raw",
      profile: null,
      whiteLevel: levels.white,
      blackLevels: levels.black,
      clip: CLIP,
      balance: balanceOf(metadata),
      toSrgb: isKnown ? colour.flat() : null,
    },
    notes: [],
  };
}

/** LibRaw's flip as Exif's orientation. */
const orientationOf = (flip: number): number => ({ 3: 3, 5: 8, 6: 6 })[flip] ?? 1;

/** Multipliers with green 1, from the neutral that the file states, else from the camera's own; null without. */
function balanceOf({ color_data: { dng_levels: levels, cam_mul: own } }: RawMetadata): Rgb | null {
  const neutral = levels?.asshotneutral.slice(0, 3) ?? [];
  const [r = 0, g = 0, b = 0] = neutral.length === 3 && neutral.every((v) => v > 0) ? neutral.map((v) => 1 / v) : own;
  return r > 0 && g > 0 && b > 0 ? [r / g, 1, b / g] : null;
}
