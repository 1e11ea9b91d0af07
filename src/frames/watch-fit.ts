/**
 * The watch's fit of a sitter's frames, all at once. Frame k, patch p: log2 seen = log2(Σ 2^u·light + room) + own + error,
 * where own belongs to the sitter and is the same in all of their frames. A light need not reach another sitter's hair
 * or skin as it does the reference's (long hair covers a cheek, dark hair shows little): what a light out of place does to
 * such a patch may be all that the reference says, a part of it, or nothing. Errors have Student's t-distribution (a head
 * that moves leaves few patches far off). Each light's u stands at its usual place within its repeatability, or is set
 * free, which costs. Maximum a posteriori: own by reweighted means and the u by reweighted Gauss and Newton steps, by
 * turns. The search over which light of which frame is free: watch-search.ts. Priors: common practice, no source.
 */

import { addRow, newGram, sigmasOf, solveBounded } from "./nnls.ts";
import type { StopsValue } from "./types.ts";

/** One frame of the sitter, on the patches of `SitterRows`. */
export interface FrameRow {
  /** Every light is in place, known beforehand. */
  readonly firm: boolean;
  /** Luminance of the lights alone, turned as they were for this frame, patch by patch. */
  readonly lights: Float64Array;
  /** log2 of the frame's luminance; NaN where it clips. */
  readonly seen: Float64Array;
  /** Of the frame and its reference, stops². */
  readonly noise: Float64Array;
}

/** What goes into the fit. */
export interface SitterRows {
  readonly n: number;
  /** Index of each patch on the grid. */
  readonly places: readonly number[];
  readonly frames: readonly FrameRow[];
  readonly room: Float64Array;
  /** Added to both sides before the logarithm. */
  readonly floor: number;
  /** Variance of a patch from frame to frame of one sitter, stops². */
  readonly within: Float64Array;
  /** Mean and variance of what a patch does by itself over sitters. */
  readonly mean: Float64Array;
  readonly between: Float64Array;
}

/** Where a light stands as a rule, and its repeatability. */
export interface Usual {
  readonly base: number;
  readonly scatter: number;
}

/** One explanation. */
export interface Explained {
  /** log2 gains, frame by frame. */
  readonly stops: readonly Float64Array[];
  readonly sigma: readonly Float64Array[];
  /** Lights set free in each frame. */
  readonly free: readonly ReadonlySet<number>[];
  /** What each frame leaves to the patch by itself, and its variance. */
  readonly rest: readonly Float64Array[];
  readonly variance: readonly Float64Array[];
  /** What the lights that are free change a patch by, stops. */
  readonly effect: readonly Float64Array[];
  /** What the patches do by themselves. */
  readonly own: Float64Array;
  /** Minus the logarithm of the posterior, up to a constant. */
  readonly cost: number;
}

/** Degrees of freedom of the errors. */
const NU = 3;
/** Evidence of so many neighbouring patches counts as one's. */
const TOGETHER = 4;
/** Deviation over sitters, stops, about which a patch is the sitter's as much as it is a place that stays. */
export const STEADY_STOPS = 0.1;
/** Against its whole effect: that a light reaches a patch of another sitter not at all; the same, that it does in part. */
const MAY = 0.3;
/** The part is anything from nothing to this. */
const MOST_PART = 1.2;
/** Stops: less is no effect worth two answers. */
const LEAST_EFFECT = 0.03;
/** Integral of `density` over all values: √3·π/2. */
const AREA = (Math.sqrt(3) * Math.PI) / 2;
/** Part of an effect that it may be off by on any patch, and the stops at which that grows no more. */
const EFFECT_UNSURE = 0.05;
const EFFECT_MOST = 0.7;
/** Cost of a light out of place (one in thirty), and scale of how far it goes then, stops. */
const SETTING_FREE = 3.5;
const DRIFT_STOPS = 0.45;
/** Gain under which a light counts as not fired, log2. */
export const OUT = -2.5;
/** Where a light that is out is tried. */
export const NOTHING = -8;
const HIGHEST = 4;
/** Cost of a second light out of place in one frame on top: what is not understood of the first looks like it. */
const SECOND = 10;
/** Stops: no smaller drift is told. */
export const LEAST_DRIFT = 0.2;
/** Values of one exposure lie within this, stops. */
const ALIKE = 0.4;
/** Against division by nothing. */
const TINY = 1e-300;
/** Prior deviation of a light set free in the steps, stops. */
const WIDE = 2;
const STEPS = 3;
/** Turns of a first look and of a full one. */
export const GLANCE = 1;
const FULL = 3;

