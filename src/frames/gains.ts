/**
 * Which gain of each light explains a frame: NNLS over patches and channels (domain 10.5), weights by noise plus a few
 * per cent for what is not noise, reweighted (Huber) against places that moved. And the gain between two frames of the
 * same light, for brackets and repeats.
 */

import { darkLimit, gridOf, lightOf, lightVariance, medianOf, oneSize } from "./grid.ts";
import { withoutAmbient } from "./linear.ts";
import { addRow, newGram, sigmasOf, solveBounded } from "./nnls.ts";
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
  const room = ambient && gridOf(ambient);
  const lit = withoutAmbient(gridOf(target), room);
  const columns = alones.map(({ frame }) => withoutAmbient(gridOf(frame), room));
  const rows = usableRows(lit, columns);
  return fitRows(
    rows,
    alones.map(({ lightId }) => lightId),
  );
}

/** Rows of a fit: the lights' values, the target, its variance. Row-major. */
export interface FitRows {
  readonly a: Float64Array;
  readonly b: Float64Array;
  readonly variance: Float64Array;
  readonly n: number;
}

/** The robust fit of prepared rows. */
export function fitRows(rows: FitRows, lightIds: readonly Id[]): FittedGains {
  const { n, a, b, variance } = rows;
  const huber = new Float64Array(b.length).fill(1);
  let linear = new Float64Array(n) as Float64Array;
  let sigma = new Float64Array(n) as Float64Array;
  let chi = 1;
  for (let round = 0; round < ROUNDS; round++) {
    const gram = newGram(n);
    for (let i = 0; i < b.length; i++) {
      addRow(gram, a.subarray(i * n, i * n + n), b[i] as number, (huber[i] as number) / (variance[i] as number));
    }
    linear = solveBounded(gram);
    sigma = sigmasOf(gram);
    chi = reweigh(rows, linear, huber);
  }
  const spread = Math.max(1, chi);
  const gains = lightIds.map((lightId, i): GainOf => {
    const [x, s] = [linear[i] as number, spread * (sigma[i] as number)];
    return {
      lightId,
      stops: x > Math.max(GONE, 0) ? Math.log2(x) : null,
      sigmaStops: s / Math.max(x, GONE) / Math.LN2,
    };
  });
  return { gains, linear, sigma: sigma.map((s) => s * spread), chi };
}

/** The gain between two frames and how well one number says it. */
export interface GainBetween extends StopsValue {
  /** Robust scatter of the patches, stops. */
  readonly scatterStops: number;
  /** 98th percentile of the patches' deviations, in units of their noise and 0.03 stop. */
  readonly tail: number;
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
  const tail = off.sort((x, y) => x - y)[Math.floor(0.98 * off.length)] as number;
  const sigmaStops = (1.2533 * scatterStops) / Math.sqrt(found.length);
  return { stops, sigmaStops, scatterStops, tail, patches: found.length };
}

/** Patches where no frame clips, three channels each. */
function usableRows(target: LinearFrame, columns: readonly LinearFrame[]): FitRows {
  const n = columns.length;
  const usable = [...target.clipped.keys()].filter((i) => !target.clipped[i] && columns.every((c) => !c.clipped[i]));
  const a = new Float64Array(3 * usable.length * n);
  const b = new Float64Array(3 * usable.length);
  const variance = new Float64Array(b.length);
  usable.forEach((pixel, k) => {
    for (let c = 0; c < 3; c++) {
      const row = 3 * k + c;
      const value = target.rgb[3 * pixel + c] as number;
      let own = varianceOf(target.noise, value) + (REPEATABILITY * Math.max(0, value)) ** 2;
      columns.forEach((column, j) => {
        const light = column.rgb[3 * pixel + c] as number;
        a[row * n + j] = light;
        own += varianceOf(column.noise, light);
      });
      b[row] = value;
      variance[row] = own;
    }
  });
  return { a, b, variance, n };
}

/** Huber weights from residuals over their deviations; returns the robust scatter. */
function reweigh({ a, b, variance, n }: FitRows, x: Float64Array, huber: Float64Array): number {
  const sizes = new Float64Array(b.length);
  for (let i = 0; i < b.length; i++) {
    let r = b[i] as number;
    for (let j = 0; j < n; j++) r -= (a[i * n + j] as number) * (x[j] as number);
    sizes[i] = Math.abs(r) / Math.sqrt(variance[i] as number);
  }
  const sorted = Float64Array.from(sizes).sort();
  const scatter = 1.4826 * (sorted[sorted.length >> 1] ?? 0);
  const limit = HUBER * Math.max(scatter, 1e-9);
  for (let i = 0; i < b.length; i++) huber[i] = Math.min(1, limit / Math.max(1e-12, sizes[i] as number));
  return scatter;
}
