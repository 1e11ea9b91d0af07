/**
 * Watching the session: once each light's own frame is known, a later frame, with whoever sits, is explained patch by
 * patch: log2 of its light = log2(Σ gain·light alone) + what the patch does by itself. Places that stay (backdrop,
 * clothing) do little by themselves, faces and hair change with the sitter and then stay until the next; both are
 * learned on the way. Lights repeat to some hundredths of a stop (domain 10.4), so that a frame is first explained with
 * all of them in place; one is set free only where that explains it clearly better. Noise and the session's own
 * scatter make the thresholds. The fit: watch-fit.ts.
 */

import type { AloneFrame } from "./gains.ts";
import { darkLimit, lightOf, lightVariance, medianOf, oneSize } from "./grid.ts";
import { proxyOf } from "./linear.ts";
import type { Area, GainOf, Id, LinearFrame, WatchAlarm, WatchResult } from "./types.ts";
import { type Explained, explain, restAt, type Usual, type WatchRows } from "./watch-fit.ts";

/** What is known before and learned on the way; plain data, a new value after each frame. */
export interface WatchState {
  readonly lightIds: readonly Id[];
  readonly names: readonly string[];
  /** Size of the frames that belong to it. */
  readonly frameWidth: number;
  readonly frameHeight: number;
  /** Luminance of each light alone, room's taken off: patch by patch, the lights side by side; NaN where one clips. */
  readonly lights: Float64Array;
  readonly room: Float64Array;
  /** Variance, stops², that a patch shows from sitter to sitter, and from frame to frame of one. */
  readonly betweenSitters: Float64Array;
  readonly withinSitter: Float64Array;
  /** What each patch does by itself in the present sitter's latest good frames, stops; NaN where a frame did not tell. */
  readonly recent: readonly Float64Array[];
  /** The first two of them differ in a light: one of the two was off. */
  readonly doubt: boolean;
  readonly frames: number;
  readonly sitters: number;
  readonly lastFrame: string | null;
  /** log2 gains of frames in which the light was in place. */
  readonly accepted: readonly (readonly number[])[];
  /** Name of the frame since which a light is off; null when it is in place. */
  readonly since: readonly (string | null)[];
}

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
const ANY_STOPS = 1.5;
const NEXT_STOPS = 0.1;
/** Least deviation of any patch, stops: folds, dust, flash from place to place. */
const LEAST_STOPS = 0.02;
/** Frames and sitters over which a patch is remembered. */
const MEMORY = 12;
/** Stops: no smaller drift is told. */
const LEAST_DRIFT = 0.2;
const SIGMAS = 3;
/** Repeatability before a session has shown its own, stops. */
const REPEATS = 0.03;
/** Gain under which a light counts as not fired, log2; and above which it surely did. */
const OUT = -2.5;
/** So far down, and perhaps out: that is no drift. */
const SURELY_DOWN = -1.2;
/** Patches that must agree, of all that are lit. */
const AGREEING_PART = 0.2;
const FEWEST = 40;
/** So much stronger than in the first frame of a sitter: it was down then; and surely out, stops. */
const CAME_BACK = 0.4;
const SURELY_OUT = 1.5;
/** Part of the sitter's patches that must have changed for another sitter, and what counts as the sitter's. */
const NEW_SITTER = 0.12;
const STEADY_STOPS = 0.1;
/** Frames of the present sitter that are remembered. */
const MOST_RECENT = 4;
/** A patch tells of itself only where lights in place give this part of it. */
const TELLS = 0.7;

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
  const [n, size] = [alones.length, grid.clipped.length];
  const below = Float64Array.from({ length: size }, (_, i) => (room ? lightOf(room.rgb, i) : 0));
  const lights = Float64Array.from({ length: size * n }, (_, k) => {
    const [i, j] = [Math.floor(k / n), k % n];
    const own = grids[j] as LinearFrame;
    return own.clipped[i] ? Number.NaN : Math.max(0, lightOf(own.rgb, i) - (below[i] as number));
  });
  const places = placesOf(grid, grid.reduction / first.frame.reduction, options.places ?? []);
  return {
    ...{ lightIds: alones.map(({ lightId }) => lightId), lights, room: below },
    ...{ frameWidth: first.frame.width, frameHeight: first.frame.height, frames: 0, sitters: 0, lastFrame: null },
    names: alones.map(({ lightId }) => options.nameOf?.(lightId) ?? lightId),
    betweenSitters: places.map((inside) => (inside ? PLACE_STOPS : ANY_STOPS) ** 2),
    withinSitter: new Float64Array(size).fill(NEXT_STOPS ** 2),
    ...{ recent: [], doubt: false, accepted: alones.map(() => []), since: alones.map(() => null) },
  };
}

