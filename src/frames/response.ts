/**
 * The curve between light and a processed file's codes, from a bracket of known steps: Debevec and Malik 1997,
 * g(Z_ij) = ln E_i + ln Δt_j, hat weights, λ on the second differences of g, g(middle) = 0. The pixels' own ln E_i are
 * eliminated one by one (their block of the normal equations is diagonal), so that thousands of pixels cost a system of
 * 256 alone. Reweighted by Huber's rule against pixels that moved; made rising by pooling neighbours that fall. Steps
 * may be made with time, and for flash with dial, ND or aperture.
 */

import { failure, fault, type Result, success } from "../units/index.ts";
import { clipOf } from "./clip.ts";
import { lightAt } from "./tone-curve.ts";
import type { FrameImage, Rgb, ToneCurve } from "./types.ts";

/** One frame of a bracket and its exposure against the first's, stops. */
export interface BracketFrame {
  readonly name: string;
  readonly image: Pick<FrameImage, "width" | "height" | "rgb" | "clip">;
  readonly stops: number;
}

export interface ResponseOptions {
  /** Smoothness against an average pixel's data; 30 unless said. */
  readonly smoothness?: number;
  /** Which pixels serve, of every two: for a check on the others. All unless said. */
  readonly half?: "even" | "odd";
}

/** How a step comes back through a curve. */
export interface StepBack {
  readonly from: string;
  readonly to: string;
  readonly askedStops: number;
  /** Median over pixels between the noise and the clip, green; null where fewer than 50 serve. */
  readonly foundStops: number | null;
  /** Robust scatter of single pixels, stops. */
  readonly scatterStops: number;
  readonly pixels: number;
}

export interface Recovered {
  readonly curve: ToneCurve;
  /** RMS of g(Z) − ln E − ln Δt over the pixels, in stops, weighted. */
  readonly rmsStops: number;
  /** Least and greatest code that pixels told anything about, 0…255, per channel; beyond them the curve is continued. */
  readonly seen: readonly (readonly [number, number])[];
}

const LEVELS = 256;
const MOST_PIXELS = 12_000;
const ROUNDS = 4;
/** Mean code under which a step is not measured. */
const DARKEST = 0.12;

/**
 * The response of a camera's processed files. Faults: response-frames (fewer than two), response-size,
 * response-steps (all exposures alike), response-pixels (too few that change), response-falls (no rising curve fits).
 */
export function recoverResponse(bracket: readonly BracketFrame[], options: ResponseOptions = {}): Result<Recovered> {
  const wrong = bracketFault(bracket);
  if (wrong) return failure(wrong);
  const parts = [0, 1, 2].map((channel) => recoverChannel(bracket, channel, options));
  const short = parts.findIndex((part) => part.pixels * (bracket.length - 1) <= LEVELS);
  if (short >= 0) return failure(tooFew(parts[short]?.pixels ?? 0, bracket.length));
  if (parts.some((part) => part.fall > 1)) {
    const mend = "Check which frame had which exposure, and that the camera chose nothing itself.";
    return failure(fault("response-falls", "No rising curve explains these exposures", "bracket", mend));
  }
  const tables = parts.map((part) => part.table) as [Float32Array, Float32Array, Float32Array];
  const rmsStops = Math.sqrt(parts.reduce((sum, part) => sum + part.meanSquare, 0) / 3) / Math.LN2;
  const curve = { name: `recovered from ${bracket.length} frames`, tables };
  return success({ curve, rmsStops, seen: parts.map((part) => part.seen) });
}

