/**
 * Which frame is the sum of which others. Light only adds, and any rising curve keeps that order: a frame of several
 * lights lies, everywhere, at or over the frame of each of them. So whoever does not lie under a frame is no part of it;
 * of those that do, the ones whose light is missing in it are taken out one by one, and what is left must add up as shot.
 * A frame of one light that others could be mixed to by turning them (light from between two others) is no sum: gains
 * are not free here but for a light or two that were changed. Limits: common practice, no source.
 */

import { sumOf } from "./check.ts";
import { fitGains } from "./gains.ts";
import { darkLimit, gridOf, lightOf, lightsOf, meanLight, medianOf, sameWithin } from "./grid.ts";
import { registerFrames, shiftedBack } from "./register.ts";
import type { LinearFrame } from "./types.ts";

export interface FoundSum {
  readonly frame: LinearFrame;
  readonly parts: readonly LinearFrame[];
  /** Part of it that the parts leave: three quarters of the patches leave less. */
  readonly left: number;
  /** as-shot: the parts add up. changed: with some parts turned. covers: over all others, but they do not add up. */
  readonly how: "as-shot" | "changed" | "covers";
}

/** Left, part of the light, by a sum as shot, by one with a changed light, by one through an unknown curve. */
const LEFT_AS_SHOT = 0.07;
const LEFT_CHANGED = 0.12;
const LEFT_COVERED = 0.35;
/** Part of the patches under a sum: of any part of it, and where its parts do not add up as shot. */
const UNDER_LOOSE = 0.85;
const UNDER_STRICT = 0.97;
/** A light is not in a sum that comes so much nearer without it, where it would make most. */
const GONE = 0.6;
/** Gains of changed lights, and how far an unchanged one may stand off, stops. */
const CHANGED = [0.4, 2.5] as const;
const UNCHANGED_STOPS = 0.25;
/** Light of the parts together over the sum's own. */
const TOTAL = [0.7, 1.5] as const;

/** Sums of two or more of the others, brightest first; a sum is no part of another. `frames`: proxies of one size. */
export function sumsOf(frames: readonly LinearFrame[], ambient: LinearFrame | null): readonly FoundSum[] {
  const items = frames.map(itemOf);
  const room = ambient && gridOf(ambient);
  const sorted = items.toSorted((a, b) => b.mean - a.mean);
  const sums: FoundSum[] = [];
  // Dimmest first, so that a sum of two is known before it could be taken for a part of the sum of all.
  for (const item of sorted.toReversed()) {
    const others = items.filter((other) => other !== item && !sums.some(({ frame }) => frame === other.frame));
    const found = others.length < 2 ? null : (sumIn(item, others, room) ?? shiftedSum(item, others, room, ambient));
    if (found !== null) sums.push({ ...found, frame: item.frame, parts: found.parts.map(({ frame }) => frame) });
  }
  return sums.toReversed();
}

interface Item {
  readonly frame: LinearFrame;
  readonly grid: LinearFrame;
  /** Luminance of the grid's patches, and its mean. */
  readonly light: Float32Array;
  readonly mean: number;
}

function itemOf(frame: LinearFrame): Item {
  const grid = gridOf(frame);
  return { frame, grid, light: lightsOf(grid), mean: meanLight(grid) };
}

interface Explained {
  readonly parts: readonly Item[];
  readonly left: number;
  readonly how: FoundSum["how"];
}

/** The same after the frame was moved back onto the others, where it lies off and is the brightest. */
function shiftedSum(
  { frame, mean }: Item,
  others: readonly Item[],
  room: LinearFrame | null,
  ambient: LinearFrame | null,
): Explained | null {
  if (others.some((other) => other.mean > mean)) return null;
  const alones = others.map((other) => ({ lightId: other.frame.id, frame: other.frame }));
  const shift = registerFrames(sumOf(alones, ambient), frame);
  if (shift.peak < 1.5 || Math.hypot(shift.x, shift.y) < 0.5) return null;
  return sumIn(itemOf(shiftedBack(frame, shift)), others, room);
}

function sumIn(target: Item, others: readonly Item[], room: LinearFrame | null): Explained | null {
  const under = new Map(others.map((other) => [other, partUnder(other.grid, target.grid)]));
  let parts = others.filter((other) => other.mean < target.mean && (under.get(other) as number) > UNDER_LOOSE);
  for (;;) {
    if (parts.length < 2) return null;
    const gone = missing(target, parts, room);
    if (gone === null) break;
    parts = parts.filter((part) => part !== gone);
  }
  const left = leftBy(target, parts, room);
  const strict = parts.every((part) => (under.get(part) as number) > UNDER_STRICT);
  if (left < LEFT_AS_SHOT) return { parts, left, how: "as-shot" };
  const total = parts.reduce((sum, { mean }) => sum + mean, 0) / target.mean;
  if (!strict || total < TOTAL[0] || total > TOTAL[1] * (room ? 1 : 2)) return null;
  const changed = leftByGains(target, parts, room);
  if (changed < LEFT_CHANGED) return { parts, left: changed, how: "changed" };
  return parts.length === others.length && left < LEFT_COVERED ? { parts, left, how: "covers" } : null;
}

