/**
 * What a picture file says of itself before a pixel is decoded: its kind by its first bytes, size, bits, orientation,
 * exposure, profile. JPEG: ITU-T T.81 markers with Exif and profile segments (CIPA DC-008; ICC.1, annex B.4). PNG:
 * ISO/IEC 15948 and its third edition's cICP and eXIf. TIFF: TIFF 6.0. PPM and PGM: `pnm.ts`. Runs anywhere.
 */

import type { FrameExposure, ToneCurve } from "../frames/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { exposureOf, NO_EXPOSURE } from "./exposure.ts";
import { readProfile } from "./icc.ts";
import { bytesFault, sizeFault } from "./limits.ts";
import { readPnmHeader } from "./pnm.ts";
import { type Directory, numberOf, readTags, TAG } from "./tiff-tags.ts";

export type FileKind = "jpeg" | "png" | "tiff" | "pnm" | "raw";

/** A profile as it stands in the file; PNG's is deflated. */
export interface ProfileBytes {
  readonly bytes: Uint8Array;
  readonly deflated: boolean;
}

export interface FileHeader {
  readonly kind: FileKind;
  /** As stored, before orientation; 0 for raw kinds whose size only the raw decoder knows. */
  readonly width: number;
  readonly height: number;
  /** Of one channel. */
  readonly bits: number;
  /** Exif's orientation, 1 to 8. */
  readonly orientation: number;
  readonly exposure: FrameExposure;
  readonly profile: ProfileBytes | null;
  /** What else the file says of its code, where no profile does: PNG's gamma, or that it is sRGB. */
  readonly stated: { readonly kind: "srgb" } | { readonly kind: "gamma"; readonly exponent: number } | null;
  /** TIFF: in the file's own numbers, as camera files state them. */
  readonly blackLevels: readonly number[] | null;
  readonly whiteLevel: number | null;
  /** Written by a camera: it has a shutter time or an f-number. */
  readonly fromCamera: boolean;
  readonly hasAlpha: boolean;
  /** One channel of light. */
  readonly grey: boolean;
}

/** Endings of camera raw files that do not say by their first bytes what they are. */
const RAW_ENDINGS: ReadonlySet<string> = new Set(
  (
    "dng nef nrw cr2 cr3 crw arw srf sr2 orf rw2 raw rwl raf pef ptx srw x3f iiq 3fr fff mef mos erf dcr kdc mrw gpr cap " +
    "eip bay dcs drf k25 mdc pxn rwz"
  ).split(" "),
);

const endingOf = (name: string): string => /\.([^.]+)$/.exec(name)?.[1]?.toLowerCase() ?? "";

/** Whether a file by its name may be a frame: what a folder is searched for. */
export const isFrameName = (name: string): boolean =>
  RAW_ENDINGS.has(endingOf(name)) || /\.(jpe?g|png|tiff?|ppm|pgm|pnm)$/i.test(name);

/** Faults: empty, too large, a kind that is not read, a header that does not hold. Nothing is decoded. */
export function readHeader(bytes: Uint8Array, name: string): Result<FileHeader> {
  const byBytes = bytesFault(bytes.length, name);
  if (byBytes !== null) return failure(byBytes);
  const header = headerOf(bytes, name);
  if (!header.ok || (header.value.kind === "raw" && header.value.width === 0)) return header;
  const bySize = sizeFault(header.value.width, header.value.height, name);
  return bySize === null ? header : failure(bySize);
}

