/** What the watch knows, and what it learns from a frame and from a sitter. */

import { medianOf } from "./grid.ts";
import type { Id } from "./types.ts";
import type { Explained, FrameRow, Usual } from "./watch-fit.ts";

/** What is known before and learned on the way; plain data, a new value after each frame. */
export interface WatchState {
  readonly lightIds: readonly Id[];
  readonly names: readonly string[];
  /** Size of the frames that belong to it. */
  readonly frameWidth: number;
  readonly frameHeight: number;
  /** Patches of the grid that the lights reach, and their luminance by each light alone, the lights side by side. */
  readonly places: readonly number[];
  readonly lights: Float64Array;
  readonly room: Float64Array;
  /** Added to both sides before the logarithm: what is darker is noise. */
  readonly floor: number;
  /** Mean and variance, stops and stops², of what a patch does from sitter to sitter; variance from frame to frame of one. */
  readonly mean: Float64Array;
  readonly between: Float64Array;
  readonly within: Float64Array;
  readonly sitters: number;
  readonly frames: number;
  /** The present sitter's latest frames, and how they are explained. */
  readonly sitting: readonly SeenFrame[];
  readonly explained: Explained | null;
  /** log2 gains of frames in which the light was in place. */
  readonly accepted: readonly (readonly number[])[];
  /** Name of the frame since which a light is off; null when it is in place. */
  readonly since: readonly (string | null)[];
}

/** A frame as the watch keeps it. */
export interface SeenFrame extends FrameRow {
  /** Null: the lights' own frames, summed (firm); what the first sitter's are held against. */
  readonly frameId: Id | null;
  readonly name: string;
  /** Lights of which an alarm was given. */
  readonly told: readonly number[];
}

/** Least deviation of any patch, stops, over sitters and within one: folds, dust, flash from place to place. */
export const LEAST_STOPS = 0.02;
export const LEAST_WITHIN = 0.006;
/** Sitters and frames over which a patch is remembered. */
const MEMORY_SITTERS = 12;
const MEMORY_FRAMES = 40;
/** Frames of the present sitter that are explained together. */
const TOGETHER = 7;
/** Gains that are remembered, and the repeatability before a session has shown its own, stops. */
const GAINS = 60;
const REPEATS = 0.03;
/** Times its variance that one event counts for at most. */
const ONE_EVENT = 25;

/** A few zeros stand for the light's own frame. */
export function usualOf(accepted: readonly number[]): Usual {
  const all = [0, 0, 0, ...accepted];
  const base = medianOf(all);
  const own = 1.4826 * medianOf(all.map((value) => Math.abs(value - base)));
  return { base, scatter: Math.min(2 * REPEATS, Math.max(REPEATS, own)) };
}

/** The state after a frame. */
export function learned(
  state: WatchState,
  seen: SeenFrame,
  found: Explained,
  told: readonly { readonly frame: number; readonly light: number }[],
): WatchState {
  const last = state.sitting.length;
  const within = Float64Array.from(state.within);
  if (last > 0) {
    const rest = found.rest[last] as Float64Array;
    const share = 1 / Math.min(MEMORY_FRAMES, state.frames - state.sitters + 2);
    for (let p = 0; p < rest.length; p++) {
      const [noise, v] = [seen.noise[p] as number, within[p] as number];
      // Where a light that is off does much, the patch's own doing cannot be told from it.
      if (found.effect[last]?.[p] !== 0 || Number.isNaN(rest[p] as number)) continue;
      // The mean went with the frame: so much less is left.
      const square = ((rest[p] as number) - (found.own[p] as number)) ** 2 * ((last + 1) / last);
      within[p] = remembered(v, Math.max(0, square - noise), share, LEAST_WITHIN);
    }
  }
  const sitting = [...state.sitting, seen].map((one, k) => ({
    ...one,
    told: [...one.told, ...told.flatMap(({ frame, light }) => (frame === k ? [light] : []))],
  }));
  const off = (j: number): boolean => sitting.at(-1)?.told.includes(j) === true;
  const from = Math.max(0, sitting.length - TOGETHER);
  return {
    ...{ ...state, within, frames: state.frames + 1, sitting: sitting.slice(from), explained: sliced(found, from) },
    accepted: state.accepted.map((values, j) =>
      found.free[last]?.has(j) ? values : [...values.slice(-GAINS), found.stops[last]?.[j] as number],
    ),
    since: state.since.map((since, j) => (off(j) ? (since ?? seen.name) : null)),
  };
}

const sliced = (found: Explained, from: number): Explained => ({
  ...{ own: found.own, cost: found.cost, stops: found.stops.slice(from), sigma: found.sigma.slice(from) },
  ...{ free: found.free.slice(from), rest: found.rest.slice(from), variance: found.variance.slice(from) },
  effect: found.effect.slice(from),
});

/** The state after a sitter's last frame: what the patches did with this one. */
export function sitterLearned(state: WatchState, found: Explained): WatchState {
  const mean = Float64Array.from(state.mean);
  const between = Float64Array.from(state.between);
  const share = 1 / Math.min(MEMORY_SITTERS, state.sitters + 2);
  found.own.forEach((own, p) => {
    const off = own - (mean[p] as number);
    between[p] = remembered(between[p] as number, off * off, share, LEAST_STOPS);
    mean[p] =
      (mean[p] as number) + share * Math.sign(off) * Math.min(Math.abs(off), 3 * Math.sqrt(between[p] as number));
  });
  return { ...state, mean, between, sitters: state.sitters + 1, sitting: [], explained: null };
}

/** A running mean that one event does not upset: so many times the variance at most goes in. */
const remembered = (variance: number, square: number, share: number, least: number): number =>
  variance + share * (Math.min(square, ONE_EVENT * (variance + least ** 2)) - variance);
