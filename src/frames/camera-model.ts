/**
 * A camera in numbers: what a sensor and its file make of a linear picture. Photon noise, read noise, the file's codes
 * (linear as raw files, or sRGB as processed ones), clipping. Used to try the room on rendered frames. Seeded: the same
 * seed makes the same frame. What it leaves out: colour-filter mosaic, a lossy file's blocks, fixed patterns.
 */

import { srgbEncode } from "../colour/index.ts";
import { srgbCurve } from "./tone-curve.ts";
import type { CameraNoise, FrameImage } from "./types.ts";

/** 14-bit raw of a good camera, base sensitivity: figures from memory. */
export const RAW_14: CameraNoise = { fullWell: 50_000, readNoise: 5, bits: 14, encoding: "linear" };
/** The same sensor behind an 8-bit processed file whose curve is sRGB's. */
export const CODED_8: CameraNoise = { fullWell: 50_000, readNoise: 5, bits: 8, encoding: "srgb" };
/** No noise and 16 bits: what only geometry and arithmetic leave. */
export const CLEAN_16: CameraNoise = { fullWell: 1e12, readNoise: 0, bits: 16, encoding: "linear" };

/** Dice with a seed. */
export interface SeededRandom {
  /** 0 ≤ u < 1. */
  uniform(): number;
  /** Mean 0, deviation 1 (Box and Muller 1958). */
  normal(): number;
}

/** A 32-bit generator by mixing a counter (after Steele, Lea and Flood 2014, in 32 bits; constants from memory). */
export function seededRandom(seed: number): SeededRandom {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return ((z ^ (z >>> 15)) >>> 0) / 2 ** 32;
  };
  let kept: number | null = null;
  const normal = (): number => {
    if (kept !== null) {
      const value = kept;
      kept = null;
      return value;
    }
    const size = Math.sqrt(-2 * Math.log(1 - uniform()));
    const angle = 2 * Math.PI * uniform();
    kept = size * Math.sin(angle);
    return size * Math.cos(angle);
  };
  return { uniform, normal };
}

/** The file that such a camera writes of a linear picture in which 1 is the white level. */
export function photograph(
  linear: Float32Array,
  width: number,
  height: number,
  camera: CameraNoise,
  seed: number,
): FrameImage {
  const random = seededRandom(seed);
  const top = 2 ** camera.bits - 1;
  const rgb = new Float32Array(linear.length);
  for (let i = 0; i < rgb.length; i++) {
    const electrons = Math.max(0, (linear[i] as number) * camera.fullWell);
    const sigma = Math.sqrt(electrons + camera.readNoise ** 2);
    const light = Math.min(1, (electrons + sigma * random.normal()) / camera.fullWell);
    // A raw file keeps what falls under black (its black level lies above 0); a processed one does not.
    const code = camera.encoding === "linear" ? light : srgbEncode(Math.max(0, light));
    rgb[i] = Math.round(top * code) / top;
  }
  const raw = camera.encoding === "linear";
  return {
    ...{ width, height, rgb, bits: camera.bits, encoding: raw ? "linear" : "coded", source: raw ? "raw" : "processed" },
    ...{ profile: raw ? null : srgbCurve, whiteLevel: raw ? top : null, blackLevels: null },
    ...{ clip: raw ? 0.98 : srgbEncode(0.98), balance: null, toSrgb: null },
  };
}
