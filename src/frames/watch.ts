/**
 * Watching the session: once each light's own frame is known, later frames, with whoever sits, are explained patch by
 * patch: log2 of their light = log2(Σ gain·light alone) + what the patch does by itself. Places that stay (backdrop,
 * clothing) do little by themselves; faces and hair change with the sitter and then stay until the next. So the frames of
 * one sitter are explained together (watch-fit.ts, watch-search.ts), with as few lights out of place as it takes, and
 * what cannot be told in a sitter's first frame, dark hair from a hair light that is out, is told when later frames show
 * it. How places, sitters and lights behave is learned on the way; noise and the session's own scatter make the limits.
 */

import type { AloneFrame } from "./gains.ts";
import { darkLimit, lightOf, lightVariance, oneSize } from "./grid.ts";
import { proxyOf } from "./linear.ts";
import type { Area, GainOf, Id, LinearFrame, WatchAlarm, WatchResult } from "./types.ts";
import {
  alike,
  byPlaces,
  type Explained,
  type FrameRow,
  LEAST_DRIFT,
  OUT,
  type SitterRows,
  STEADY_STOPS,
  type Usual,
} from "./watch-fit.ts";
import {
  LEAST_STOPS,
  LEAST_WITHIN,
  learned,
  type SeenFrame,
  sitterLearned,
  usualOf,
  type WatchState,
} from "./watch-learn.ts";
import { explain, sureness } from "./watch-search.ts";
import { alarmOf, merged } from "./watch-words.ts";

export type { WatchState };

export interface WatchOptions {
  /** Words for a light; its id unless given. */
  readonly nameOf?: (lightId: Id) => string;
  /** What stays whoever sits (backdrop, chair), in pixels of the frames: believed from the first frame on. */
  readonly places?: readonly Area[];
}

/** Patches along the longer side. */
const WATCH_GRID = 48;
/** Deviations of a patch before it has shown its own, stops: a named place, any other, the next frame of a sitter. */
const PLACE_STOPS = 0.03;
const ANY_STOPS = 0.2;
const NEXT_STOPS = 0.05;
const SIGMAS = 3;
/** How much dearer every other explanation must be; where it may as well be the other frames that are off. */
const SURE = 5;
const SURE_WHICH = 25;
/** Deviation, stops, below which places tell a light's gain, and the part of what is told that they must show. */
const WELL_SHOWN = 0.25;
const LEAST_THERE = 0.8;
/** Patches that must agree, of all that are lit. */
const AGREEING_PART = 0.2;
const FEWEST = 40;
/** Part of the sitter's patches that must have changed for another sitter, and by how much, stops, or by noise and edges. */
const NEW_SITTER = 0.12;
const CHANGED_STOPS = 0.25;
const CHANGED_SIGMAS = 4;
/** Stops: where lights that are off change more, little is seen of the sitter. */
const HIDDEN = 1;
/** How far edges move from frame to frame of a sitter, patches. */
const MOVES = 0.05;

