/**
 * JPEG, PNG and TIFF through libvips (the package sharp), PPM and PGM by hand: codes as they stand in the file, no
 * colour conversion, upright. What the code means (a tone curve, or light itself) comes from the header. Node.
 */

import { inflateSync } from "node:zlib";
import { type FrameImage, srgbCurve } from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { curveOf, type FileHeader } from "./header.ts";
import { DECODE_PATIENCE_MS, MOST_PIXELS } from "./limits.ts";
import { readPnmHeader, readPnmSamples } from "./pnm.ts";
import type { Raster, Reading } from "./reading.ts";

/** How a file's code is to be taken where its maker knows better than the file says. */
export type CodeMeaning = "linear" | "coded" | null;

/** The part of white at which a channel counts as clipped (domain, 10.4). */
const CLIP = 0.98;

export async function decodePlain(
  bytes: Uint8Array,
  header: FileHeader,
  name: string,
  meaning: CodeMeaning,
): Promise<Result<Reading>> {
  const decoded = header.kind === "pnm" ? decodePnm(bytes, name) : await decodeByLibrary(bytes, header, name);
  return decoded.ok ? success(readingOf(decoded.value, header, name, meaning)) : decoded;
}

interface Codes {
  readonly raster: Raster & { readonly codes: Uint8Array | Uint16Array };
  /** The largest code that the file can hold. */
  readonly most: number;
  readonly notes: readonly Fault[];
}

function decodePnm(bytes: Uint8Array, name: string): Result<Codes> {
  const header = readPnmHeader(bytes, name);
  if (!header.ok) return header;
  const { width, height, channels, most } = header.value;
  const codes = readPnmSamples(bytes, header.value, name);
  return codes.ok ? success({ raster: { width, height, channels, codes: codes.value }, most, notes: [] }) : codes;
}

type Sharp = typeof import("sharp")["default"];

/** Null when it is not installed for this machine. */
export async function loadSharp(): Promise<Sharp | null> {
  try {
    const { default: sharp } = await import("sharp");
    // Each frame is seen once: keeping it would only hold its memory.
    sharp.cache(false);
    sharp.concurrency(1);
    return sharp;
  } catch {
    return null;
  }
}

async function decodeByLibrary(bytes: Uint8Array, header: FileHeader, name: string): Promise<Result<Codes>> {
  const sharp = await loadSharp();
  if (sharp === null) {
    const mend =
      "Install Stopwise again with its optional packages (npm ci --include=optional); PPM and PGM need none.";
    return failure(fault("decoder-missing", "The picture decoder is not installed for this machine", name, mend));
  }
  try {
    return success(await codesBy(sharp, bytes, header, "warning", []));
  } catch {
    // A decoder's mere warning, as many cameras' files cause one, does not stop the reading; damage does.
  }
  try {
    const odd = fault(
      "frame-odd",
      "The decoder warned of something odd in this file",
      name,
      "Compare it with its neighbours.",
    );
    return success(await codesBy(sharp, bytes, header, "error", [odd]));
  } catch (error) {
    return failure(decodeFault(error, name));
  }
}

async function codesBy(
  sharp: Sharp,
  bytes: Uint8Array,
  header: FileHeader,
  failOn: "warning" | "error",
  notes: readonly Fault[],
): Promise<Codes> {
  const wide = header.bits === 16;
  const space = header.grey ? (wide ? "grey16" : "b-w") : wide ? "rgb16" : "srgb";
  const { data, info } = await sharp(bytes, { ignoreIcc: true, failOn, limitInputPixels: MOST_PIXELS, pages: 1 })
    .timeout({ seconds: DECODE_PATIENCE_MS / 1000 })
    .autoOrient()
    .removeAlpha()
    .toColourspace(space)
    .raw({ depth: wide ? "ushort" : "uchar" })
    .toBuffer({ resolveWithObject: true });
  const { width, height, channels } = info;
  const count = width * height * channels;
  if ((channels !== 1 && channels !== 3) || data.length !== count * (wide ? 2 : 1)) throw new Error("channels");
  const codes = wide
    ? new Uint16Array(data.buffer, data.byteOffset, count)
    : new Uint8Array(data.buffer, data.byteOffset, count);
  return { raster: { width, height, channels, codes }, most: wide ? 65_535 : 255, notes };
}

function decodeFault(error: unknown, name: string): Fault {
  const said = error instanceof Error ? error.message : "";
  if (/timeout/i.test(said)) {
    return fault("frame-slow", `It did not decode within ${DECODE_PATIENCE_MS / 1000} s`, name, "Save it anew.");
  }
  if (/premature|truncated|end of|not enough|read error|short read/i.test(said)) {
    return fault("frame-truncated", "The file ends before its last pixel", name, "Copy the file again, whole.");
  }
  return fault(
    "frame-damaged",
    "The picture in this file is damaged or of a rare kind",
    name,
    "Copy the file again, or save it anew.",
  );
}

