/**
 * The watch's fit of one frame. Each patch: log2 seen = log2(Σ 2^u·light + room) + own + error, the error normal with the
 * patch's variance or, now and then, anything within eight stops. Each light's u has a normal prior about where it
 * usually stands; a light set free has a wide one. Maximum a posteriori by reweighted Gauss and Newton steps; lights are
 * set free one by one while the cost falls clearly. Patches beside each other err together, so that their evidence
 * counts for a part only.
 */

import { addRow, newGram, sigmasOf, solveBounded } from "./nnls.ts";

/** Patches of one frame and what is expected of them. */
export interface WatchRows {
  readonly n: number;
  /** Index of each patch on the grid. */
  readonly places: readonly number[];
  /** Luminance of the lights alone, patch by patch. */
  readonly lights: Float64Array;
  readonly room: Float64Array;
  /** Added to both sides before the logarithm. */
  readonly floor: number;
  /** log2 of the frame's luminance. */
  readonly seen: Float64Array;
  /** Of the frame and its reference, stops². */
  readonly noise: Float64Array;
  /** What the patch is expected to do by itself, stops, and its variance with noise, stops². */
  readonly own: Float64Array;
  readonly variance: Float64Array;
  /** Part of patches that may do anything instead. */
  readonly anything: number;
  /** The sitter was not seen before. */
  readonly unseen: boolean;
}

/** Where a light stands as a rule, and its repeatability. */
export interface Usual {
  readonly base: number;
  readonly scatter: number;
}

export interface Explained {
  /** log2 gains. */
  readonly stops: Float64Array;
  readonly sigma: Float64Array;
  /** Lights that were set free, and all that are not where they usually stand. */
  readonly free: ReadonlySet<number>;
  readonly off: ReadonlySet<number>;
  /** Minus the logarithm of the posterior, up to a constant. */
  readonly cost: number;
  /** Per patch: probability that it keeps to the model; what it does by itself, stops; part of it from lights in place. */
  readonly inlier: Float64Array;
  readonly rest: Float64Array;
  readonly placed: Float64Array;
}

/** Evidence of so many neighbouring patches counts as one's. */
const TOGETHER = 4;
/** Density of doing anything: one over eight stops. */
const ANYWHERE = 1 / 8;
/** Fall of the cost that sets a light free; of a sitter not seen before more, whose hair may be as dark as a light is out. */
const CLEARLY = 7;
const CLEARLY_UNSEEN = 14;
/** Deviations of its usual scatter beyond which a light is out of place even if nothing set it free. */
const OUT_OF_PLACE = 4;
/** Prior deviation of a light set free, stops, and the ends of what it may do. */
const WIDE = 2;
const LOWEST = -8;
const HIGHEST = 4;
const ROUNDS = 12;

/** The best explanation with as few lights out of place as it takes. */
export function explain(rows: WatchRows, usual: readonly Usual[]): Explained {
  let best = fit(rows, usual, new Set(), null);
  const clearly = rows.unseen ? CLEARLY_UNSEEN : CLEARLY;
  for (let count = 0; count < rows.n; count++) {
    let next = best;
    for (let j = 0; j < rows.n; j++) {
      if (best.free.has(j)) continue;
      const free = new Set([...best.free, j]);
      // From its usual place, and from nothing: a redescending fit finds the nearest answer only.
      for (const start of [null, j]) {
        const tried = fit(rows, usual, free, start);
        if (tried.cost < next.cost) next = tried;
      }
    }
    if (next === best || best.cost - next.cost < clearly) return best;
    best = next;
  }
  return best;
}

/** What the patches do by themselves if every light stands where it usually does, stops. */
export function restAt(rows: WatchRows, usual: readonly Usual[]): Float64Array {
  const count = rows.places.length;
  const rest = new Float64Array(count);
  const u = Float64Array.from(usual, ({ base }) => base);
  look(rows, u, new Float64Array(count), rest, new Float64Array(count * rows.n));
  return rest;
}