/** Part of the patches where the first lies at or under the second, within noise. */
export function partUnder(low: LinearFrame, high: LinearFrame): number {
  let [under, all] = [0, 0];
  for (let i = 0; i < low.clipped.length; i++) {
    if ((high.clipped[i] as number) & 2 || (low.clipped[i] as number) & 2) continue;
    const [a, b] = [lightOf(low.rgb, i), lightOf(high.rgb, i)];
    all++;
    if (high.clipped[i] || a <= 1.03 * b + sameWithin(low, high, a, b)) under++;
  }
  return all === 0 ? 0 : under / all;
}

/** Sum of the parts per patch, the room once; where there is no frame of the room, what lies under all parts at most. */
function summed(parts: readonly Item[], room: LinearFrame | null, gains?: ArrayLike<number>): Float32Array {
  const columns = parts.map(({ light }) => light);
  const below = room && lightsOf(room);
  return Float32Array.from({ length: (columns[0] as Float32Array).length }, (_, i) => {
    const under = below === null ? 0 : (below[i] as number);
    return columns.reduce((sum, column, j) => sum + (gains?.[j] ?? 1) * ((column[i] as number) - under), under);
  });
}

/** Least light of the parts per patch: the room's is at most that. */
function leastOf(parts: readonly Item[]): Float32Array {
  const columns = parts.map(({ light }) => light);
  return Float32Array.from({ length: (columns[0] as Float32Array).length }, (_, i) =>
    Math.min(...columns.map((column) => column[i] as number)),
  );
}

/** The sum, and without a frame of the room the one with what lies under all parts taken once, where that comes nearer. */
function bestSum(target: Item, parts: readonly Item[], room: LinearFrame | null): Float32Array {
  const sum = summed(parts, room);
  if (room !== null) return sum;
  const least = leastOf(parts);
  const once = sum.map((value, i) => value - (parts.length - 1) * (least[i] as number));
  return leftOver(target, parts, once) < leftOver(target, parts, sum) ? once : sum;
}

const leftBy = (target: Item, parts: readonly Item[], room: LinearFrame | null): number =>
  leftOver(target, parts, bestSum(target, parts, room));

/** With free gains, where most lights stand as shot all the same; else 1. */
function leftByGains(target: Item, parts: readonly Item[], room: LinearFrame | null): number {
  const alones = parts.map(({ frame, grid }) => ({ lightId: frame.id, frame: grid }));
  const { linear } = fitGains(target.grid, alones, room);
  const stops = [...linear].map((gain) => Math.log2(Math.max(1e-6, gain)));
  const common = parts.length > 2 ? medianOf(stops) : 0;
  const unchanged = stops.filter((own) => Math.abs(own - common) < UNCHANGED_STOPS).length;
  const inRange = linear.every((gain) => gain > CHANGED[0] && gain < CHANGED[1]);
  return inRange && unchanged >= parts.length / 2 ? leftOver(target, parts, summed(parts, room, linear)) : 1;
}

/** What the sum leaves at a patch, part of the patch: three quarters of the patches that are not dark leave less. */
function leftOver(target: Item, parts: readonly Item[], sum: Float32Array): number {
  const dark = 2 * darkLimit(target.grid);
  const left: number[] = [];
  target.light.forEach((value, i) => {
    if (value <= dark || target.grid.clipped[i] || parts.some(({ grid }) => grid.clipped[i])) return;
    left.push(Math.abs(value - (sum[i] as number)) / value);
  });
  left.sort((a, b) => a - b);
  return left.length < 30 ? 1 : (left[Math.floor(0.75 * left.length)] as number);
}

/** The part without which the sum comes nearest, where that light would make most; null: none comes nearer by enough. */
function missing(target: Item, parts: readonly Item[], room: LinearFrame | null): Item | null {
  const { light } = target;
  const sum = bestSum(target, parts, room);
  const below = room && lightsOf(room);
  let [lowest, found] = [GONE, null as Item | null];
  for (const part of parts) {
    const own = part.light.map((value, i) => value - (below?.[i] ?? 0));
    const places = tellingPlaces(target, part, own);
    if (places.length < 30) continue;
    const off = (i: number): number => ((sum[i] as number) - (light[i] as number)) / (light[i] as number);
    const within = rmsOf(places.map(off));
    const without = rmsOf(places.map((i) => off(i) - (own[i] as number) / (light[i] as number)));
    if (without / Math.max(1e-9, within) < lowest) [lowest, found] = [without / Math.max(1e-9, within), part];
  }
  return found;
}

const rmsOf = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

/** The twentieth of the patches of which a light makes most. */
function tellingPlaces(target: Item, part: Item, own: Float32Array): readonly number[] {
  const { light } = target;
  const dark = 2 * darkLimit(target.grid);
  const usable = [...own.keys()].filter(
    (i) => (light[i] as number) > dark && !target.grid.clipped[i] && !part.grid.clipped[i],
  );
  const share = (i: number): number => (own[i] as number) / (light[i] as number);
  return usable.sort((a, b) => share(b) - share(a)).slice(0, Math.max(30, Math.ceil(usable.length / 20)));
}