/** Each step of a bracket measured through a curve, neighbours in exposure: what the curve is worth. */
export function stepsBack(
  bracket: readonly BracketFrame[],
  curve: ToneCurve,
  options: { readonly half?: "even" | "odd" } = {},
): readonly StepBack[] {
  const sorted = [...bracket].sort((a, b) => a.stops - b.stops);
  const clip = lowestClip(bracket);
  return sorted.slice(1).map((to, i) => {
    const from = sorted[i] as BracketFrame;
    const found: number[] = [];
    for (let p = 0; p < from.image.rgb.length / 3; p++) {
      if (skipped(p, options.half)) continue;
      const [a, b] = [from.image.rgb[3 * p + 1] as number, to.image.rgb[3 * p + 1] as number];
      // Chosen by their mean: a limit on one of them alone would favour pixels that noise pushed over it.
      if (a <= 0 || a + b < 2 * DARKEST || clips(from.image, p, clip) || clips(to.image, p, clip)) continue;
      found.push(Math.log2(lightAt(curve, 1, b) / lightAt(curve, 1, a)));
    }
    found.sort((a, b) => a - b);
    const at = (q: number): number => found[Math.round(q * (found.length - 1))] as number;
    const enough = found.length >= 50;
    return {
      ...{ from: from.name, to: to.name, askedStops: to.stops - from.stops, pixels: found.length },
      foundStops: enough ? at(0.5) : null,
      scatterStops: enough ? (at(0.84) - at(0.16)) / 2 : 0,
    };
  });
}

interface Channel {
  readonly table: Float32Array;
  readonly pixels: number;
  readonly meanSquare: number;
  readonly seen: readonly [number, number];
  /** ln, the deepest fall that pooling had to level. */
  readonly fall: number;
}

/** Codes of the chosen pixels, one row of `frames` each, and the weights of their observations. */
interface Observations {
  readonly codes: Uint8Array;
  readonly weights: Float64Array;
  readonly pixels: number;
}

function recoverChannel(bracket: readonly BracketFrame[], channel: number, options: ResponseOptions): Channel {
  const ln = bracket.map(({ stops }) => stops * Math.LN2);
  const seenBy = observe(bracket, channel, options.half);
  const huber = new Float64Array(seenBy.codes.length).fill(1);
  let g: Float64Array = new Float64Array(LEVELS);
  let meanSquare = 0;
  for (let round = 0; round < ROUNDS && seenBy.pixels > 0; round++) {
    g = solveCurve(seenBy, huber, ln, options.smoothness ?? 30);
    meanSquare = reweigh(seenBy, huber, ln, g);
  }
  const seen = seenRange(seenBy);
  const { rising, fall } = pool(g, countCodes(seenBy), seen);
  const top = rising[LEVELS - 1] as number;
  const table = Float32Array.from(rising, (value) => Math.exp(value - top));
  // Code 0 is black: the logarithm never gets there by itself.
  table[0] = Math.min(table[0] as number, Math.max(0, 2 * (table[1] as number) - (table[2] as number)));
  return { table, pixels: seenBy.pixels, meanSquare, seen, fall };
}

/** Pixels spread over the picture that at least two frames show between black and clip. */
function observe(bracket: readonly BracketFrame[], channel: number, half?: "even" | "odd"): Observations {
  const frames = bracket.length;
  const count = (bracket[0] as BracketFrame).image.rgb.length / 3;
  const stride = Math.max(1, Math.floor(count / MOST_PIXELS));
  const codes: number[] = [];
  const weights: number[] = [];
  const clip = lowestClip(bracket);
  let pixels = 0;
  for (let p = 0; p < count; p += stride) {
    if (skipped(p, half)) continue;
    const row = bracket.map(({ image }) => image.rgb[3 * p + channel] as number);
    // One channel at its end spoils the others: cameras mix channels between sensor and file.
    const own = row.map((code, j) => (clips((bracket[j] as BracketFrame).image, p, clip) ? 0 : hat(code)));
    if (own.filter((w) => w > 0).length < 2) continue;
    for (let j = 0; j < frames; j++) {
      codes.push(Math.round((LEVELS - 1) * Math.min(1, Math.max(0, row[j] as number))));
      weights.push(own[j] as number);
    }
    pixels++;
  }
  return { codes: Uint8Array.from(codes), weights: Float64Array.from(weights), pixels };
}

/** Every second pixel of a checkerboard-like order: neighbours fall into different halves. */
const skipped = (pixel: number, half?: "even" | "odd"): boolean =>
  half !== undefined && (pixel % 2 === 0) !== (half === "even");

/** The lowest clip of each channel that any frame of the bracket shows. */
function lowestClip(bracket: readonly BracketFrame[]): Rgb {
  const clips = bracket.map(({ image }) => clipOf(image));
  const least = (c: number): number => Math.min(...clips.map((clip) => clip[c] as number));
  return [least(0), least(1), least(2)];
}

