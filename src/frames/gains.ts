/**
 * Which gain of each light explains a frame: NNLS over patches and channels (domain 10.5), weights by noise plus a few
 * per cent for what is not noise, reweighted (Huber) against places that moved. And the gain between two frames of the
 * same light, for brackets and repeats.
 */

import { blockError, darkLimit, gridOf, lightOf, lightVariance, medianOf, oneSize } from "./grid.ts";
import { addRow, type Gram, newGram, sigmasOf, solveBounded } from "./nnls.ts";
import { varianceOf } from "./noise.ts";
import type { GainOf, Id, LinearFrame, StopsValue } from "./types.ts";

/** One light's frame. */
export interface AloneFrame {
  readonly lightId: Id;
  readonly frame: LinearFrame;
}

/** What flash, aperture and movement leave between frames, part of the light (0.02 to 0.05 stop each, domain 10.4). */
const REPEATABILITY = 0.02;
/** What a patch may differ by in two frames of one light, stops, besides noise. */
const PATCH_STOPS = 0.03;
const HUBER = 2;
const ROUNDS = 5;
/** Below this part of its own frame a light counts as gone. */
const GONE = 2 ** -5;
/** Part of a light's own square that must be light, not noise. */
const TOLD_PART = 0.05;

export interface FittedGains {
  readonly gains: readonly GainOf[];
  /** Linear, in the order of the lights. */
  readonly linear: Float64Array;
  readonly sigma: Float64Array;
  /** Robust scatter of the weighted residuals: 1 where noise explains all. */
  readonly chi: number;
}

/** Gains of the lights in a frame, each with its own ambient taken off. All of one size; any size, worked on the grid. */
export function fitGains(target: LinearFrame, alones: readonly AloneFrame[], ambient: LinearFrame | null): FittedGains {
  oneSize([target, ...alones.map(({ frame }) => frame), ...(ambient ? [ambient] : [])]);
  const columns = alones.map(({ frame }) => gridOf(frame));
  const rows = usableRows(gridOf(target), columns, ambient && gridOf(ambient));
  return fitRows(
    rows,
    alones.map(({ lightId }) => lightId),
  );
}

/** Rows of a fit, row-major: the lights' values and variances, the target's, the room's variance that all of them share. */
export interface FitRows {
  readonly n: number;
  readonly a: Float64Array;
  readonly aVariance: Float64Array;
  readonly b: Float64Array;
  readonly bVariance: Float64Array;
  readonly roomVariance: Float64Array;
}

/**
 * The robust fit of prepared rows. The lights' frames scatter too, and one frame of the room is taken off all of them:
 * plain least squares would then make weak lights weaker. Their variances are taken out of the normal equations
 * (errors in variables; Fuller 1987, from memory).
 */
export function fitRows(rows: FitRows, lightIds: readonly Id[]): FittedGains {
  const { n, b } = rows;
  const huber = new Float64Array(b.length).fill(1);
  let linear: Float64Array = new Float64Array(n).fill(1);
  let sigma: Float64Array = new Float64Array(n);
  let chi = 1;
  for (let round = 0; round < ROUNDS; round++) {
    const gram = gather(rows, huber, linear);
    linear = solveBounded(gram);
    sigma = sigmasOf(gram);
    chi = reweigh(rows, linear, huber);
  }
  const spread = Math.max(1, chi);
  const gains = lightIds.map((lightId, i): GainOf => {
    const [x, s] = [linear[i] as number, spread * (sigma[i] as number)];
    return { lightId, stops: x > GONE ? Math.log2(x) : null, sigmaStops: s / Math.max(x, GONE) / Math.LN2 };
  });
  return { gains, linear, sigma: sigma.map((s) => s * spread), chi };
}

/** Normal equations with each row's weight, noise of the columns taken out. */
function gather(rows: FitRows, huber: Float64Array, linear: Float64Array): Gram {
  const { n, a, aVariance, b, roomVariance } = rows;
  const gram = newGram(n);
  const before = new Float64Array(n);
  const excess = new Float64Array(n);
  let shared = 0;
  for (let i = 0; i < b.length; i++) {
    const w = (huber[i] as number) / varianceOfRow(rows, linear, i);
    addRow(gram, a.subarray(i * n, i * n + n), b[i] as number, w);
    for (let j = 0; j < n; j++) excess[j] = (excess[j] as number) + w * (aVariance[i * n + j] as number);
    shared += w * (roomVariance[i] as number);
  }
  for (let j = 0; j < n; j++) {
    before[j] = gram.g[j * n + j] as number;
    gram.h[j] = (gram.h[j] as number) - shared;
    for (let k = 0; k < n; k++) gram.g[j * n + k] = (gram.g[j * n + k] as number) - shared;
    gram.g[j * n + j] = (gram.g[j * n + j] as number) - (excess[j] as number);
    if ((gram.g[j * n + j] as number) > TOLD_PART * (before[j] as number)) continue;
    // Nearly all of this light's frame is noise: nothing can be said of it.
    for (let k = 0; k < n; k++) gram.g[j * n + k] = gram.g[k * n + j] = 0;
  }
  return gram;
}