/** The frames before as they were explained, the new one with all its lights in place. */
export function appended(rows: SitterRows, usual: readonly Usual[], before: Explained | null): Explained {
  const k = rows.frames.length - 1;
  const count = rows.places.length;
  const u = Float64Array.from(usual, ({ base }) => base);
  const blank: Explained = {
    stops: [...(before?.stops ?? []), u],
    sigma: [...(before?.sigma ?? []), new Float64Array(rows.n)],
    free: [...(before?.free ?? []), new Set()],
    rest: [...(before?.rest ?? []), new Float64Array(count)],
    variance: [...(before?.variance ?? []), new Float64Array(count)],
    effect: [...(before?.effect ?? []), new Float64Array(count)],
    own: before?.own ?? Float64Array.from(rows.mean),
    cost: 0,
  };
  return refitted(rows, usual, blank, [[k, new Set(), u]]);
}

/** A frame's lights as they shall be set free, and where the steps begin. */
export type Change = readonly [frame: number, free: ReadonlySet<number>, start: Float64Array];

/** The explanation with some frames' lights set free otherwise. */
export function refitted(
  rows: SitterRows,
  usual: readonly Usual[],
  from: Explained,
  changes: readonly Change[],
  turns: number = FULL,
): Explained {
  const [stops, sigma, free] = [[...from.stops], [...from.sigma], [...from.free]];
  const left = { rest: [...from.rest], variance: [...from.variance], effect: [...from.effect] };
  const count = from.own.length;
  for (const [k, freed, start] of changes) {
    [free[k], stops[k]] = [freed, start];
    left.rest[k] = new Float64Array(count);
    left.variance[k] = new Float64Array(count);
    left.effect[k] = new Float64Array(count);
    look(rows, usual, k, freed, start, left);
  }
  let [own, patches] = owned(rows, left);
  for (let turn = 0; turn < turns; turn++) {
    for (const [k, freed] of changes) {
      const u = Float64Array.from(stops[k] as Float64Array);
      sigma[k] = stepped(rows, usual, k, freed, u, own, left);
      stops[k] = u;
    }
    [own, patches] = owned(rows, left);
  }
  const cost = patches + stops.reduce((sum, u, k) => sum + standing(u, usual, free[k] as Set<number>), 0);
  return { stops, sigma, free, ...left, own, cost };
}

/** What frames leave, frame by frame. */
interface Left {
  readonly rest: Float64Array[];
  readonly variance: Float64Array[];
  readonly effect: Float64Array[];
}

