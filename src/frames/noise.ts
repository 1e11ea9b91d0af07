/**
 * How much a pixel scatters: σ² = DN/g + σ_r², and the step of the codes squared over 12 (domain 10.4; g electrons a
 * DN, σ_r read noise; photon transfer, from memory after Janesick). Here DN is a part of the white level, so 1/g is
 * `perUnit`. Estimated from two frames alike, or from the smoothest places of one frame; never from texture.
 */

import { stepsOf } from "./tone-curve.ts";
import type { CameraNoise, LinearFrame, NoiseModel, ToneCurve } from "./types.ts";

/** Variance of one channel of one pixel at the linear value v. */
export function varianceOf(noise: NoiseModel, v: number): number {
  const light = Math.max(0, v);
  const step = noise.steps === null ? 0 : stepAt(noise.steps, light);
  return light * noise.perUnit + noise.floor + (step * step) / 12;
}

/** σ_r with the codes' step at black in it: 3 of these is "too dark". */
export const readSigma = (noise: NoiseModel): number => Math.sqrt(varianceOf(noise, 0));

/** Before anything is measured: a sensor of 30 000 electrons a pixel with 4 electrons of read noise, from memory. */
export const USUAL_CAMERA: CameraNoise = { fullWell: 30_000, readNoise: 4, bits: 14, encoding: "linear" };

/** A noise model from a camera's figures and a file's bits and curve. */
export function assumedNoise(bits: number, curve: ToneCurve | null, camera: CameraNoise = USUAL_CAMERA): NoiseModel {
  return {
    perUnit: 1 / camera.fullWell,
    floor: (camera.readNoise / camera.fullWell) ** 2,
    steps: stepsOf(curve, bits),
    from: "assumed",
  };
}

/** The model once n pixels are averaged. */
export const averagedNoise = (noise: NoiseModel, n: number): NoiseModel => ({
  ...noise,
  perUnit: noise.perUnit / n,
  floor: noise.floor / n,
  steps: noise.steps?.map((step) => step / Math.sqrt(n)) ?? null,
});

/**
 * From two frames of the same, by the scatter of their difference, green. Null when fewer than 500 pixels serve.
 * Quantising is in what is measured, so `steps` is null.
 */
export function noiseFromPair(a: LinearFrame, b: LinearFrame): NoiseModel | null {
  if (a.rgb.length !== b.rgb.length) throw new RangeError("a pair has one size");
  const samples: Sample[] = [];
  const stride = Math.max(1, Math.floor(a.clipped.length / MOST_SAMPLES));
  for (let i = 0; i < a.clipped.length; i += stride) {
    if (a.clipped[i] || b.clipped[i]) continue;
    const [va, vb] = [a.rgb[3 * i + 1] as number, b.rgb[3 * i + 1] as number];
    samples.push({ mean: (va + vb) / 2, variance: (va - vb) ** 2 / 2 });
  }
  // The median of a squared normal deviate is 0.4549 of its variance: robust where something moved.
  return samples.length < 500 ? null : fitNoise(samples, 0.5, 0.4549, "pair");
}

/** From the smoothest places of one frame, green: blocks of 8 by 8 through a filter blind to planes. Null when too few serve. */
export function noiseFromSmooth(frame: LinearFrame): NoiseModel | null {
  const samples: Sample[] = [];
  const [columns, rows] = [Math.floor(frame.width / BLOCK), Math.floor(frame.height / BLOCK)];
  const stride = Math.max(1, Math.floor((columns * rows) / MOST_SAMPLES));
  for (let k = 0; k < columns * rows; k += stride) {
    const sample = blockSample(frame, BLOCK * (k % columns), BLOCK * Math.floor(k / columns));
    if (sample !== null) samples.push(sample);
  }
  // A fifth of the way up a chi-square of about 20 free values (neighbouring filter outputs overlap): 0.74 of the mean.
  return samples.length < 100 ? null : fitNoise(samples, 0.2, 0.74, "smooth");
}

interface Sample {
  readonly mean: number;
  readonly variance: number;
}

const BLOCK = 8;
const MOST_SAMPLES = 40_000;
const BINS = 24;

/** Mean and noise variance of one block: Laplacian of Laplacians [1 −2 1]ᵀ[1 −2 1], whose squares sum to 36 (Immerkær 1996). */
function blockSample(frame: LinearFrame, x0: number, y0: number): Sample | null {
  const { rgb, clipped, width } = frame;
  let [sum, squares] = [0, 0];
  for (let y = y0; y < y0 + BLOCK; y++) {
    for (let x = x0; x < x0 + BLOCK; x++) {
      if (clipped[y * width + x]) return null;
      sum += rgb[3 * (y * width + x) + 1] as number;
    }
  }
  const at = (x: number, y: number): number => rgb[3 * (y * width + x) + 1] as number;
  for (let y = y0 + 1; y < y0 + BLOCK - 1; y++) {
    for (let x = x0 + 1; x < x0 + BLOCK - 1; x++) {
      const corners = at(x - 1, y - 1) + at(x + 1, y - 1) + at(x - 1, y + 1) + at(x + 1, y + 1);
      const sides = at(x, y - 1) + at(x, y + 1) + at(x - 1, y) + at(x + 1, y);
      squares += (corners - 2 * sides + 4 * at(x, y)) ** 2;
    }
  }
  return { mean: sum / BLOCK ** 2, variance: squares / (36 * (BLOCK - 2) ** 2) };
}

/** A line through a quantile of the variances in bins of brightness, both its parts 0 or more. */
function fitNoise(samples: Sample[], quantile: number, correction: number, from: "pair" | "smooth"): NoiseModel {
  samples.sort((a, b) => a.mean - b.mean);
  const size = Math.ceil(samples.length / BINS);
  let [sw, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0];
  for (let start = 0; start + size / 2 <= samples.length; start += size) {
    const bin = samples.slice(start, start + size);
    const variances = bin.map(({ variance }) => variance).sort((a, b) => a - b);
    const y = (variances[Math.floor(quantile * (variances.length - 1))] as number) / correction;
    const x = Math.max(0, bin[bin.length >> 1]?.mean as number);
    // Variances scatter in proportion to themselves: weigh by 1/y².
    const w = 1 / Math.max(y, 1e-14) ** 2;
    [sw, sx, sy, sxx, sxy] = [sw + w, sx + w * x, sy + w * y, sxx + w * x * x, sxy + w * x * y];
  }
  const spread = sw * sxx - sx * sx;
  let perUnit = spread > 1e-12 * sw * sxx ? Math.max(0, (sw * sxy - sx * sy) / spread) : 0;
  let floor = (sy - perUnit * sx) / sw;
  if (floor < 0) [perUnit, floor] = [sxx > 0 ? sxy / sxx : 0, 0];
  return { perUnit, floor, steps: null, from };
}

function stepAt(steps: Float32Array, light: number): number {
  const place = Math.min(1, Math.sqrt(light)) * (steps.length - 1);
  const i = Math.min(steps.length - 2, Math.floor(place));
  const low = steps[i] as number;
  return low + (place - i) * ((steps[i + 1] as number) - low);
}