/** The watch before its first frame, from the frames of the lights alone and of the room. */
export function startWatch(
  alones: readonly AloneFrame[],
  ambient: LinearFrame | null,
  options: WatchOptions = {},
): WatchState {
  const [first] = alones;
  if (!first) throw new RangeError("a watch needs at least one light");
  oneSize([...alones.map(({ frame }) => frame), ...(ambient ? [ambient] : [])]);
  const grids = alones.map(({ frame }) => proxyOf(frame, WATCH_GRID));
  const room = ambient ? proxyOf(ambient, WATCH_GRID) : null;
  const grid = grids[0] as LinearFrame;
  const below = (i: number): number => (room ? lightOf(room.rgb, i) : 0);
  const alone = (i: number, j: number): number => Math.max(0, lightOf((grids[j] as LinearFrame).rgb, i) - below(i));
  const floor = darkLimit(first.frame) / 3;
  const places = [...grid.clipped.keys()].filter(
    (i) => grids.every(({ clipped }) => !clipped[i]) && grids.reduce((sum, _, j) => sum + alone(i, j), 0) > 3 * floor,
  );
  const inside = placesOf(grid, grid.reduction / first.frame.reduction, options.places ?? []);
  const lights = Float64Array.from(places.flatMap((i) => grids.map((_, j) => alone(i, j))));
  const roomLight = Float64Array.from(places, (i) => Math.max(0, below(i)));
  const sums = roomLight.map((value, p) =>
    grids.reduce((sum, _, j) => sum + (lights[p * grids.length + j] as number), value),
  );
  return {
    ...{ lightIds: alones.map(({ lightId }) => lightId), places, lights, room: roomLight, floor },
    ...{ frameWidth: first.frame.width, frameHeight: first.frame.height, frames: 0, sitters: 0 },
    names: alones.map(({ lightId }) => options.nameOf?.(lightId) ?? lightId),
    mean: new Float64Array(places.length),
    between: Float64Array.from(places, (i) => (inside[i] ? PLACE_STOPS : ANY_STOPS) ** 2),
    within: new Float64Array(places.length).fill(NEXT_STOPS ** 2),
    sitting: [
      { ...seenOf(lights, sums, noiseOf(grid, sums, floor), floor), firm: true, frameId: null, name: "", told: [] },
    ],
    ...{ explained: null, accepted: alones.map(() => []), since: alones.map(() => null) },
  };
}

/**
 * One more frame, of the size of the reference's (others are not usable, and said so). `expected`: stops that a light
 * was turned by on purpose since its own frame. An alarm may be of an earlier frame of the same sitter (`about`).
 */
export function watchFrame(
  state: WatchState,
  frame: LinearFrame,
  expected: ReadonlyMap<Id, number> = new Map(),
): { readonly state: WatchState; readonly result: WatchResult } {
  const named = { frameId: frame.id, name: frame.name };
  const none: WatchResult = { ...named, gains: [], alarms: [], agreeing: 0, patches: 0, usable: false };
  if (frame.width !== state.frameWidth || frame.height !== state.frameHeight) return { state, result: none };
  const seen = frameOf(state, frame, expected);
  const patches = seen.seen.reduce((sum, value) => sum + (Number.isNaN(value) ? 0 : 1), 0);
  if (patches < FEWEST) return { state, result: { ...none, patches } };
  const usual = state.accepted.map(usualOf);
  const sat = seated(state, seen, usual);
  const agreeing = agreeingIn(sat, patches);
  if (agreeing < AGREEING_PART * patches) return { state, result: { ...none, agreeing, patches } };
  const { stops, sigma } = sat.found;
  const last = sat.state.sitting.length;
  const gains = state.lightIds.map((lightId, j): GainOf => {
    const value = stops[last]?.[j] as number;
    return { lightId, stops: value > OUT ? value : null, sigmaStops: sigma[last]?.[j] as number };
  });
  const told = toldOf(sat, usual);
  const alarms = merged(
    told.map(({ alarm }) => alarm),
    state.lightIds.length,
    frame.name,
  );
  return {
    state: learned(sat.state, seen, sat.found, told),
    result: { ...named, gains, alarms, agreeing, patches, usable: true },
  };
}

/** Patches that lie inside the places. */
function placesOf(grid: LinearFrame, scale: number, places: readonly Area[]): Float64Array {
  return Float64Array.from({ length: grid.clipped.length }, (_, i) => {
    const [x, y] = [((i % grid.width) + 0.5) * scale, (Math.floor(i / grid.width) + 0.5) * scale];
    const inside = places.some((p) => x >= p.x && y >= p.y && x < p.x + p.width && y < p.y + p.height);
    return inside ? 1 : 0;
  });
}

const seenOf = (
  lights: Float64Array,
  light: Float64Array,
  noise: Float64Array,
  floor: number,
): Omit<FrameRow, "firm"> => ({
  ...{ lights, noise },
  seen: light.map((value) => Math.log2(value + floor)),
});