/** What a row may be off by: noise of all that goes into it, and what is not noise. */
function varianceOfRow(rows: FitRows, linear: Float64Array, i: number): number {
  const { n, aVariance, b, bVariance, roomVariance } = rows;
  let rest = 1;
  let variance = (bVariance[i] as number) + (REPEATABILITY * Math.max(0, b[i] as number)) ** 2;
  for (let j = 0; j < n; j++) {
    const x = linear[j] as number;
    variance += x * x * (aVariance[i * n + j] as number);
    rest -= x;
  }
  return variance + rest * rest * (roomVariance[i] as number);
}

/** The gain between two frames and how well one number says it. */
export interface GainBetween extends StopsValue {
  /** Robust scatter of the patches, stops. */
  readonly scatterStops: number;
  /** 98th percentile of the patches' deviations, in units of their noise and 0.03 stop. */
  readonly tail: number;
  /** The same, of all but five in a thousand: a light that reaches little of the picture shows here. */
  readonly farTail: number;
  readonly patches: number;
}

/** log2(b/a) over patches that both show, median and robust standard error. Null where fewer than 20 patches serve. */
export function gainBetween(a: LinearFrame, b: LinearFrame): GainBetween | null {
  oneSize([a, b]);
  const [ga, gb] = [gridOf(a), gridOf(b)];
  const [da, db] = [darkLimit(a), darkLimit(b)];
  const found: number[] = [];
  const noises: number[] = [];
  for (let i = 0; i < ga.clipped.length; i++) {
    const [la, lb] = [lightOf(ga.rgb, i), lightOf(gb.rgb, i)];
    if (ga.clipped[i] || gb.clipped[i] || la <= da || lb <= db) continue;
    const noise = Math.hypot(Math.sqrt(lightVariance(ga, la)) / la, Math.sqrt(lightVariance(gb, lb)) / lb) / Math.LN2;
    if (noise > 0.1) continue;
    found.push(Math.log2(lb / la));
    noises.push(noise);
  }
  if (found.length < 20) return null;
  const stops = medianOf(found);
  const scatterStops = 1.4826 * medianOf(found.map((value) => Math.abs(value - stops)));
  const off = found.map((value, i) => Math.abs(value - stops) / Math.hypot(noises[i] as number, PATCH_STOPS));
  off.sort((x, y) => x - y);
  const [tail, farTail] = [0.98, 0.995].map((part) => off[Math.floor(part * off.length)] as number) as [number, number];
  const sigmaStops = (1.2533 * scatterStops) / Math.sqrt(found.length);
  return { stops, sigmaStops, scatterStops, tail, farTail, patches: found.length };
}

/** Patches where no frame clips, three channels each. */
function usableRows(target: LinearFrame, columns: readonly LinearFrame[], room: LinearFrame | null): FitRows {
  const all = room ? [...columns, room] : columns;
  const usable = [...target.clipped.keys()].filter((i) => !target.clipped[i] && all.every((c) => !c.clipped[i]));
  const n = columns.length;
  const rows = newRows(n, 3 * usable.length);
  usable.forEach((pixel, k) => {
    for (let c = 0; c < 3; c++) {
      const [row, at] = [3 * k + c, 3 * pixel + c];
      const below = room ? (room.rgb[at] as number) : 0;
      columns.forEach((column, j) => {
        const value = column.rgb[at] as number;
        rows.a[row * n + j] = value - below;
        rows.aVariance[row * n + j] = varianceOf(column.noise, value);
      });
      const value = target.rgb[at] as number;
      rows.b[row] = value - below;
      rows.bVariance[row] = varianceOf(target.noise, value) + blockError(target, value) ** 2;
      rows.roomVariance[row] = room ? varianceOf(room.noise, below) : 0;
    }
  });
  return rows;
}

/** Rows to be filled. */
export const newRows = (n: number, count: number): FitRows => ({
  n,
  a: new Float64Array(count * n),
  aVariance: new Float64Array(count * n),
  b: new Float64Array(count),
  bVariance: new Float64Array(count),
  roomVariance: new Float64Array(count),
});

/** Huber weights from residuals over their deviations; returns the robust scatter. */
function reweigh(rows: FitRows, x: Float64Array, huber: Float64Array): number {
  const { a, b, n } = rows;
  const sizes = new Float64Array(b.length);
  for (let i = 0; i < b.length; i++) {
    let r = b[i] as number;
    for (let j = 0; j < n; j++) r -= (a[i * n + j] as number) * (x[j] as number);
    sizes[i] = Math.abs(r) / Math.sqrt(varianceOfRow(rows, x, i));
  }
  const sorted = Float64Array.from(sizes).sort();
  const scatter = 1.4826 * (sorted[sorted.length >> 1] ?? 0);
  const limit = HUBER * Math.max(scatter, 1e-9);
  for (let i = 0; i < b.length; i++) huber[i] = Math.min(1, limit / Math.max(1e-12, sizes[i] as number));
  return scatter;
}