const clips = ({ rgb }: BracketFrame["image"], pixel: number, [r, g, b]: Rgb): boolean =>
  (rgb[3 * pixel] as number) >= r || (rgb[3 * pixel + 1] as number) >= g || (rgb[3 * pixel + 2] as number) >= b;

/** Debevec and Malik's hat, 1 in the middle, 0 at black and white. */
const hat = (code: number): number => Math.max(0, Math.min(code, 1 - code)) * 2;

/**
 * Normal equations of g alone. A pixel with observations z_j and weights w_j adds Σ w_j·e_j·e_jᵀ − (Σ w_j·e_j)(…)ᵀ/Σ w_j,
 * and on the right Σ w_j·(t_j − t̄)·e_j: its ln E is the weighted mean of g − t.
 */
function solveCurve(seen: Observations, huber: Float64Array, ln: readonly number[], smoothness: number): Float64Array {
  const frames = ln.length;
  const a = new Float64Array(LEVELS * LEVELS);
  const b = new Float64Array(LEVELS);
  let total = 0;
  for (let p = 0; p < seen.pixels; p++) {
    const at = p * frames;
    const w = ln.map((_, j) => (seen.weights[at + j] as number) ** 2 * (huber[at + j] as number));
    const sum = w.reduce((s, v) => s + v, 0);
    if (!(sum > 0)) continue;
    const mean = w.reduce((s, v, j) => s + v * (ln[j] as number), 0) / sum;
    for (let j = 0; j < frames; j++) {
      const wj = w[j] as number;
      if (wj === 0) continue;
      const z = seen.codes[at + j] as number;
      add(a, z * LEVELS + z, wj);
      add(b, z, wj * ((ln[j] as number) - mean));
      for (let k = 0; k < frames; k++)
        add(a, z * LEVELS + (seen.codes[at + k] as number), (-wj * (w[k] as number)) / sum);
    }
    total += sum;
  }
  addSmoothness(a, (smoothness * total) / LEVELS);
  // g(middle) = 0, held by a weight: the curve's scale is free.
  add(a, (LEVELS / 2) * (LEVELS + 1), total);
  return solveSymmetric(a, b);
}

/** λ·Σ [w(z)·g″(z)]²; the weight keeps a tenth at the ends, where the curve may turn. */
function addSmoothness(a: Float64Array, lambda: number): void {
  const stencil = [1, -2, 1];
  for (let z = 1; z < LEVELS - 1; z++) {
    const weight = lambda * Math.max(0.1, hat(z / (LEVELS - 1))) ** 2;
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        add(a, (z - 1 + i) * LEVELS + z - 1 + j, weight * (stencil[i] as number) * (stencil[j] as number));
      }
    }
  }
}

/** Huber weights at 1.5 robust deviations from each pixel's own fit; returns the weighted mean square, ln². */
function reweigh(seen: Observations, huber: Float64Array, ln: readonly number[], g: Float64Array): number {
  const frames = ln.length;
  const residuals = new Float64Array(seen.codes.length);
  let [squares, total] = [0, 0];
  for (let p = 0; p < seen.pixels; p++) {
    const at = p * frames;
    let [sw, sv] = [0, 0];
    for (let j = 0; j < frames; j++) {
      const w = (seen.weights[at + j] as number) ** 2 * (huber[at + j] as number);
      sw += w;
      sv += w * ((g[seen.codes[at + j] as number] as number) - (ln[j] as number));
    }
    for (let j = 0; j < frames; j++) {
      const r = (g[seen.codes[at + j] as number] as number) - (ln[j] as number) - sv / sw;
      residuals[at + j] = (seen.weights[at + j] as number) > 0 ? r : 0;
      const w = (seen.weights[at + j] as number) ** 2 * (huber[at + j] as number);
      squares += w * r * r;
      total += w;
    }
  }
  const sizes = residuals
    .filter((r) => r !== 0)
    .map(Math.abs)
    .sort();
  const limit = 1.5 * 1.4826 * ((sizes[sizes.length >> 1] ?? 0) || 1e-9);
  for (let i = 0; i < huber.length; i++)
    huber[i] = Math.min(1, limit / Math.max(1e-12, Math.abs(residuals[i] as number)));
  return total > 0 ? squares / total : 0;
}

