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

/** At most so many pixels are asked for the estimate. */
const ASKED = 20000;

/** 95th percentile of σ/value in stops, over pixels within 6 stops of the bright ones (99th percentile of value). */
export function noiseOf(rgb: Float32Array, sigma: Float32Array): number {
  const step = Math.max(1, Math.ceil(sigma.length / ASKED));
  const count = Math.ceil(sigma.length / step);
  const values = Float64Array.from({ length: count }, (_, k) => {
    const i = 3 * k * step;
    return luminanceOf(rgb[i] as number, rgb[i + 1] as number, rgb[i + 2] as number);
  });
  const least = (Float64Array.from(values).sort()[Math.floor(0.99 * (count - 1))] ?? 0) / 64;
  if (!(least > 0)) return 0;
  const errors: number[] = [];
  for (let k = 0; k < count; k++) {
    const s = sigma[k * step] as number;
    if (Number.isNaN(s)) return Number.POSITIVE_INFINITY;
    if ((values[k] as number) >= least) errors.push(Math.log2(1 + s / (values[k] as number)));
  }
  return Float64Array.from(errors).sort()[Math.floor(0.95 * (errors.length - 1))] as number;
}

/**
 * Noise of a mix: 95th percentile of the deviation of Σ w·layer in stops, over pixels within 6 stops under the card.
 * `weights` are output over H_ref, in the order of the layers (luminance alone: tints keep it).
 */
export function mixNoise(layers: readonly Layer[], weights: readonly number[]): number {
  const count = layers[0]?.sigma.length ?? 0;
  const step = Math.max(1, Math.ceil(count / ASKED));
  const errors: number[] = [];
  for (let i = 0; i < count; i += step) {
    let [value, variance] = [0, 0];
    layers.forEach(({ rgb, sigma }, k) => {
      const w = weights[k] ?? 0;
      if (w === 0) return;
      value += w * luminanceOf(rgb[3 * i] as number, rgb[3 * i + 1] as number, rgb[3 * i + 2] as number);
      variance += (w * (sigma[i] as number)) ** 2;
    });
    if (Number.isNaN(variance)) return Number.POSITIVE_INFINITY;
    if (value >= 0.18 / 64) errors.push(Math.log2(1 + Math.sqrt(variance) / value));
  }
  if (errors.length === 0) return 0;
  return Float64Array.from(errors).sort()[Math.floor(0.95 * (errors.length - 1))] as number;
}
