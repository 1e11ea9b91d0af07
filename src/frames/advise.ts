/**
 * Which turn on which head: from a mix that pleases, from a target frame, or from patches with their targets.
 * Non-negative least squares in the lights (domain 10.5), refined in stops (Gauss and Newton on r = log2(Σ A·x/t),
 * 11.2), within the bounds of each dial, then set to positions the dials have by coordinate search of ±2 steps for the
 * least largest residual (11.1). What cannot be reached is said, with its figure and a mend.
 */

import { dialRange, dialSteps, type Fault, fault, quantiseDial, stops as stopsOf } from "../units/index.ts";
import { type AloneFrame, fitGains } from "./gains.ts";
import { lightOf } from "./grid.ts";
import { addRow, newGram, sigmasOf, solveBounded } from "./nnls.ts";
import type { Advice, AdviceResidual, LinearFrame, MixSetting, Patch, Turn, TurnableLight } from "./types.ts";

/** What is wanted of one patch: what each light gives there as shot, and how bright it shall be, ambient taken off both. */
export interface PatchTarget {
  readonly patchId: string;
  readonly name: string;
  /** In the order of the lights; any linear unit. */
  readonly lights: readonly number[];
  /** Same unit; above 0. */
  readonly target: number;
  /** Counts this many times; 1 unless said. */
  readonly weight?: number;
}

/** A patch whose residual exceeds this after the turns is told, stops (domain 10.3). */
const TOLD_STOPS = 0.15;
/** Steps of a dial tried to either side. */
const SEARCH = 2;
/** A light whose change is less sure than this tells nothing. */
const UNTOLD_STOPS = 1;

/** From the mix: each light's own stops, if its dial goes there. */
export function adviseFromMix(settings: readonly MixSetting[], lights: readonly TurnableLight[]): Advice {
  const wanted = lights.map(({ lightId }): Wanted => {
    const own = settings.find((setting) => setting.lightId === lightId);
    return { stops: own ? (own.on ? own.stops : null) : 0, sigma: 0 };
  });
  return adviceOf(lights, wanted, nearest(lights, wanted), []);
}

/** From a frame that shall be matched, of the same subject, tripod and settings: gains by the fit of all patches. */
export function adviseFromFrame(
  target: LinearFrame,
  alones: readonly AloneFrame[],
  ambient: LinearFrame | null,
  lights: readonly TurnableLight[],
): Advice {
  const fitted = fitGains(
    target,
    lights.map((light) => aloneOf(light, alones)),
    ambient,
  );
  const wanted = fitted.gains.map((gain): Wanted => ({ stops: gain.stops, sigma: gain.sigmaStops }));
  return adviceOf(lights, wanted, nearest(lights, wanted), []);
}

/** From patches with targets. RangeError where a target is not above 0 or a row has another count of lights. */
export function adviseFromPatches(targets: readonly PatchTarget[], lights: readonly TurnableLight[]): Advice {
  for (const { lights: row, target, patchId } of targets) {
    if (row.length !== lights.length || !(target > 0))
      throw new RangeError(`patch ${patchId} needs a target and every light`);
  }
  const [low, high] = [lights.map((light) => rangeOf(light)[0]), lights.map((light) => rangeOf(light)[1])];
  const wanted = refined(targets, low, high);
  const dials = searched(targets, lights, wanted);
  return adviceOf(lights, wanted, dials, targets);
}

/** Rows for `adviseFromPatches` from frames: mean luminance of each light in the patch, room's light taken off. */
export function patchTarget(
  patch: Patch,
  alones: readonly LinearFrame[],
  ambient: LinearFrame | null,
  target: number,
): PatchTarget {
  const room = ambient ? meanIn(ambient, patch) : 0;
  const lights = alones.map((frame) => Math.max(0, meanIn(frame, patch) - room));
  return { patchId: patch.id, name: patch.name, lights, target: Math.max(1e-9, target - room) };
}

/** Change of one light; null is none of it. */
interface Wanted {
  readonly stops: number | null;
  readonly sigma: number;
}

/** Stops that a light may still change by, down and up. */
function rangeOf({ dial, dialStops }: TurnableLight): readonly [number, number] {
  const { lowest, full } = dialRange(dial);
  return [lowest - dialStops, full - dialStops];
}