/** Gauss and Newton steps of one frame's gains, what the patches do by themselves being held. */
function stepped(
  rows: SitterRows,
  usual: readonly Usual[],
  k: number,
  free: ReadonlySet<number>,
  u: Float64Array,
  own: Float64Array,
  left: Left,
): Float64Array {
  const { n } = rows;
  const [rest, variance, effect] = [left.rest[k], left.variance[k], left.effect[k]] as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const { lights } = rows.frames[k] as FrameRow;
  const shares = new Float64Array(n);
  let sigma: Float64Array = new Float64Array(n);
  for (let round = 0; round < STEPS; round++) {
    const gram = newGram(n);
    for (let p = 0; p < own.length; p++) {
      const off = (rest[p] as number) - (own[p] as number);
      if (Number.isNaN(off)) continue;
      let sum = (rows.room[p] as number) + rows.floor;
      for (let j = 0; j < n; j++) sum += shares[j] = 2 ** (u[j] as number) * (lights[p * n + j] as number);
      for (let j = 0; j < n; j++) shares[j] = (shares[j] as number) / sum;
      const w = rows.between[p] as number;
      const part = shown(off, effect[p] as number, variance[p] as number, headOf(w));
      addRow(gram, shares, off, (part * (NU + 1)) / (TOGETHER * (NU * (variance[p] as number) + off * off)));
    }
    for (let j = 0; j < n; j++) {
      const { base, scatter } = usual[j] as Usual;
      const prior = 1 / (free.has(j) ? WIDE : scatter) ** 2;
      // Out is one answer, however far down.
      const at = free.has(j) && (u[j] as number) - base < OUT ? NOTHING : base;
      gram.g[j * n + j] = (gram.g[j * n + j] as number) + prior;
      gram.h[j] = (gram.h[j] as number) + prior * (at - (u[j] as number));
    }
    const low = Array.from(u, (v) => Math.max(-1.5, NOTHING - v));
    const high = Array.from(u, (v) => Math.min(1.5, HIGHEST - v));
    const step = solveBounded(gram, low, high);
    for (let j = 0; j < n; j++) u[j] = (u[j] as number) + (step[j] as number);
    sigma = sigmasOf(gram);
    look(rows, usual, k, free, u, left);
    if (step.every((s) => Math.abs(s) < 1e-3)) break;
  }
  return sigma;
}

/** Gain of light j in frame k, and its deviation, by the places that stay alone: a head that turns looks like a light that does. */
export function byPlaces(
  rows: SitterRows,
  usual: readonly Usual[],
  found: Explained,
  k: number,
  j: number,
): StopsValue {
  const at = Float64Array.from(found.stops[k] as Float64Array);
  const left = {
    rest: found.rest.map((one) => Float64Array.from(one)),
    variance: found.variance.map((one) => Float64Array.from(one)),
    effect: found.effect.map((one) => Float64Array.from(one)),
  };
  const own = found.own.map((value, p) => (headOf(rows.between[p] as number) > 0.5 ? Number.NaN : value));
  const sigma = stepped(rows, usual, k, new Set([j]), at, own, left);
  return { stops: at[j] as number, sigmaStops: sigma[j] as number };
}

/** What a frame leaves to the patches at gains u, the variance of it, and what the free lights change. */
function look(
  rows: SitterRows,
  usual: readonly Usual[],
  k: number,
  free: ReadonlySet<number>,
  u: Float64Array,
  left: Left,
): void {
  const { n, room, floor, within } = rows;
  const { lights, seen, noise } = rows.frames[k] as FrameRow;
  const [rest, variance, effect] = [left.rest[k], left.variance[k], left.effect[k]] as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const gains = u.map((v) => 2 ** v);
  const places = u.map((v, j) => 2 ** (free.has(j) ? (usual[j] as Usual).base : v));
  for (let p = 0; p < seen.length; p++) {
    let [sum, placed] = [(room[p] as number) + floor, (room[p] as number) + floor];
    for (let j = 0; j < n; j++) {
      const light = lights[p * n + j] as number;
      sum += (gains[j] as number) * light;
      placed += (places[j] as number) * light;
    }
    const level = Math.log2(sum);
    rest[p] = (seen[p] as number) - level;
    const moved = free.size > 0 ? level - Math.log2(placed) : 0;
    effect[p] = Math.abs(moved) < LEAST_EFFECT ? 0 : moved;
    variance[p] = (within[p] as number) + (noise[p] as number) + EFFECT_UNSURE ** 2 * squareTo(moved);
  }
}

/** Student's t without its constant. */
const density = (off: number, v: number): number => 1 / ((1 + (off * off) / (NU * v)) ** 2 * Math.sqrt(v));

/**
 * Density of what a patch is off by; `head`: how much it is the sitter's, whose hair and skin light may reach less or not.
 * The whole effect is the rule, and costs nothing where it can be told from none.
 */
function likely(off: number, effect: number, v: number, head: number): number {
  if (effect === 0) return density(off, v);
  const alike = density(effect, v) * Math.sqrt(v);
  const less = MAY * head * (density(off + effect, v) + partly(off, effect));
  return (density(off, v) + less) / (1 + 2 * MAY * head * alike);
}