/** Squared slope of log2 seen across the grid, stops² per patch²; 0 where neighbours are not seen. */
function slopes(size: number, width: number, places: readonly number[], seen: Float64Array): Float64Array {
  const full = new Float64Array(size).fill(Number.NaN);
  places.forEach((i, p) => {
    full[i] = seen[p] as number;
  });
  const steps = (i: number, by: number): number => {
    const [back, on] = [(full[i - by] as number) - (full[i] as number), (full[i + by] as number) - (full[i] as number)];
    return Math.max(back * back || 0, on * on || 0);
  };
  return Float64Array.from(places, (i) => steps(i, 1) + steps(i, width));
}

/** Variance of log2 at luminances of a frame; the reference scatters about as much. */
const noiseOf = (grid: LinearFrame, light: Float64Array, floor: number): Float64Array =>
  light.map((value) => (2 * lightVariance(grid, value)) / ((value + floor) * Math.LN2) ** 2);

function frameOf(state: WatchState, frame: LinearFrame, expected: ReadonlyMap<Id, number>): SeenFrame {
  const grid = proxyOf(frame, WATCH_GRID);
  const n = state.lightIds.length;
  const gains = state.lightIds.map((id) => 2 ** (expected.get(id) ?? 0));
  const light = Float64Array.from(state.places, (i) =>
    grid.clipped[i] ? Number.NaN : Math.max(0, lightOf(grid.rgb, i)),
  );
  const lights = state.lights.map((value, at) => value * (gains[at % n] as number));
  const noise = noiseOf(grid, light, state.floor);
  const row = seenOf(lights, light, noise, state.floor);
  slopes(grid.clipped.length, grid.width, state.places, row.seen).forEach((slope, p) => {
    noise[p] = (noise[p] as number) + MOVES ** 2 * slope;
  });
  return { ...row, firm: false, frameId: frame.id, name: frame.name, told: [] };
}

/** A frame with those it is explained with: of the present sitter, or none. */
interface Sat {
  /** Before the frame; a new sitter's window is empty. */
  readonly state: WatchState;
  readonly seen: SeenFrame;
  readonly rows: SitterRows;
  readonly found: Explained;
}

function seated(state: WatchState, seen: SeenFrame, usual: readonly Usual[]): Sat {
  const rows = rowsOf(state, [...state.sitting, seen]);
  // The lights' own frames are explained by themselves.
  const before =
    state.explained ?? (state.sitting.length > 0 ? explain(rowsOf(state, state.sitting), usual, null) : null);
  const found = explain(rows, usual, before);
  const changed = state.sitting.length === 0 ? 0 : changedPart(state, found, seen.noise);
  if (changed < NEW_SITTER) return { state, seen, rows, found };
  const fresh = sitterLearned(state, before as Explained);
  const alone = rowsOf(fresh, [seen]);
  return { state: fresh, seen, rows: alone, found: explain(alone, usual, null) };
}

const rowsOf = (state: WatchState, frames: readonly SeenFrame[]): SitterRows => ({
  ...{ n: state.lightIds.length, places: state.places, frames, room: state.room, floor: state.floor },
  mean: state.mean,
  between: state.between.map((v) => v + LEAST_STOPS ** 2),
  within: state.within.map((v) => v + LEAST_WITHIN ** 2),
});

/** Part of the patches that change with sitters which did not stay as they were. */
function changedPart(state: WatchState, found: Explained, noise: Float64Array): number {
  const rest = found.rest.at(-1) as Float64Array;
  let [changed, all, hidden] = [0, 0, 0];
  for (let p = 0; p < rest.length; p++) {
    const off = (rest[p] as number) - (found.own[p] as number);
    if ((state.between[p] as number) < STEADY_STOPS ** 2 || Number.isNaN(off)) continue;
    if (Math.abs(found.effect.at(-1)?.[p] as number) > HIDDEN) {
      hidden++;
      continue;
    }
    all++;
    if (off * off > CHANGED_STOPS ** 2 + CHANGED_SIGMAS ** 2 * (noise[p] as number)) changed++;
  }
  return all > hidden ? changed / all : 0;
}