/**
 * One more frame, of the size of the reference's (others are not usable, and said so). `expected`: stops that a light
 * was turned by on purpose since its own frame.
 */
export function watchFrame(
  state: WatchState,
  frame: LinearFrame,
  expected: ReadonlyMap<Id, number> = new Map(),
): { readonly state: WatchState; readonly result: WatchResult } {
  const named = { frameId: frame.id, name: frame.name };
  const none: WatchResult = { ...named, gains: [], alarms: [], agreeing: 0, patches: 0, usable: false };
  if (frame.width !== state.frameWidth || frame.height !== state.frameHeight) return { state, result: none };
  const turned = state.lightIds.map((id) => expected.get(id) ?? 0);
  const rows = rowsOf(state, frame, turned);
  const patches = rows.places.length;
  if (patches < FEWEST) return { state, result: { ...none, patches } };
  const usual = state.accepted.map(usualOf);
  // The nearest of the present sitter's frames explains it, unless most of what changes with sitters has changed.
  const near = state.recent.map((own) => ({ own, found: explain(priorOf(state, rows, own), usual) }));
  const same = near.length > 0 ? near.reduce((best, next) => (next.found.cost < best.found.cost ? next : best)) : null;
  const back = same === null ? [] : cameBack(state, same.found);
  const stays = same !== null && changedPart(state, rows, same.found) < NEW_SITTER && back.length === 0;
  const found = stays ? same.found : explain(priorOf(state, rows, null), usual);
  const agreeing = found.inlier.reduce((sum, part) => sum + (part > 0.5 ? 1 : 0), 0);
  if (agreeing < AGREEING_PART * patches) return { state, result: { ...none, agreeing, patches } };
  const gains = state.lightIds.map((lightId, j): GainOf => {
    const stops = found.stops[j] as number;
    return { lightId, stops: stops > OUT ? stops : null, sigmaStops: found.sigma[j] as number };
  });
  const alarms = [...back.map((one) => lateAlarm(state, one)), ...alarmsOf(state, found, usual, frame.name)];
  const now = alarms.slice(back.length);
  const next = learned(state, { rows, found, gains, alarms: now, usual, before: stays ? same.own : null }, frame.name);
  return { state: next, result: { ...named, gains, alarms, agreeing, patches, usable: true } };
}

/** Patches that lie inside the places. */
function placesOf(grid: LinearFrame, scale: number, places: readonly Area[]): Float64Array {
  return Float64Array.from({ length: grid.clipped.length }, (_, i) => {
    const [x, y] = [((i % grid.width) + 0.5) * scale, (Math.floor(i / grid.width) + 0.5) * scale];
    const inside = places.some((p) => x >= p.x && y >= p.y && x < p.x + p.width && y < p.y + p.height);
    return inside ? 1 : 0;
  });
}

/** Patches that are lit in the reference and clip nowhere. */
function rowsOf(state: WatchState, frame: LinearFrame, turned: readonly number[]): WatchRows {
  const grid = proxyOf(frame, WATCH_GRID);
  // Soft floor for both sides of the comparison: what is darker than this is noise.
  const floor = darkLimit(frame) / 3;
  const n = turned.length;
  const places: number[] = [];
  for (let i = 0; i < grid.clipped.length; i++) {
    let sum = 0;
    for (let j = 0; j < n; j++) sum += state.lights[i * n + j] as number;
    // NaN, where a light's own frame clips, fails here too.
    if (!grid.clipped[i] && sum > 3 * floor) places.push(i);
  }
  const light = (i: number): number => Math.max(0, lightOf(grid.rgb, i));
  return {
    ...{ n, places, floor },
    lights: Float64Array.from({ length: places.length * n }, (_, k) => {
      const [p, j] = [Math.floor(k / n), k % n];
      return 2 ** (turned[j] as number) * (state.lights[(places[p] as number) * n + j] as number);
    }),
    room: Float64Array.from(places, (i) => Math.max(0, state.room[i] as number)),
    seen: Float64Array.from(places, (i) => Math.log2(light(i) + floor)),
    // The reference scatters about as much as the frame.
    noise: Float64Array.from(places, (i) => (2 * lightVariance(grid, light(i))) / ((light(i) + floor) * Math.LN2) ** 2),
    own: new Float64Array(places.length),
    ...{ variance: new Float64Array(places.length), anything: 0, unseen: false },
  };
}