/** Density of a part of the effect, any as likely; scaled as `density` is. */
function partly(off: number, effect: number): number {
  const part = (off + effect) / effect;
  return part > 0 && part < MOST_PART ? AREA / (MOST_PART * Math.abs(effect)) : 0;
}

/** Part of that density that is of the whole effect. */
function shown(off: number, effect: number, v: number, head: number): number {
  if (effect === 0) return 1;
  const whole = density(off, v);
  return whole / (whole + MAY * head * (density(off + effect, v) + partly(off, effect)) + TINY);
}

/** What the patches do by themselves, and the patches' part of the cost. */
function owned(rows: SitterRows, { rest, variance, effect }: Left): [Float64Array, number] {
  const own = new Float64Array(rows.places.length);
  const count = rest.length;
  const [r, v, e, sorted] = [0, 1, 2, 3].map(() => new Float64Array(count)) as [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  let cost = 0;
  for (let p = 0; p < own.length; p++) {
    const [mean, w] = [rows.mean[p] as number, rows.between[p] as number];
    const head = headOf(w);
    // Of another sitter's hair and skin next to nothing is known, and all of it goes one way.
    const part = 1 - head;
    let [known, plain] = [0, 0];
    for (let k = 0; k < count; k++) {
      const value = (rest[k] as Float64Array)[p] as number;
      if (Number.isNaN(value)) continue;
      r[known] = value;
      v[known] = (variance[k] as Float64Array)[p] as number;
      e[known] = (effect[k] as Float64Array)[p] as number;
      if (e[known++] !== 0) continue;
      let at = plain++;
      for (; at > 0 && (sorted[at - 1] as number) > value; at--) sorted[at] = sorted[at - 1] as number;
      sorted[at] = value;
    }
    // From the middle of the frames with every light in place.
    let a = plain > 0 ? (sorted[(plain - 1) >> 1] as number) : (r[0] ?? mean);
    for (let round = 0; round < 3; round++) {
      const prior = part / (NU * w + (a - mean) ** 2);
      let [sum, weights] = [prior * mean, prior];
      for (let k = 0; k < known; k++) {
        const off = (r[k] as number) - a;
        const whole = shown(off, e[k] as number, v[k] as number, head);
        const weight = whole / (NU * (v[k] as number) + off * off);
        sum += weight * (r[k] as number);
        weights += weight;
      }
      if (weights > 0) a = sum / weights;
    }
    own[p] = a;
    // Of all frames in one logarithm.
    let product = 1;
    for (let k = 0; k < known; k++) product *= likely((r[k] as number) - a, e[k] as number, v[k] as number, head);
    cost += (part * 2 * Math.log1p((a - mean) ** 2 / (NU * w)) - Math.log(product + TINY)) / TOGETHER;
  }
  return [own, cost];
}

/** A square that grows no further. */
const squareTo = (x: number): number => (x * x) / (1 + (x * x) / EFFECT_MOST ** 2);

/** How much a patch is the sitter's, 0…1. */
const headOf = (w: number): number => w / (w + STEADY_STOPS ** 2);

/** What it costs that a frame's lights stand where they do. Most of them alike are one thing, the exposure. */
function standing(u: Float64Array, usual: readonly Usual[], free: ReadonlySet<number>): number {
  const off = u.map((value, j) => value - (usual[j] as Usual).base);
  const offs = [...free].map((j) => off[j] as number);
  let cost = alike(offs, u.length) ? 0 : SECOND * Math.max(0, free.size - 1);
  off.forEach((value, j) => {
    if (!free.has(j)) cost += 0.5 * (value / (usual[j] as Usual).scatter) ** 2;
    else cost += SETTING_FREE + (value < OUT ? 0 : 0.5 * (value / DRIFT_STOPS) ** 2);
  });
  return cost;
}

/** Most of the lights went alike, stops, and as far as is told. */
export const alike = (offs: readonly number[], lights: number): boolean =>
  offs.length > Math.max(1, lights / 2) &&
  Math.max(...offs) - Math.min(...offs) < ALIKE &&
  offs.every((off) => Math.abs(off) >= LEAST_DRIFT && off > OUT);