/** The least squares in light, then in stops, within the bounds; of a light at its end its wish is told. */
function refined(targets: readonly PatchTarget[], low: readonly number[], high: readonly number[]): readonly Wanted[] {
  const n = low.length;
  const start = newGram(n);
  for (const { lights, target, weight } of targets) addRow(start, lights, target, (weight ?? 1) / target ** 2);
  // Off is who gives nothing even once the others stand at their ends.
  const first = solveBounded(
    start,
    undefined,
    high.map((h) => 2 ** h),
  );
  const told = sigmasOf(start);
  const off = first.map((x) => (x > 2 ** -12 ? 0 : 1));
  const best = newton(targets, first, off, low, high);
  return [...best].map((u, j): Wanted => {
    if (!Number.isFinite(told[j] as number)) return { stops: 0, sigma: Number.POSITIVE_INFINITY };
    if (off[j]) return { stops: null, sigma: 0 };
    const inside = u > (low[j] as number) + 1e-9 && u < (high[j] as number) - 1e-9;
    return { stops: inside ? u : wish(targets, best, off, j), sigma: 0 };
  });
}

/** Where a light at its end would go if it could, the others as they are. */
function wish(targets: readonly PatchTarget[], best: Float64Array, off: ArrayLike<number>, j: number): number {
  const bound = (own: number): number[] => [...best].map((u, k) => (k === j ? own : u));
  const gains = best.map((u) => 2 ** u);
  return newton(targets, gains, off, bound(-30), bound(30))[j] as number;
}

/** Gauss and Newton on the residuals in stops, within bounds; lights that are off stay off. Returns log2 of the gains. */
function newton(
  targets: readonly PatchTarget[],
  start: ArrayLike<number>,
  off: ArrayLike<number>,
  low: readonly number[],
  high: readonly number[],
): Float64Array {
  const n = low.length;
  const u = Float64Array.from(low, (l, j) =>
    Math.min(high[j] as number, Math.max(l, Math.log2(Math.max(2 ** -20, start[j] as number)))),
  );
  for (let round = 0; round < 40; round++) {
    const gram = newGram(n);
    for (const { lights, target, weight } of targets) {
      const parts = lights.map((light, j) => (off[j] ? 0 : light * 2 ** (u[j] as number)));
      const sum = parts.reduce((all, part) => all + part, 0);
      if (!(sum > 0)) continue;
      // d log2(Σ)/du_j = part_j/Σ.
      addRow(
        gram,
        parts.map((part) => part / sum),
        Math.log2(target / sum),
        weight ?? 1,
      );
    }
    const room = (bound: readonly number[]): number[] => bound.map((value, j) => value - (u[j] as number));
    const cap = (values: number[], most: number): number[] => values.map((v) => Math.max(-most, Math.min(most, v)));
    const step = solveBounded(gram, cap(room(low), 2), cap(room(high), 2));
    let moved = 0;
    for (let j = 0; j < n; j++) {
      if (off[j] || !((gram.g[j * n + j] as number) > 1e-12)) continue;
      u[j] = (u[j] as number) + (step[j] as number);
      moved = Math.max(moved, Math.abs(step[j] as number));
    }
    if (moved < 1e-10) break;
  }
  return u;
}

/** Nearest positions of the dials. */
const nearest = (lights: readonly TurnableLight[], wanted: readonly Wanted[]): readonly number[] =>
  lights.map(({ dial, dialStops }, j) => {
    const own = wanted[j]?.stops;
    return quantiseDial(dial, stopsOf(own === null || own === undefined ? Number.NEGATIVE_INFINITY : dialStops + own))
      .stops;
  });

/** Coordinate search about the nearest positions: least largest residual, then least RMS. */
function searched(
  targets: readonly PatchTarget[],
  lights: readonly TurnableLight[],
  wanted: readonly Wanted[],
): readonly number[] {
  const dials = [...nearest(lights, wanted)];
  const steps = lights.map(({ dial }) => dialSteps(dial) as readonly number[]);
  let best = costOf(targets, lights, wanted, dials);
  for (let round = 0; round < 10; round++) {
    let better = false;
    lights.forEach((_, j) => {
      if (wanted[j]?.stops === null || !Number.isFinite(wanted[j]?.sigma)) return;
      const own = steps[j] as readonly number[];
      const at = own.indexOf(dials[j] as number);
      for (let k = Math.max(0, at - SEARCH); k <= Math.min(own.length - 1, at + SEARCH); k++) {
        const before = dials[j] as number;
        dials[j] = own[k] as number;
        const cost = costOf(targets, lights, wanted, dials);
        if (cost < best - 1e-9) [best, better] = [cost, true];
        else dials[j] = before;
      }
    });
    if (!better) break;
  }
  return dials;
}

function costOf(
  targets: readonly PatchTarget[],
  lights: readonly TurnableLight[],
  wanted: readonly Wanted[],
  dials: readonly number[],
): number {
  const sizes = residualsOf(targets, lights, wanted, dials).map(({ stops }) => Math.abs(stops));
  const mean = sizes.reduce((sum, size) => sum + size * size, 0) / Math.max(1, sizes.length);
  return Math.max(0, ...sizes) + 1e-3 * Math.sqrt(mean);
}