/** What the patches are expected to do by themselves: as in a frame of this sitter, or (null) as any sitter may. */
function priorOf(state: WatchState, rows: WatchRows, before: Float64Array | null): WatchRows {
  const known = (i: number): boolean => before !== null && !Number.isNaN(before[i] as number);
  const variance = Float64Array.from(rows.places, (i, p) => {
    const between = state.betweenSitters[i] as number;
    const own = known(i) ? Math.min(state.withinSitter[i] as number, between) : between;
    return own + LEAST_STOPS ** 2 + (rows.noise[p] as number);
  });
  const own = Float64Array.from(rows.places, (i) => (known(i) ? ((before as Float64Array)[i] as number) : 0));
  return { ...rows, unseen: before === null, anything: before ? 0.1 : 0.05, variance, own };
}

/**
 * Lights clearly stronger in a sitter's second frame than in the first: they were down or out then, and nobody could
 * tell that from dark hair. The first frame teaches nothing, and the alarm comes a frame late.
 */
function cameBack(state: WatchState, found: Explained): readonly { readonly j: number; readonly by: number }[] {
  if (state.recent.length !== 1) return [];
  const back = [...found.free].map((j) => ({ j, by: found.stops[j] as number })).filter(({ by }) => by > CAME_BACK);
  // Many at once are the exposure, not heads that failed together.
  return back.length > state.lightIds.length / 2 ? [] : back;
}

function lateAlarm(state: WatchState, { j, by }: { readonly j: number; readonly by: number }): WatchAlarm {
  const [lightId, name] = [state.lightIds[j] as Id, state.names[j] as string];
  const out = by > SURELY_OUT;
  const words = out ? `${name} did not fire in ${state.lastFrame}` : `${name} down or out in ${state.lastFrame}`;
  return { kind: out ? "did-not-fire" : "drifted", lightId, stops: out ? null : -by, sigmaStops: 0, words };
}

/** Part of the patches that change with sitters which did not stay as they were. */
function changedPart(state: WatchState, rows: WatchRows, found: Explained): number {
  let [changed, all] = [0, 0];
  rows.places.forEach((i, p) => {
    if ((state.betweenSitters[i] as number) < STEADY_STOPS ** 2) return;
    all++;
    changed += 1 - (found.inlier[p] as number);
  });
  return all > 0 ? changed / all : 0;
}

function alarmsOf(state: WatchState, found: Explained, usual: readonly Usual[], frame: string): readonly WatchAlarm[] {
  const alarms = [...found.off].flatMap((j): WatchAlarm[] => {
    const [stops, sigmaStops] = [found.stops[j] as number, found.sigma[j] as number];
    const [lightId, name] = [state.lightIds[j] as Id, state.names[j] as string];
    const since = state.since[j];
    const tail = since ? `${frame}, since ${since}` : frame;
    if (stops < OUT || (stops < SURELY_DOWN && stops - 2 * sigmaStops < OUT)) {
      return [{ kind: "did-not-fire", lightId, stops: null, sigmaStops, words: `${name} did not fire in ${tail}` }];
    }
    const off = stops - (usual[j] as Usual).base;
    if (Math.abs(off) < Math.max(LEAST_DRIFT, SIGMAS * sigmaStops)) return [];
    const words = `${name} ${off > 0 ? "up" : "down"} ${Math.abs(off).toFixed(1)} in ${tail}`;
    return [{ kind: "drifted", lightId, stops: off, sigmaStops, words }];
  });
  return merged(alarms, state.lightIds.length, frame);
}

