/** Files as cameras and scanners write them, of rendered frames: JPEG with Exif, 16-bit TIFF, PNG. */

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import sharp from "sharp";
import { type CameraNoise, photograph } from "../src/frames/index.ts";
import type { RenderedSet } from "./rendered-frames.ts";

export interface FileSettings {
  readonly shutter: string;
  readonly fNumber: string;
  readonly iso: string;
}

/** From linear light to a code 0…1. */
export type Curve = (light: number) => number;

const NOISE = { fullWell: 50_000, readNoise: 5 } as const;
const LINEAR_16: CameraNoise = { ...NOISE, bits: 16, encoding: "linear" };
const CODED_8: CameraNoise = { ...NOISE, bits: 8, encoding: "srgb" };

/** An 8-bit JPEG; `curve` in place of sRGB's, as a camera's own processing. */
export async function writeJpeg(
  path: string,
  set: RenderedSet,
  linear: Float32Array,
  settings: FileSettings | null,
  seed: number,
  curve: Curve | null = null,
): Promise<void> {
  const { width, height } = set;
  const noisy = photograph(linear, width, height, curve === null ? CODED_8 : LINEAR_16, seed).rgb;
  const codes = Uint8Array.from(noisy, (v) => Math.round(255 * (curve === null ? v : curve(Math.max(0, v)))));
  const image = sharp(codes, { raw: { width, height, channels: 3 } }).jpeg({ quality: 97, chromaSubsampling: "4:4:4" });
  const exif = settings && {
    IFD2: {
      ExposureTime: settings.shutter,
      FNumber: settings.fNumber,
      ISOSpeedRatings: settings.iso,
      ExposureMode: "1",
    },
  };
  writeFileSync(path, await (exif ? image.withExif(exif) : image).toBuffer());
}

/** A 16-bit linear TIFF without a profile. */
export async function writeTiff16(path: string, set: RenderedSet, linear: Float32Array, seed: number): Promise<void> {
  const { width, height } = set;
  const codes = Uint16Array.from(photograph(linear, width, height, LINEAR_16, seed).rgb, (v) =>
    Math.round(65_535 * Math.min(1, Math.max(0, v))),
  );
  const image = sharp(codes, { raw: { width, height, channels: 3 } }).toColourspace("rgb16");
  writeFileSync(path, await image.tiff({ compression: "none" }).toBuffer());
}

/** An 8-bit PNG. */
export async function writePng8(path: string, set: RenderedSet, linear: Float32Array, seed: number): Promise<void> {
  const { width, height } = set;
  const codes = Uint8Array.from(photograph(linear, width, height, CODED_8, seed).rgb, (v) => Math.round(255 * v));
  writeFileSync(
    path,
    await sharp(codes, { raw: { width, height, channels: 3 } })
      .png()
      .toBuffer(),
  );
}

/** White inside an ellipse, black around it. */
export async function writeMask(path: string, set: RenderedSet): Promise<void> {
  const { width, height } = set;
  const codes = Uint8Array.from({ length: width * height }, (_, i) => {
    const [x, y] = [((i % width) - width / 2) / (0.4 * width), (Math.floor(i / width) - height / 2) / (0.45 * height)];
    return x * x + y * y < 1 ? 255 : 0;
  });
  writeFileSync(
    path,
    await sharp(codes, { raw: { width, height, channels: 1 } })
      .png()
      .toBuffer(),
  );
}

export const inFolder =
  (folder: string) =>
  (name: string): string =>
    join(folder, name);
