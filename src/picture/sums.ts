/**
 * What is remembered per pixel and layer between passes, and how a layer is read from it. Direct light on the first
 * matt surface is the ratio estimator of Heitz, Hill & McGuire 2018 ("Combining analytic direct illumination and
 * stochastic shadows"): N·A/G, with A the closed form of the unshadowed even front, G the sampled estimate of
 * the same, N the sampled estimate with shadow, grid, beam and coat. Where nothing shades a plain front N/G is
 * exactly the colour and no noise is left. Everything else adds up in `rest`. Odd samples are kept apart in
 * luminance: half the difference of the two halves is a draw from the mean's own error.
 */

import { addRows } from "./guides.ts";
import type { Guides, Layer, LayerId, Tile } from "./types.ts";

/** Numbers per pixel: N rgb, A, G, rest rgb; then N, A, G, rest of the odd half in luminance. */
export const SUM_STRIDE = 12;

export const luminanceOf = (r: number, g: number, b: number): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** Adds a tile's sums, row by row, to those of the whole picture. */
export function addTile(whole: Float32Array, width: number, part: Float32Array, tile: Tile): void {
  addRows(whole, width, part, tile, SUM_STRIDE);
}

/** The layer as the sums stand. Throws RangeError when nothing was traced. */
export function readLayer(sums: Float32Array, guides: Guides, lightId: LayerId): Layer {
  const { width, height, paths } = guides;
  const rgb = new Float32Array(3 * width * height);
  const sigma = new Float32Array(width * height);
  for (let i = 0; i < width * height; i++) {
    const s = SUM_STRIDE * i;
    const samples = paths[i] as number;
    const [a, g] = [sums[s + 3] as number, sums[s + 4] as number];
    const ratio = g > 0 ? a / g : 0;
    for (let c = 0; c < 3; c++)
      rgb[3 * i + c] = ((sums[s + c] as number) * ratio + (sums[s + 5 + c] as number)) / samples;
    const odd = Math.floor(samples / 2);
    sigma[i] = odd > 0 ? halfDifference(sums, s, odd, samples - odd) : Number.NaN;
  }
  const samples = meanPaths(guides);
  return { lightId, width, height, rgb, sigma, sums, samples, estimatedNoiseStops: noiseOf(rgb, sigma) };
}

/** Paths per pixel on average. Throws RangeError when nothing was traced. */
export function meanPaths({ paths }: Guides): number {
  let sum = 0;
  for (const count of paths) sum += count;
  if (!(sum > 0)) throw new RangeError("a layer needs at least one sample");
  return sum / paths.length;
}

/** |odd − even|/2 in luminance. */
function halfDifference(sums: Float32Array, s: number, odd: number, even: number): number {
  const at = (i: number): number => sums[s + i] as number;
  const whole = luminanceOf(at(0), at(1), at(2));
  const restWhole = luminanceOf(at(5), at(6), at(7));
  const [n1, a1, g1, r1] = [at(8), at(9), at(10), at(11)];
  const first = ((g1 > 0 ? (n1 * a1) / g1 : 0) + r1) / odd;
  const g0 = at(4) - g1;
  const second = ((g0 > 0 ? ((whole - n1) * (at(3) - a1)) / g0 : 0) + restWhole - r1) / even;
  return Math.abs(first - second) / 2;
}

/** Tones within so many stops under the card, or under the bright ones of a dark picture, are looked at. */
const STOPS_DOWN = 6;

/** 95th percentile of σ/value in stops, over pixels within 6 stops of the bright ones (99th percentile of value). */
export const noiseOf = (rgb: Float32Array, sigma: Float32Array): number =>
  noiseLevel(deviations([{ rgb, sigma }], [1], Number.POSITIVE_INFINITY));

/**
 * Noise of a mix: 95th percentile of the deviation of Σ w·layer in stops, over pixels within 6 stops under the card, or
 * under the picture's bright ones where all is darker than the card.
 * `weights` are output over H_ref, in the order of the layers (luminance alone: tints keep it).
 */
export const mixNoise = (layers: readonly Noisy[], weights: readonly number[]): number =>
  noiseLevel(deviations(layers, weights, CARD));

/** Reflectance of the card that stands at 0. */
export const CARD = 0.18;

type Noisy = Pick<Layer, "rgb" | "sigma">;

/** The deviation that 95 % of the looked-at pixels keep within; 0 when there is none. */
export function noiseLevel(stops: Float32Array): number {
  const asked = stops.filter((value) => value >= 0).sort();
  return asked[Math.floor(0.95 * (asked.length - 1))] ?? 0;
}

/** Per pixel: the deviation of Σ w·layer in stops, infinite without an estimate; −1 where it is too dark to matter. */
export function deviations(layers: readonly Noisy[], weights: readonly number[], bright: number): Float32Array {
  const count = layers[0]?.sigma.length ?? 0;
  const values = new Float32Array(count);
  const variances = new Float32Array(count);
  layers.forEach(({ rgb, sigma }, k) => {
    const w = weights[k] ?? 0;
    if (w === 0) return;
    for (let i = 0; i < count; i++) {
      const y = luminanceOf(rgb[3 * i] as number, rgb[3 * i + 1] as number, rgb[3 * i + 2] as number);
      values[i] = (values[i] as number) + w * y;
      variances[i] = (variances[i] as number) + (w * (sigma[i] as number)) ** 2;
    }
  });
  const least = Math.min(bright, brightOf(values)) / 2 ** STOPS_DOWN;
  return variances.map((variance, i) => {
    const value = values[i] as number;
    if (!(value > 0 && value >= least)) return -1;
    return Number.isNaN(variance) ? Number.POSITIVE_INFINITY : Math.log2(1 + Math.sqrt(variance) / value);
  });
}

/** At most so many pixels are asked how bright a picture is. */
const ASKED = 20000;

/** 99th percentile. */
function brightOf(values: Float32Array): number {
  const step = Math.max(1, Math.ceil(values.length / ASKED));
  const asked = values.filter((_, i) => i % step === 0).sort();
  return asked[Math.floor(0.99 * (asked.length - 1))] ?? 0;
}