/** Most lights alike are one thing, the exposure: weak ones may be too unsure to say so themselves. */
function merged(alarms: readonly WatchAlarm[], lights: number, frame: string): readonly WatchAlarm[] {
  const values = alarms.flatMap(({ stops }) => (stops === null ? [] : [stops]));
  if (values.length < 2 || values.length <= lights / 2 || Math.max(...values) - Math.min(...values) > 2 * LEAST_DRIFT)
    return alarms;
  const stops = medianOf(values);
  const words = `Everything ${stops > 0 ? "up" : "down"} ${Math.abs(stops).toFixed(1)} in ${frame}: exposure or sensitivity changed`;
  const sigmaStops = Math.max(...alarms.map((alarm) => alarm.sigmaStops));
  return [{ kind: "all-drifted", lightId: null, stops, sigmaStops, words }];
}

/** A few zeros stand for the light's own frame. */
function usualOf(accepted: readonly number[]): Usual {
  const all = [0, 0, 0, ...accepted];
  const base = medianOf(all);
  const own = 1.4826 * medianOf(all.map((value) => Math.abs(value - base)));
  return { base, scatter: Math.min(2 * REPEATS, Math.max(REPEATS, own)) };
}

interface Seen {
  readonly rows: WatchRows;
  readonly found: Explained;
  readonly gains: readonly GainOf[];
  readonly alarms: readonly WatchAlarm[];
  readonly usual: readonly Usual[];
  /** The frame of the same sitter that it was held against; null for another sitter. */
  readonly before: Float64Array | null;
}

/** The state after a frame: what patches did by themselves, where the lights stood. */
function learned(state: WatchState, seen: Seen, frame: string): WatchState {
  const { rows, found, gains, alarms, before } = seen;
  const between = Float64Array.from(state.betweenSitters);
  const within = Float64Array.from(state.withinSitter);
  const share = 1 / Math.min(MEMORY, (before ? state.frames - state.sitters : state.sitters) + 2);
  rows.places.forEach((i, p) => {
    // Where a light that is off gives much, the patch's own doing cannot be told from it.
    if ((found.placed[p] as number) < TELLS) return;
    const off = (found.rest[p] as number) - (before ? (before[i] as number) : 0);
    if (Number.isNaN(off)) return;
    const square = Math.max(0, off * off - (rows.noise[p] as number));
    if (before) within[i] = remembered(within[i] as number, square, share);
    else between[i] = remembered(between[i] as number, square, share);
  });
  const isOff = (id: Id): boolean => alarms.some(({ lightId }) => lightId === id || lightId === null);
  return {
    ...state,
    ...{ betweenSitters: between, withinSitter: within, ...recentOf(state, seen) },
    ...{ lastFrame: frame, frames: state.frames + 1, sitters: state.sitters + (before ? 0 : 1) },
    accepted: state.accepted.map((values, j) => {
      const { lightId, stops } = gains[j] as GainOf;
      return isOff(lightId) || stops === null ? values : [...values.slice(-60), stops];
    }),
    since: state.since.map((since, j) => (isOff(state.lightIds[j] as Id) ? (since ?? frame) : null)),
  };
}

/**
 * Frames that the next one is held against: those with every light in place. A drift in the second frame of a sitter may
 * as well have been the first's: it is told, and both are kept.
 */
function recentOf(
  state: WatchState,
  { rows, found, alarms, usual, before }: Seen,
): Pick<WatchState, "recent" | "doubt"> {
  // A third frame decides between two that differ: what it does not agree with is forgotten.
  const agreed = alarms.length === 0 && state.doubt ? state.recent.filter((own) => own === before) : state.recent;
  const kept = before ? agreed : [];
  const drift = alarms.length > 0 && alarms.every(({ kind }) => kind !== "did-not-fire");
  const doubtful = drift && before !== null && kept.length === 1;
  if (alarms.length > 0 && !doubtful) return { recent: kept, doubt: before !== null && state.doubt };
  const values = doubtful ? restAt(rows, usual) : found.rest;
  const own = new Float64Array(state.room.length).fill(Number.NaN);
  rows.places.forEach((i, p) => {
    own[i] = values[p] as number;
  });
  return { recent: [...kept.slice(1 - MOST_RECENT), own], doubt: doubtful };
}

/** A running mean that one event does not upset: nine times the variance at most goes in. */
const remembered = (variance: number, square: number, share: number): number =>
  variance + share * (Math.min(square, 9 * (variance + LEAST_STOPS ** 2)) - variance);