function headerOf(bytes: Uint8Array, name: string): Result<FileHeader> {
  if (startsWith(bytes, 0xff, 0xd8, 0xff)) return jpegHeader(bytes, name);
  if (startsWith(bytes, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return pngHeader(bytes, name);
  if (bytes[0] === 0x50 && (bytes[1] as number) >= 0x31 && (bytes[1] as number) <= 0x37) return pnmHeader(bytes, name);
  const isTiff = startsWith(bytes, 0x49, 0x49, 0x2a, 0) || startsWith(bytes, 0x4d, 0x4d, 0, 0x2a);
  if (isTiff) return tiffHeader(bytes, name);
  if (RAW_ENDINGS.has(endingOf(name))) return success({ ...blank, kind: "raw" });
  const what = "This is none of the picture kinds that are read";
  return failure(
    fault(
      "frame-kind",
      what,
      name,
      "Give a JPEG, PNG, TIFF, PPM or PGM, a DNG, or a camera's raw file with its ending.",
    ),
  );
}

const blank: FileHeader = {
  kind: "raw",
  width: 0,
  height: 0,
  bits: 16,
  orientation: 1,
  exposure: NO_EXPOSURE,
  profile: null,
  stated: null,
  blackLevels: null,
  whiteLevel: null,
  fromCamera: false,
  hasAlpha: false,
  grey: false,
};

const startsWith = (bytes: Uint8Array, ...first: readonly number[]): boolean =>
  first.every((byte, i) => bytes[i] === byte);

const isCamera = (exposure: FrameExposure): boolean => exposure.shutterS !== null || exposure.fNumber !== null;

const orientationOf = (directory: Directory | undefined): number => {
  const value = directory === undefined ? 1 : (numberOf(directory, TAG.orientation) ?? 1);
  return Number.isInteger(value) && value >= 1 && value <= 8 ? value : 1;
};

/** What an Exif block says. */
function fromExif(block: Uint8Array): Pick<FileHeader, "exposure" | "orientation" | "fromCamera"> {
  const directories = readTags(block)?.directories ?? [];
  const exposure = exposureOf(directories);
  return { exposure, orientation: orientationOf(directories[0]), fromCamera: isCamera(exposure) };
}

const cut = (name: string): Result<never> =>
  failure(fault("frame-truncated", "The file ends inside its header", name, "Copy the file again, whole."));

/** Exif and profile segments, then the frame header that states the size (T.81, B.2.2). */
function jpegHeader(bytes: Uint8Array, name: string): Result<FileHeader> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const profileParts: Uint8Array[] = [];
  let exif: ReturnType<typeof fromExif> | null = null;
  for (let at = 2; at + 4 <= bytes.length; ) {
    if (bytes[at] !== 0xff) return cut(name);
    const marker = bytes[at + 1] as number;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    const length = view.getUint16(at + 2);
    const body = bytes.subarray(at + 4, at + 2 + length);
    if (length < 2 || at + 2 + length > bytes.length) return cut(name);
    if (isFrameMarker(marker)) return jpegFrame(body, marker, name, profileParts, exif);
    if (marker === 0xda) break;
    if (marker === 0xe1 && textAt(body, 0, 6) === "Exif\0\0") exif ??= fromExif(body.subarray(6));
    if (marker === 0xe2 && textAt(body, 0, 12) === "ICC_PROFILE\0") profileParts.push(body);
    at += 2 + length;
  }
  return cut(name);
}

/** SOF0 to SOF15 without DHT (C4), JPG (C8) and DAC (CC). */
const isFrameMarker = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

function jpegFrame(
  body: Uint8Array,
  marker: number,
  name: string,
  profileParts: readonly Uint8Array[],
  exif: ReturnType<typeof fromExif> | null,
): Result<FileHeader> {
  if (body.length < 6) return cut(name);
  const view = new DataView(body.buffer, body.byteOffset, body.byteLength);
  const bits = view.getUint8(0);
  const channels = view.getUint8(5);
  if (bits !== 8 || (channels !== 1 && channels !== 3) || ![0xc0, 0xc1, 0xc2].includes(marker)) {
    const what = `This JPEG has ${channels} channels of ${bits} bits in a coding that is not read (marker ${marker.toString(16)})`;
    return failure(fault("frame-kind", what, name, "Save it as an 8-bit grey or rgb JPEG, or give the raw file."));
  }
  return success({
    ...blank,
    ...exif,
    kind: "jpeg",
    height: view.getUint16(1),
    width: view.getUint16(3),
    bits,
    grey: channels === 1,
    profile: jpegProfile(profileParts),
  });
}

/** The parts carry their number and how many there are (ICC.1, B.4). */
function jpegProfile(parts: readonly Uint8Array[]): ProfileBytes | null {
  if (parts.length === 0) return null;
  const sorted = parts.toSorted((a, b) => (a[12] as number) - (b[12] as number));
  return { bytes: joined(sorted.map((part) => part.subarray(14))), deflated: false };
}

/** All chunks up to the picture's data, and Exif after it. */
function pngHeader(bytes: Uint8Array, name: string): Result<FileHeader> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 33 || textAt(bytes, 12, 4) !== "IHDR") return cut(name);
  const colourType = view.getUint8(25);
  const depth = view.getUint8(24);
  let found: Partial<FileHeader> = {};
  let rank = 0;
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    if (at + 12 + length > bytes.length) break;
    const body = bytes.subarray(at + 8, at + 8 + length);
    const chunk = textAt(bytes, at + 4, 4);
    if (chunk === "eXIf") found = { ...found, ...fromExif(body) };
    if (chunk === "tRNS") found = { ...found, hasAlpha: true };
    const colour = pngColour(chunk, body);
    if (colour !== null && colour.rank > rank) {
      rank = colour.rank;
      found = { ...found, profile: null, stated: null, ...colour.says };
    }
    at += 12 + length;
  }
  const isPalette = colourType === 3;
  return success({
    ...blank,
    ...found,
    kind: "png",
    width: view.getUint32(16),
    height: view.getUint32(20),
    bits: isPalette ? 8 : depth,
    hasAlpha: found.hasAlpha === true || (colourType & 4) === 4,
    grey: colourType === 0 || colourType === 4,
  });
}