function fit(rows: WatchRows, usual: readonly Usual[], free: ReadonlySet<number>, missing: number | null): Explained {
  const { n } = rows;
  const u = Float64Array.from(usual, ({ base }, j) => (j === missing ? LOWEST : base));
  const spread = usual.map(({ scatter }, j) => (free.has(j) ? WIDE : scatter));
  const count = rows.places.length;
  const [inlier, rest, shares] = [new Float64Array(count), new Float64Array(count), new Float64Array(count * n)];
  let sigma: Float64Array = new Float64Array(n);
  for (let round = 0; round < ROUNDS; round++) {
    look(rows, u, inlier, rest, shares);
    const gram = newGram(n);
    for (let p = 0; p < count; p++) {
      const off = (rest[p] as number) - (rows.own[p] as number);
      addRow(
        gram,
        shares.subarray(p * n, p * n + n),
        off,
        (inlier[p] as number) / (TOGETHER * (rows.variance[p] as number)),
      );
    }
    for (let j = 0; j < n; j++) {
      const prior = 1 / (spread[j] as number) ** 2;
      gram.g[j * n + j] = (gram.g[j * n + j] as number) + prior;
      gram.h[j] = (gram.h[j] as number) + prior * ((usual[j]?.base as number) - (u[j] as number));
    }
    const low = Array.from(u, (v) => Math.max(-1.5, LOWEST - v));
    const high = Array.from(u, (v) => Math.min(1.5, HIGHEST - v));
    const step = solveBounded(gram, low, high);
    for (let j = 0; j < n; j++) u[j] = (u[j] as number) + (step[j] as number);
    sigma = sigmasOf(gram);
    if (step.every((s) => Math.abs(s) < 1e-4)) break;
  }
  let cost = look(rows, u, inlier, rest, shares) / TOGETHER;
  for (let j = 0; j < n; j++) {
    const off = ((u[j] as number) - (usual[j]?.base as number)) / (spread[j] as number);
    // A light that is out is one answer, however far down: its prior ends at three deviations.
    cost += 0.5 * Math.min(9, off * off) + Math.log(spread[j] as number);
  }
  const off = new Set([...u.keys()].filter((j) => free.has(j) || isOff(u[j] as number, usual[j] as Usual)));
  const placed = Float64Array.from({ length: count }, (_, p) => {
    let part = 1;
    for (const j of off) part -= shareWhole(rows, usual, p, j);
    return part;
  });
  return { stops: u, sigma, free, off, cost, inlier, rest, placed };
}

const isOff = (u: number, { base, scatter }: Usual): boolean => Math.abs(u - base) > OUT_OF_PLACE * scatter;

/** Residuals, shares of the lights and inlier probabilities at u; returns minus the logarithm of the likelihood. */
function look(
  rows: WatchRows,
  u: Float64Array,
  inlier: Float64Array,
  rest: Float64Array,
  shares: Float64Array,
): number {
  const { n, lights, room, floor, seen, own, variance, anything } = rows;
  const gains = u.map((v) => 2 ** v);
  let cost = 0;
  for (let p = 0; p < seen.length; p++) {
    let sum = (room[p] as number) + floor;
    for (let j = 0; j < n; j++) sum += (gains[j] as number) * (lights[p * n + j] as number);
    for (let j = 0; j < n; j++) shares[p * n + j] = ((gains[j] as number) * (lights[p * n + j] as number)) / sum;
    const value = (seen[p] as number) - Math.log2(sum);
    rest[p] = value;
    const off = value - (own[p] as number);
    const v = variance[p] as number;
    const normal = ((1 - anything) * Math.exp((-0.5 * off * off) / v)) / Math.sqrt(2 * Math.PI * v);
    const density = normal + anything * ANYWHERE;
    inlier[p] = normal / density;
    cost -= Math.log(density);
  }
  return cost;
}

/** Part of a patch that a light gives when it stands at its usual place. */
function shareWhole(rows: WatchRows, usual: readonly Usual[], p: number, j: number): number {
  const { n, lights, room, floor } = rows;
  let sum = (room[p] as number) + floor;
  for (let k = 0; k < n; k++) sum += 2 ** (usual[k]?.base as number) * (lights[p * n + k] as number);
  return (2 ** (usual[j]?.base as number) * (lights[p * n + j] as number)) / sum;
}
