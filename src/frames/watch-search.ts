/**
 * Which light of which frame is out of place: a search over explanations (watch-fit.ts) of one sitter's frames, and how
 * sure each of its answers is against the best explanation that does without it.
 */

import {
  appended,
  type Change,
  type Explained,
  GLANCE,
  NOTHING,
  refitted,
  type SitterRows,
  type Usual,
} from "./watch-fit.ts";

/** Fall of the cost below which an explanation is not better. */
const BETTER = 0.5;
/** Deviations of its usual scatter beyond which a light is out of place, however dear that is. */
const OUT_OF_PLACE = 4;
/** A first look may be so much too dear. */
const GLANCE_OFF = 5;
/** Where a light set free begins, stops from its usual place. */
const STARTS = [NOTHING, -0.5, 0.5];
/** The other way round from a light that is out, stops. */
const UP_MOST = 3;
/** Frames of a sitter up to which all of them are searched anew. */
const FEW = 4;

/** The best explanation of the frames, the last of which is new. */
export function explain(rows: SitterRows, usual: readonly Usual[], before: Explained | null): Explained {
  let best = appended(rows, usual, before);
  for (let round = 0; round < 2 * rows.n; round++) {
    const next = bestMove(rows, usual, best, moves(rows, usual, best));
    if (best.cost - next.cost < BETTER) return best;
    best = next;
  }
  return best;
}

/**
 * How much dearer the best explanation is that leaves light j of frame k in place; not searched further once it is less
 * than `enough`.
 */
export function sureness(
  rows: SitterRows,
  usual: readonly Usual[],
  best: Explained,
  k: number,
  j: number,
  enough: number,
): number {
  const without = refitted(rows, usual, best, [inPlace(usual, best, k, j)]);
  // Even held to its place it is far from there: nothing else explains the frame.
  const { base, scatter } = usual[j] as Usual;
  if (Math.abs((without.stops[k]?.[j] as number) - base) > OUT_OF_PLACE * scatter) return Number.POSITIVE_INFINITY;
  if (without.cost - best.cost < enough) return without.cost - best.cost;
  const others: (readonly Change[])[] = [];
  for (let m = 0; m < rows.frames.length; m++) {
    if (m === k || rows.frames[m]?.firm || without.free[m]?.has(j)) continue;
    for (const start of STARTS) others.push([setFree(usual, without, m, j, start)]);
  }
  for (let i = 0; i < rows.n; i++) {
    if (i === j || without.free[k]?.has(i)) continue;
    for (const start of STARTS) others.push([setFree(usual, without, k, i, start)]);
  }
  let cost = Math.min(without.cost, bestMove(rows, usual, without, others).cost);
  if (rows.frames.length > 1 && !rows.frames[0]?.firm)
    cost = Math.min(cost, refitted(rows, usual, best, complement(usual, best, j)).cost);
  return cost - best.cost;
}

/** Explanations one move away. */
function moves(rows: SitterRows, usual: readonly Usual[], from: Explained): readonly (readonly Change[])[] {
  const tried: (readonly Change[])[] = [];
  const last = rows.frames.length - 1;
  const suspect = (j: number): boolean => from.free.some((free) => free.has(j));
  for (let j = 0; j < rows.n; j++) {
    for (let k = 0; k <= last; k++) {
      if (from.free[k]?.has(j)) tried.push([inPlace(usual, from, k, j)]);
      else if (rows.frames[k]?.firm) continue;
      else if (k === last || last < FEW || suspect(j))
        for (const start of STARTS) tried.push([setFree(usual, from, k, j, start)]);
    }
    if (suspect(j) && !rows.frames[0]?.firm) tried.push(complement(usual, from, j));
  }
  // The exposure moves all of them at once.
  if (from.free[last]?.size === 0) for (const start of [-0.5, 0.5]) tried.push([allFree(usual, last, start)]);
  return tried;
}

/** The best of all moves by a first look, looked at in full; `from` when none is better. */
function bestMove(
  rows: SitterRows,
  usual: readonly Usual[],
  from: Explained,
  all: readonly (readonly Change[])[],
): Explained {
  let [least, move]: [number, readonly Change[] | null] = [from.cost + GLANCE_OFF, null];
  for (const changes of all) {
    const { cost } = refitted(rows, usual, from, changes, GLANCE);
    if (cost < least) [least, move] = [cost, changes];
  }
  const found = move ? refitted(rows, usual, from, move) : from;
  return found.cost < from.cost ? found : from;
}

function setFree(usual: readonly Usual[], from: Explained, k: number, j: number, start: number): Change {
  const u = Float64Array.from(from.stops[k] as Float64Array);
  u[j] = (usual[j] as Usual).base + start;
  return [k, new Set([...(from.free[k] as ReadonlySet<number>), j]), u];
}

const allFree = (usual: readonly Usual[], k: number, start: number): Change => [
  k,
  new Set(usual.keys()),
  Float64Array.from(usual, ({ base }) => base + start),
];

function inPlace(usual: readonly Usual[], from: Explained, k: number, j: number): Change {
  const u = Float64Array.from(from.stops[k] as Float64Array);
  u[j] = (usual[j] as Usual).base;
  return [k, new Set([...(from.free[k] as ReadonlySet<number>)].filter((i) => i !== j)), u];
}

/** The same light's frames the other way round: those that were off in place, and the others off the other way. */
function complement(usual: readonly Usual[], from: Explained, j: number): readonly Change[] {
  const off = from.free.flatMap((free, k) => (free.has(j) ? [(from.stops[k] as Float64Array)[j] as number] : []));
  const mean = off.reduce((sum, v) => sum + v, 0) / off.length - (usual[j] as Usual).base;
  return from.free.map((free, k) =>
    free.has(j) ? inPlace(usual, from, k, j) : setFree(usual, from, k, j, Math.min(UP_MOST, -mean)),
  );
}