/** How the code is to be read; a higher rank goes before a lower (PNG third edition, 4.3). */
function pngColour(
  chunk: string,
  body: Uint8Array,
): { readonly rank: number; readonly says: Pick<Partial<FileHeader>, "profile" | "stated"> } | null {
  if (chunk === "gAMA" && body.length === 4) {
    const exponent = new DataView(body.buffer, body.byteOffset, 4).getUint32(0) / 100_000;
    return exponent > 0.05 && exponent < 20 ? { rank: 1, says: { stated: { kind: "gamma", exponent } } } : null;
  }
  if (chunk === "sRGB") return { rank: 2, says: { stated: { kind: "srgb" } } };
  if (chunk === "iCCP") {
    const end = body.indexOf(0);
    if (end < 0 || body.length < end + 3) return null;
    return { rank: 3, says: { profile: { bytes: body.subarray(end + 2), deflated: true } } };
  }
  // Transfer functions of ITU-T H.273: 8 is linear, 13 is sRGB's.
  if (chunk === "cICP" && body[1] === 8) return { rank: 4, says: { stated: { kind: "gamma", exponent: 1 } } };
  return chunk === "cICP" && body[1] === 13 ? { rank: 4, says: { stated: { kind: "srgb" } } } : null;
}

function pnmHeader(bytes: Uint8Array, name: string): Result<FileHeader> {
  const header = readPnmHeader(bytes, name);
  if (!header.ok) return header;
  const { width, height, most, channels, shutterUnits } = header.value;
  const exposure = shutterUnits === null ? NO_EXPOSURE : { ...NO_EXPOSURE, shutterS: shutterUnits };
  return success({
    ...blank,
    kind: "pnm",
    width,
    height,
    bits: Math.ceil(Math.log2(most + 1)),
    grey: channels === 1,
    exposure,
  });
}

/** Photometric interpretations that are read: grey both ways round, rgb, palette, JPEG's own. */
const READ_PHOTOMETRIC: ReadonlySet<number> = new Set([0, 1, 2, 3, 6]);
const COLOUR_FILTERS = 32803;
const LINEAR_RAW = 34892;