/** Patches that keep to the model within three deviations. */
function agreeingIn({ rows, found, state }: Sat, patches: number): number {
  const rest = found.rest.at(-1) as Float64Array;
  const variance = found.variance.at(-1) as Float64Array;
  const first = state.sitting.length === 0;
  let odd = 0;
  rest.forEach((value, p) => {
    const off = value - ((first ? rows.mean[p] : found.own[p]) as number);
    const spread = (variance[p] as number) + (first ? (rows.between[p] as number) : 0);
    if (off * off > 9 * spread) odd++;
  });
  return patches - odd;
}

interface Told {
  /** Of the frames explained together. */
  readonly frame: number;
  readonly light: number;
  readonly off: number;
  readonly alarm: WatchAlarm;
}

/** What is sure and was not told before, of any of the sitter's frames. */
function toldOf(sat: Sat, usual: readonly Usual[]): readonly Told[] {
  return [...sat.state.sitting, sat.seen].flatMap((frame, k): readonly Told[] => {
    // Of the lights' own frames there is nothing to tell, and of a frame one light only: what is not understood of that
    // looks like another.
    if (frame.frameId === null || frame.told.length > 0) return [];
    const free = [...(sat.found.free[k] as ReadonlySet<number>)].map((j) => candidate(sat, usual, k, j));
    const sure = free.map((one) => surenessOf(sat, usual, one));
    const most = Math.max(0, ...sure);
    const offs = free.map(({ off }) => off);
    if (most > 0 && alike(offs, sat.rows.n)) return free;
    return free.filter((_, i) => most > 0 && sure[i] === most).slice(0, 1);
  });
}

/** A light set free, as it would be told. */
function candidate({ state, seen, rows, found }: Sat, usual: readonly Usual[], k: number, j: number): Told {
  const { frameId, name } = [...state.sitting, seen][k] as SeenFrame;
  const [stops, sigmaStops] = [found.stops[k]?.[j] as number, found.sigma[k]?.[j] as number];
  const off = stops - (usual[j] as Usual).base;
  const now = k === rows.frames.length - 1;
  const since = now ? (state.since[j] ?? null) : null;
  const light = { lightId: state.lightIds[j] as Id, name: state.names[j] as string };
  const about = now || frameId === null ? {} : { about: frameId };
  return { frame: k, light: j, off, alarm: alarmOf(light, { stops, off, sigmaStops }, { name, since, ...about }) };
}

/** How much dearer every other explanation is; 0 where that is not enough, or the light not far enough from its place. */
function surenessOf({ rows, found }: Sat, usual: readonly Usual[], { frame, light, off, alarm }: Told): number {
  const out = alarm.kind === "did-not-fire";
  if (!out && Math.abs(off) < Math.max(LEAST_DRIFT, SIGMAS * alarm.sigmaStops)) return 0;
  // Where few frames show the light in place, it may as well be they that are off: up more than down, out the least.
  const placed = found.free.reduce(
    (sum, free, k) => sum + (k === frame || free.has(light) ? 0 : rows.frames[k]?.firm ? 3 : 1),
    0,
  );
  const enough = placed >= (out ? 1 : off < 0 ? 2 : 3) ? SURE : SURE_WHICH;
  // A light that places show well must be off there too.
  const there = byPlaces(rows, usual, found, frame, light);
  const part = (there.stops - (usual[light] as Usual).base) / off;
  if (there.sigmaStops < WELL_SHOWN && part < LEAST_THERE) return 0;
  const sure = sureness(rows, usual, found, frame, light, enough);
  return sure >= enough ? sure : 0;
}
