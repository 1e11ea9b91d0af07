/**
 * An edge-stopping à-trous filter over one layer, guided by what the first surfaces are and by each pixel's own
 * estimated noise (after Dammertz et al. 2010 and the spatial part of Schied et al. 2017, "Spatiotemporal
 * Variance-Guided Filtering"; from memory). Colour is divided by reflectance first, so texture stays sharp. A layer
 * is filtered by itself: nothing of another light can enter it. Off is not calling it.
 */

import { luminanceOf, noiseOf } from "./sums.ts";
import type { Guides, Layer } from "./types.ts";

/** Passes of growing reach: 1, 2, 4, 8 pixels. */
const PASSES = 4;
/** How many of its own σ a neighbour may differ, before it counts as an edge. */
const TONE_SIGMAS = 3;
/** Relative depth that counts as a step. */
const DEPTH_STEP = 0.01;
/** A lone pixel so many times as bright as its neighbours is a spark. */
const SPARK = 2;
/** B3 spline weights 3/8, 1/4, 1/16. */
const KERNEL: readonly number[] = [0.375, 0.25, 0.0625];

/** The filtered layer; sizes must agree. σ of a pixel falls with what was averaged. */
export function denoiseLayer(layer: Layer, guides: Guides): Layer {
  const { width, height } = layer;
  if (guides.width !== width || guides.height !== height) throw new RangeError("guides and layer have one size");
  const count = width * height;
  let colour: Float32Array = withoutSparks(demodulated(layer, guides), width, height);
  let variance: Float32Array = smoothedVariance(layer, guides);
  for (let pass = 0; pass < PASSES; pass++) {
    const nextColour = new Float32Array(3 * count);
    const nextVariance = new Float32Array(count);
    const tones = tonesOf(colour);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        filterPixel(x, y, 1 << pass, width, height, colour, tones, variance, guides, nextColour, nextVariance);
      }
    }
    colour = nextColour;
    variance = nextVariance;
  }
  const rgb = new Float32Array(3 * count);
  const sigma = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    for (let c = 0; c < 3; c++) rgb[3 * i + c] = (colour[3 * i + c] as number) * base(guides, 3 * i + c);
    sigma[i] = Math.sqrt(variance[i] as number) * baseLuminance(guides, i);
  }
  return { ...layer, rgb, sigma, estimatedNoiseStops: noiseOf(rgb, sigma) };
}

/** A weighted mean of 5 × 5 pixels, `step` apart; variance goes with the squares of the weights. */
function filterPixel(
  x: number,
  y: number,
  step: number,
  width: number,
  height: number,
  colour: Float32Array,
  tones: Float32Array,
  variance: Float32Array,
  guides: Guides,
  outColour: Float32Array,
  outVariance: Float32Array,
): void {
  const i = y * width + x;
  const own = tones[i] as number;
  const perTone = 1 / (TONE_SIGMAS * Math.sqrt(variance[i] as number) + 1e-9);
  let r = 0;
  let g = 0;
  let b = 0;
  let sum = 0;
  let squares = 0;
  for (let dy = -2; dy <= 2; dy++) {
    const ny = y + dy * step;
    if (ny < 0 || ny >= height) continue;
    const row = KERNEL[dy < 0 ? -dy : dy] as number;
    for (let dx = -2; dx <= 2; dx++) {
      const nx = x + dx * step;
      if (nx < 0 || nx >= width) continue;
      const j = ny * width + nx;
      let weight = row * (KERNEL[dx < 0 ? -dx : dx] as number);
      if (j !== i) weight *= alike(guides, i, j, Math.abs(own - (tones[j] as number)) * perTone);
      if (weight < 1e-6) continue;
      r += weight * (colour[3 * j] as number);
      g += weight * (colour[3 * j + 1] as number);
      b += weight * (colour[3 * j + 2] as number);
      squares += weight * weight * (variance[j] as number);
      sum += weight;
    }
  }
  outColour[3 * i] = r / sum;
  outColour[3 * i + 1] = g / sum;
  outColour[3 * i + 2] = b / sum;
  outVariance[i] = squares / (sum * sum);
}

/** Below this cosine its 64th power is under a millionth, beyond this exponent e⁻ˣ is: such a neighbour counts for nothing. */
const LEAST_COSINE = 0.8;
const MOST_EXPONENT = 14;