function tiffHeader(bytes: Uint8Array, name: string): Result<FileHeader> {
  const file = readTags(bytes);
  const first = file?.directories[0];
  if (file === null || first === undefined) return cut(name);
  const exposure = exposureOf(file.directories);
  const common = { ...blank, exposure, orientation: orientationOf(first), fromCamera: isCamera(exposure) };
  const raw = rawDirectory(file.directories);
  if (raw !== null || RAW_ENDINGS.has(endingOf(name))) {
    return success({ ...common, ...sizeOf(raw), ...levelsOf(raw ?? first) });
  }
  return plainTiff(bytes, first, common, name);
}

/** The directory that holds the sensor's pixels: the largest one of filters or of linear raw. */
function rawDirectory(directories: readonly Directory[]): Directory | null {
  const all = directories.flatMap((each) => [each, ...each.under]);
  const area = (each: Directory): number => (numberOf(each, TAG.width) ?? 0) * (numberOf(each, TAG.height) ?? 0);
  const raw = all.filter((each) => [COLOUR_FILTERS, LINEAR_RAW].includes(numberOf(each, TAG.photometric) ?? -1));
  return raw.toSorted((a, b) => area(b) - area(a))[0] ?? null;
}

const sizeOf = (directory: Directory | null): { readonly width: number; readonly height: number } => ({
  width: (directory && numberOf(directory, TAG.width)) ?? 0,
  height: (directory && numberOf(directory, TAG.height)) ?? 0,
});

function levelsOf(directory: Directory): Pick<FileHeader, "blackLevels" | "whiteLevel"> {
  const black = directory.tags.get(TAG.blackLevel)?.numbers ?? [];
  const isBlack =
    black.length > 0 && black.length <= 64 && black.every((level) => Number.isFinite(level) && level >= 0);
  const white = numberOf(directory, TAG.whiteLevel);
  return {
    blackLevels: isBlack ? black : null,
    whiteLevel: white !== undefined && white > 0 && white <= 65_535 ? white : null,
  };
}

function plainTiff(bytes: Uint8Array, first: Directory, common: FileHeader, name: string): Result<FileHeader> {
  const { width, height } = sizeOf(first);
  const depths = first.tags.get(TAG.bitsPerSample)?.numbers ?? [1];
  const bits = Math.max(...depths);
  const photometric = numberOf(first, TAG.photometric) ?? 1;
  const format = numberOf(first, TAG.sampleFormat) ?? 1;
  const samples = numberOf(first, TAG.samplesPerPixel) ?? 1;
  const isRead = READ_PHOTOMETRIC.has(photometric) && format === 1 && [1, 2, 4, 8, 16].includes(bits) && samples <= 5;
  if (!isRead) {
    const numbers = format === 3 ? "floating-point numbers" : "whole numbers";
    const what = `This TIFF holds ${samples} channels of ${bits}-bit ${numbers}, colour kind ${photometric}, which is not read`;
    return failure(fault("frame-kind", what, name, "Save it as an 8 or 16-bit grey or rgb TIFF."));
  }
  const profile = first.tags.get(TAG.iccProfile);
  return success({
    ...common,
    ...levelsOf(first),
    kind: "tiff",
    width,
    height,
    bits,
    profile:
      profile === undefined ? null : { bytes: bytes.subarray(profile.at, profile.at + profile.bytes), deflated: false },
    hasAlpha: samples === (photometric === 2 || photometric === 6 ? 4 : 2),
    grey: photometric <= 1,
  });
}

function textAt(bytes: Uint8Array, at: number, length: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + length));
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** The curve from code to light that the header states, when its profile has one; `inflated` is the profile, unpacked. */
export function curveOf(
  header: FileHeader,
  inflated: Uint8Array | null,
): ToneCurve | "linear" | "srgb" | "unread" | null {
  if (inflated !== null) {
    const profile = readProfile(inflated);
    return profile?.curve ?? "unread";
  }
  if (header.stated === null) return null;
  if (header.stated.kind === "srgb") return "srgb";
  const { exponent } = header.stated;
  if (Math.abs(exponent - 1) < 1e-3) return "linear";
  const table = Float32Array.from({ length: 4096 }, (_, i) => (i / 4095) ** (1 / exponent));
  return { name: `the file's gamma of ${exponent}`, tables: [table, table, table] };
}