function residualsOf(
  targets: readonly PatchTarget[],
  lights: readonly TurnableLight[],
  wanted: readonly Wanted[],
  dials: readonly number[],
): readonly AdviceResidual[] {
  return targets.map(({ patchId, lights: row, target }) => {
    const sum = row.reduce((all, light, j) => {
      if (wanted[j]?.stops === null) return all;
      return all + light * 2 ** ((dials[j] as number) - (lights[j] as TurnableLight).dialStops);
    }, 0);
    return { patchId, stops: Math.log2(Math.max(1e-9, sum / target)) };
  });
}

function adviceOf(
  lights: readonly TurnableLight[],
  wanted: readonly Wanted[],
  dials: readonly number[],
  targets: readonly PatchTarget[],
): Advice {
  const turns = lights.map((light, j) => turnOf(light, wanted[j] as Wanted, dials[j] as number));
  const residuals =
    targets.length > 0
      ? residualsOf(targets, lights, wanted, dials)
      : turns.flatMap(({ lightId, wantedStops, turnStops }) =>
          wantedStops === null ? [] : [{ patchId: lightId, stops: turnStops - wantedStops }],
        );
  const sizes = residuals.map(({ stops }) => Math.abs(stops));
  return {
    ...{ turns, residuals, worstStops: Math.max(0, ...sizes) },
    rmsStops: Math.sqrt(sizes.reduce((sum, size) => sum + size * size, 0) / Math.max(1, sizes.length)),
    faults: [
      ...turns.flatMap((turn, j) => turnFaults(turn, lights[j] as TurnableLight)),
      ...patchFaults(residuals, targets),
    ],
  };
}

function turnOf(light: TurnableLight, { stops, sigma }: Wanted, dial: number): Turn {
  const [low, high] = rangeOf(light);
  const untold = !(sigma < UNTOLD_STOPS);
  const reached = untold && stops !== null ? light.dialStops : dial;
  const over = stops === null || untold ? 0 : stops > high ? stops - high : stops < low ? stops - low : 0;
  return {
    ...{ lightId: light.lightId, wantedStops: stops, sigmaStops: sigma, dialStops: stopsOf(reached) },
    ...{ turnStops: stopsOf(reached - light.dialStops), shortStops: over },
    bound: Math.abs(over) < 1e-6 ? null : over > 0 ? "full" : "lowest",
  };
}

function turnFaults(turn: Turn, { tag, lightId }: TurnableLight): readonly Fault[] {
  if (turn.wantedStops === null) return [fault("advice-off", `${tag} is not wanted at all`, lightId, "Switch it off.")];
  if (!(turn.sigmaStops < UNTOLD_STOPS)) {
    const mend = "Choose frames or patches that it lights.";
    return [fault("advice-untold", `Nothing here tells how strong ${tag} should be`, lightId, mend)];
  }
  if (turn.bound === null) return [];
  const short = Math.abs(turn.shortStops);
  // Inverse square for the way out: as near as a hint needs.
  const times = (2 ** (-turn.shortStops / 2)).toFixed(2);
  const [what, mend] =
    turn.bound === "full"
      ? [
          `${tag} is at full and ${short.toFixed(1)} stop short`,
          `Bring it to about ${times} of its distance, or work wider.`,
        ]
      : [
          `${tag} is at its lowest and ${short.toFixed(1)} stop over`,
          `Take it to about ${times} times its distance, or hang ND ${(0.301 * short).toFixed(1)} before it.`,
        ];
  return [fault("advice-bound", what, lightId, mend)];
}

function patchFaults(residuals: readonly AdviceResidual[], targets: readonly PatchTarget[]): readonly Fault[] {
  return targets.flatMap(({ patchId, name }, i) => {
    const off = residuals[i]?.stops as number;
    if (Math.abs(off) <= TOLD_STOPS) return [];
    const what = `${name} stays ${Math.abs(off).toFixed(1)} stop ${off > 0 ? "over" : "under"} its target`;
    return [fault("advice-patch", what, patchId, "No dial reaches it: move a light, or change the target.")];
  });
}

function aloneOf({ lightId, tag }: TurnableLight, alones: readonly AloneFrame[]): AloneFrame {
  const found = alones.find((alone) => alone.lightId === lightId);
  if (!found) throw new RangeError(`no frame of ${tag} alone`);
  return found;
}

function meanIn(frame: LinearFrame, { x, y, width, height }: Patch): number {
  let [sum, count] = [0, 0];
  for (let v = Math.max(0, Math.floor(y)); v < Math.min(frame.height, Math.ceil(y + height)); v++) {
    for (let u = Math.max(0, Math.floor(x)); u < Math.min(frame.width, Math.ceil(x + width)); u++) {
      sum += lightOf(frame.rgb, v * frame.width + u);
      count++;
    }
  }
  return count > 0 ? sum / count : 0;
}