/** What the codes mean, with what had to be assumed. */
function readingOf({ raster, most, notes }: Codes, header: FileHeader, name: string, told: CodeMeaning): Reading {
  const meaning = meaningOf(header, name, told);
  const linear = meaning.profile === null;
  const stated = linear ? blackOf(header, most) : NO_BLACK;
  const black = stated ?? NO_BLACK;
  const white = linear ? (header.whiteLevel ?? most) : most;
  const odd: Fault[] = [];
  if (stated === null) {
    const what = "Its black level is not under its white level and is left out";
    odd.push(fault("frame-levels", what, name, "Give the file as the camera wrote it."));
  }
  if (header.hasAlpha) {
    odd.push(fault("alpha-left-out", "Its transparency is left out", name, "Nothing to do, unless it was a mask."));
  }
  return {
    raster,
    white,
    black,
    image: {
      bits: Math.max(1, header.bits - Math.log2(stepOf(raster.codes))),
      encoding: linear ? "linear" : "coded",
      source: linear ? "linear-file" : "processed",
      profile: meaning.profile,
      whiteLevel: linear ? white : null,
      blackLevels: linear ? black : null,
      clip: CLIP,
      balance: null,
      toSrgb: null,
    },
    notes: [...notes, ...meaning.notes, ...odd],
  };
}

const NO_BLACK = [0, 0, 0] as const;

interface Meaning {
  /** Null: linear. */
  readonly profile: FrameImage["profile"];
  readonly notes: readonly Fault[];
}

function meaningOf(header: FileHeader, name: string, told: CodeMeaning): Meaning {
  const inflated = profileBytes(header);
  const curve = inflated === undefined ? "unread" : curveOf(header, inflated);
  const assumed = (what: string): Meaning => ({
    profile: srgbCurve,
    notes: told === "coded" ? [] : [fault("curve-assumed", what, name, "Shoot raw, or a bracket of known steps.")],
  });
  if (told === "linear" || curve === "linear") return LINEAR;
  if (curve === "srgb") return { profile: srgbCurve, notes: [] };
  if (curve === "unread") return assumed("Its embedded profile has no plain curves; sRGB's is taken instead");
  if (curve !== null) return isStraight(curve) ? LINEAR : { profile: curve, notes: [] };
  if (header.bits < 16 || told === "coded") return assumed("It embeds no profile; sRGB's curve is taken");
  if (header.blackLevels !== null) return LINEAR;
  const what = "It has 16 bits and says nothing of a curve; it is taken as linear";
  const mend = "If it was saved with a curve, say so (--coded), or embed its profile.";
  return { profile: null, notes: [fault("linear-assumed", what, name, mend)] };
}

const LINEAR: Meaning = { profile: null, notes: [] };

/** Profiles are some hundred kilobytes at most; a small stream that unpacks to more is no profile. */
const LARGEST_PROFILE = 4 * 1024 * 1024;

/** Null without a profile, undefined when it cannot be unpacked. */
function profileBytes({ profile }: FileHeader): Uint8Array | null | undefined {
  if (profile === null || !profile.deflated) return profile?.bytes ?? null;
  try {
    return inflateSync(profile.bytes, { maxOutputLength: LARGEST_PROFILE });
  } catch {
    return undefined;
  }
}

/** Within half a step of 12 bits everywhere. */
const isStraight = (curve: NonNullable<FrameImage["profile"]>): boolean =>
  curve.tables.every((table) => table.every((light, i) => Math.abs(light - i / (table.length - 1)) < 1 / 8192));

/** Black of each channel: one level for all, or the file's three; null when it does not lie under white. */
function blackOf(
  { blackLevels, whiteLevel, grey }: FileHeader,
  most: number,
): readonly [number, number, number] | null {
  const levels = blackLevels ?? [0];
  const [first = 0] = levels;
  const three = !grey && levels.length === 3 ? levels : [first, first, first];
  const isUnder = three.every((level) => level < (whiteLevel ?? most));
  return isUnder ? [three[0] as number, three[1] as number, three[2] as number] : null;
}

/** The step between neighbouring codes: 16 for twelve bits that stand at the upper end of sixteen. */
function stepOf(codes: Uint8Array | Uint16Array): number {
  if (codes.BYTES_PER_ELEMENT === 1) return 1;
  let all = 0;
  for (let i = 0; i < codes.length; i++) all |= codes[i] as number;
  return all === 0 ? 1 : all & -all;
}