function countCodes(seen: Observations): Float64Array {
  const counts = new Float64Array(LEVELS).fill(1e-3);
  seen.codes.forEach((code, i) => {
    if ((seen.weights[i] as number) > 0) counts[code] = (counts[code] as number) + 1;
  });
  return counts;
}

function seenRange(seen: Observations): readonly [number, number] {
  let [low, high] = [LEVELS - 1, 0];
  seen.codes.forEach((code, i) => {
    if (!((seen.weights[i] as number) > 0)) return;
    if (code < low) low = code;
    if (code > high) high = code;
  });
  return [low, high];
}

/** Pool adjacent violators (Ayer and others 1955), weights by count; the fall is told of the part that pixels saw. */
function pool(
  g: Float64Array,
  counts: Float64Array,
  [low, high]: readonly [number, number],
): { readonly rising: Float64Array; readonly fall: number } {
  const blocks: { value: number; weight: number; length: number }[] = [];
  g.forEach((value, z) => {
    blocks.push({ value, weight: counts[z] as number, length: 1 });
    while (blocks.length > 1) {
      const [before, last] = [blocks.at(-2), blocks.at(-1)] as [(typeof blocks)[0], (typeof blocks)[0]];
      if (before.value <= last.value) break;
      blocks.pop();
      const weight = before.weight + last.weight;
      before.value = (before.value * before.weight + last.value * last.weight) / weight;
      before.length += last.length;
      before.weight = weight;
    }
  });
  const rising = Float64Array.from(blocks.flatMap(({ value, length }) => new Array<number>(length).fill(value)));
  let fall = 0;
  for (let z = low; z <= high; z++) fall = Math.max(fall, Math.abs((rising[z] as number) - (g[z] as number)));
  return { rising, fall };
}

/** Cholesky of a positive matrix of LEVELS rows, in place, and the solution. */
function solveSymmetric(a: Float64Array, b: Float64Array): Float64Array {
  const n = LEVELS;
  const x = Float64Array.from(b);
  for (let j = 0; j < n; j++) {
    let d = a[j * n + j] as number;
    for (let k = 0; k < j; k++) d -= (a[j * n + k] as number) ** 2;
    const root = Math.sqrt(Math.max(d, 1e-12));
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let s = a[i * n + j] as number;
      for (let k = 0; k < j; k++) s -= (a[i * n + k] as number) * (a[j * n + k] as number);
      a[i * n + j] = s / root;
    }
  }
  for (let i = 0; i < n; i++) {
    let s = x[i] as number;
    for (let k = 0; k < i; k++) s -= (a[i * n + k] as number) * (x[k] as number);
    x[i] = s / (a[i * n + i] as number);
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = x[i] as number;
    for (let k = i + 1; k < n; k++) s -= (a[k * n + i] as number) * (x[k] as number);
    x[i] = s / (a[i * n + i] as number);
  }
  return x;
}

function add(a: Float64Array, i: number, value: number): void {
  a[i] = (a[i] as number) + value;
}

function bracketFault(bracket: readonly BracketFrame[]) {
  const [first] = bracket;
  if (!first || bracket.length < 2) {
    const what = `A bracket needs two frames, got ${bracket.length}`;
    return fault("response-frames", what, "bracket", "Shoot the same scene at several exposures, 5 to 7 a stop apart.");
  }
  const odd = bracket.find(({ image }) => image.width !== first.image.width || image.height !== first.image.height);
  if (odd) {
    return fault("response-size", `${odd.name} has another size than ${first.name}`, odd.name, "Leave it out.");
  }
  const steps = bracket.map(({ stops }) => stops);
  if (!steps.every(Number.isFinite) || Math.max(...steps) - Math.min(...steps) < 0.5) {
    const mend = "Give each frame its exposure; they should span some stops.";
    return fault("response-steps", "The exposures of the bracket do not differ", "bracket", mend);
  }
  return null;
}

const tooFew = (pixels: number, frames: number) =>
  fault(
    "response-pixels",
    `${pixels} pixels in ${frames} frames change between black and clip; the curve has ${LEVELS} unknowns`,
    "bracket",
    "Use a scene with tones from dark to light, or more frames.",
  );