/**
 * 0…1: the same surface, turned alike, as far away as the plane through pixel i says. `exponent` of a further
 * unlikeness joins the one of the distance, so that one e⁻ˣ serves both.
 */
function alike(guides: Guides, i: number, j: number, exponent: number): number {
  const { normal, position, depth } = guides;
  const di = depth[i] as number;
  if ((di === 0) !== (depth[j] === 0)) return 0;
  if (exponent > MOST_EXPONENT) return 0;
  if (di === 0) return Math.exp(-exponent);
  const a = 3 * i;
  const c = 3 * j;
  const ax = normal[a] as number;
  const ay = normal[a + 1] as number;
  const az = normal[a + 2] as number;
  const cosine = ax * (normal[c] as number) + ay * (normal[c + 1] as number) + az * (normal[c + 2] as number);
  if (cosine <= LEAST_COSINE) return 0;
  const off =
    ax * ((position[c] as number) - (position[a] as number)) +
    ay * ((position[c + 1] as number) - (position[a + 1] as number)) +
    az * ((position[c + 2] as number) - (position[a + 2] as number));
  const whole = exponent + Math.abs(off) / (DEPTH_STEP * di);
  return whole > MOST_EXPONENT ? 0 : power64(cosine) * Math.exp(-whole);
}

/** x⁶⁴ by squaring: the normals' exponent. */
function power64(x: number): number {
  const x2 = x * x;
  const x4 = x2 * x2;
  const x8 = x4 * x4;
  const x16 = x8 * x8;
  const x32 = x16 * x16;
  return x32 * x32;
}

const tone = (colour: Float32Array, i: number): number =>
  luminanceOf(colour[3 * i] as number, colour[3 * i + 1] as number, colour[3 * i + 2] as number);

function tonesOf(colour: Float32Array): Float32Array {
  const tones = new Float32Array(colour.length / 3);
  for (let i = 0; i < tones.length; i++) tones[i] = tone(colour, i);
  return tones;
}

/** Black surfaces are not divided by nothing. */
const base = (guides: Guides, at: number): number => Math.max(0.02, guides.albedo[at] as number);

const baseLuminance = (guides: Guides, i: number): number =>
  luminanceOf(base(guides, 3 * i), base(guides, 3 * i + 1), base(guides, 3 * i + 2));

const demodulated = (layer: Layer, guides: Guides): Float32Array =>
  layer.rgb.map((value, at) => value / base(guides, at));

/**
 * A pixel more than twice as bright as all eight neighbours is a rare path that hit: it is brought down to the
 * brightest of them. (Bringing down every local maximum would darken the whole picture.)
 */
function withoutSparks(colour: Float32Array, width: number, height: number): Float32Array {
  const calm = Float32Array.from(colour);
  const tones = tonesOf(colour);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      let most = 0;
      for (let ny = Math.max(0, y - 1); ny <= Math.min(height - 1, y + 1); ny++) {
        for (let nx = Math.max(0, x - 1); nx <= Math.min(width - 1, x + 1); nx++) {
          const j = ny * width + nx;
          if (j !== i) most = Math.max(most, tones[j] as number);
        }
      }
      const own = tones[i] as number;
      if (own <= SPARK * most || most === 0) continue;
      for (let c = 0; c < 3; c++) calm[3 * i + c] = ((colour[3 * i + c] as number) * most) / own;
    }
  }
  return calm;
}

/** σ² of one pixel is itself a draw with one degree of freedom: the mean over alike neighbours, 7 × 7, steadies it. */
function smoothedVariance(layer: Layer, guides: Guides): Float32Array {
  const { width, height, sigma } = layer;
  const own = new Float32Array(sigma.length);
  for (let i = 0; i < own.length; i++) own[i] = ((sigma[i] as number) / baseLuminance(guides, i)) ** 2;
  const smooth = new Float32Array(sigma.length);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      let sum = 0;
      let weights = 0;
      for (let ny = Math.max(0, y - 3); ny <= Math.min(height - 1, y + 3); ny++) {
        for (let nx = Math.max(0, x - 3); nx <= Math.min(width - 1, x + 3); nx++) {
          const j = ny * width + nx;
          const value = own[j] as number;
          if (Number.isNaN(value)) continue;
          const weight = j === i ? 1 : alike(guides, i, j, 0);
          sum += weight * value;
          weights += weight;
        }
      }
      smooth[i] = weights > 0 ? sum / weights : 0;
    }
  }
  return smooth;
}
