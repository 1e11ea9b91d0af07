/**
 * What probably makes together differ from the sum of its lights: one light bumped, a light that did not fire, an exposure
 * that drifted (or lamps that flicker), something that moved, room light without a frame of its own, a tone curve. Each
 * with its figure. Limits: common practice, no source; 0.05 stop is the least that is told (domain 10.3).
 */

import type { SumCurve } from "./curve-of-sum.ts";
import { medianOf } from "./grid.ts";
import { type Area, type Cause, type GainOf, type Id, type SumCheck, USABLE } from "./types.ts";

export interface CauseQuestion {
  readonly check: Omit<SumCheck, "causes">;
  /** The map once each light has its best gain. */
  readonly after: { readonly stops: Float32Array; readonly state: Uint8Array };
  /** Luminance of together per patch. */
  readonly light: Float32Array;
  readonly sketch: boolean;
  /** Any of them went through a curve, the profile's or a recovered one. */
  readonly coded: boolean;
  /** Processed files: the curve that would make the sum add up. */
  readonly curve: SumCurve | null;
  readonly nameOf: (lightId: Id) => string;
}

const TOLD = 0.05;
/** Sigmas a gain must differ by. */
const SURE = 3;
/** What is left with the best gains, of what was, for changes within a good sum of processed files to be told. */
const GAINS_EXPLAIN = 0.75;
/** A place that is so far off after the gains, stops, has moved or lies in another shadow. */
const PLACE_OFF = 0.15;
/** Patches that must be off side by side. */
const PLACE_PATCHES = 6;
/** Stops of difference per stop of brightness that a curve leaves. */
const CURVE_SLOPE = 0.02;

/** The causes, most telling first; empty when nothing differs enough to be told. */
export function causesOf(question: CauseQuestion): readonly Cause[] {
  const { check, coded } = question;
  if (check.counts.usable === 0) return [];
  if (check.rmsStops <= TOLD && check.gains.every(({ stops }) => stops !== null && Math.abs(stops) < TOLD)) {
    return movedWhole(check);
  }
  // Eight bits and a curve make gains of weak lights stray: where the sum is good they must make it better to be told.
  if (coded && check.rmsStops <= TOLD && check.rmsAfterGains > GAINS_EXPLAIN * check.rmsStops) return movedWhole(check);
  const curve = curveCause(question);
  // One figure that says as much as a gain for every light is the likelier cause.
  if (curve !== null) return [curve, ...moved(question)];
  return [...lightCauses(question), ...moved(question), ...brightnessCauses(question)];
}

/** Gains: all alike are a drift of the exposure, one apart is a light. */
function lightCauses({ check, nameOf }: CauseQuestion): readonly Cause[] {
  const lit = check.gains.filter((gain): gain is GainOf & { stops: number } => gain.stops !== null);
  const missing = check.gains.filter(({ stops, sigmaStops }) => stops === null && sigmaStops < 1);
  const common = lit.length >= 2 ? medianOf(lit.map(({ stops }) => stops)) : 0;
  const apart = lit.filter(({ stops, sigmaStops }) => Math.abs(stops - common) > Math.max(TOLD, SURE * sigmaStops));
  // Half or fewer agree: then no common drift is told, each light stands for itself.
  const drifts = lit.length >= 2 && Math.abs(common) > TOLD && apart.length <= lit.length / 3;
  const base = drifts ? common : 0;
  const changed = lit.filter(({ stops, sigmaStops }) => Math.abs(stops - base) > Math.max(TOLD, SURE * sigmaStops));
  return [
    ...missing.map(({ lightId }): Cause => {
      const words = `${nameOf(lightId)} gave nothing in the frame of all`;
      return { kind: "light-missing", lightId, figure: null, where: null, words };
    }),
    ...(drifts ? [drift(common)] : []),
    ...changed.map(({ lightId, stops }): Cause => {
      const off = stops - base;
      const words = `${nameOf(lightId)} ${figure(Math.abs(off))} stop ${off > 0 ? "stronger" : "weaker"} in the frame of all than alone`;
      return { kind: "light-changed", lightId, figure: off, where: null, words };
    }),
  ];
}

const drift = (stops: number): Cause => ({
  ...{ kind: "exposure-drift", lightId: null, figure: stops, where: null },
  words: `The frame of all is ${figure(Math.abs(stops))} stop ${stops > 0 ? "over" : "under"} throughout: exposure drifted, or lamps flicker`,
});

function movedWhole({ shift }: CauseQuestion["check"]): readonly Cause[] {
  if (shift.verdict !== "moved" && shift.verdict !== "integer") return [];
  return [shifted(shift)];
}

function shifted(shift: SumCheck["shift"]): Cause {
  const far = Math.hypot(shift.x, shift.y);
  const [place] = [...shift.local].sort((a, b) => Math.hypot(b.dx, b.dy) - Math.hypot(a.dx, a.dy));
  if (place && far < 0.5) {
    const by = Math.hypot(place.dx, place.dy);
    return {
      kind: "subject-moved",
      lightId: null,
      figure: by,
      where: place,
      words: `Something moved by ${figure(by)} pixels`,
    };
  }
  const words = `The frame of all lies ${figure(far)} pixels off: camera or subject moved`;
  return { kind: "subject-moved", lightId: null, figure: far, where: place ?? null, words };
}

/** A shift, or a place that is still off once every light has its gain. */
function moved({ check, after }: CauseQuestion): readonly Cause[] {
  const whole = movedWhole(check);
  if (whole.length > 0) return whole;
  const place = largestPlace(after.stops, after.state, check.width);
  if (!place) return [];
  const { area, mean } = place;
  const scale = check.patch;
  const where = { x: area.x * scale, y: area.y * scale, width: area.width * scale, height: area.height * scale };
  const words = `One place is off by ${figure(mean)} stop whatever the lights: something moved there, or shades another way`;
  return [{ kind: "subject-moved", lightId: null, figure: mean, where, words }];
}

/** What a curve must explain of the difference, and how near it must come to what the best gains leave. */
const CURVE_EXPLAINS = 0.8;
const CURVE_AS_GOOD = 1.2;
/** What a stop must show over or under one for the curve to be told. */
const CURVE_TOLD = 0.03;

/** The files' own curve is not the one they were read through: how much, where it explains as well as turned lights would. */
function curveCause({ check, curve }: CauseQuestion): Cause | null {
  if (curve === null || curve.rmsStops > CURVE_EXPLAINS * check.rmsStops) return null;
  if (curve.rmsStops > CURVE_AS_GOOD * check.rmsAfterGains || Math.abs(curve.stopShows - 1) < CURVE_TOLD) return null;
  const words = `The files' own curve: one stop of light shows as about ${curve.stopShows.toFixed(2)} stop here, so stops do not add; through it ${curve.rmsStops.toFixed(2)} stop would be left. A bracket of three or more exposures, or raw, would measure`;
  return { kind: "tone-curve", lightId: null, figure: curve.stopShows, where: null, words };
}

/** The difference grows with brightness: a tone curve in processed files, room light that nobody framed in linear ones. */
function brightnessCauses({ check, after, light, sketch }: CauseQuestion): readonly Cause[] {
  const slope = slopeOf(after.stops, after.state, light);
  if (sketch && Math.abs(slope) > CURVE_SLOPE) {
    const words = `${figure(slope)} stop more difference for each stop of brightness: a tone curve, stops do not add`;
    return [{ kind: "tone-curve", lightId: null, figure: slope, where: null, words }];
  }
  const gainsUnder = check.gains.every(({ stops }) => stops !== null && stops < TOLD);
  if (check.ambientId === null && check.lightIds.length > 1 && check.medianStops > TOLD && gainsUnder && slope < 0) {
    const words = `The sum is ${figure(check.medianStops)} stop over, most in the dark: room light counted with every light. Shoot a frame with all heads off`;
    return [{ kind: "ambient", lightId: null, figure: check.medianStops, where: null, words }];
  }
  return [];
}

/** Straight line of the difference over log2 of brightness. */
function slopeOf(stops: Float32Array, state: Uint8Array, light: Float32Array): number {
  let [n, sx, sy, sxx, sxy] = [0, 0, 0, 0, 0];
  for (let i = 0; i < stops.length; i++) {
    if (state[i] !== USABLE) continue;
    const [x, y] = [Math.log2(light[i] as number), stops[i] as number];
    [n, sx, sy, sxx, sxy] = [n + 1, sx + x, sy + y, sxx + x * x, sxy + x * y];
  }
  const spread = n * sxx - sx * sx;
  return spread > 1e-9 ? (n * sxy - sx * sy) / spread : 0;
}

/** The largest run of neighbouring patches that are off; null below PLACE_PATCHES, or where it is half of the picture. */
function largestPlace(stops: Float32Array, state: Uint8Array, width: number): { area: Area; mean: number } | null {
  const seen = new Uint8Array(stops.length);
  const isOff = (i: number): boolean => state[i] === USABLE && !seen[i] && Math.abs(stops[i] as number) > PLACE_OFF;
  let best: number[] = [];
  for (let start = 0; start < stops.length; start++) {
    if (!isOff(start)) continue;
    const found = [start];
    seen[start] = 1;
    for (let k = 0; k < found.length; k++) {
      const i = found[k] as number;
      const steps = [
        i - width,
        i + width,
        ...(i % width > 0 ? [i - 1] : []),
        ...(i % width < width - 1 ? [i + 1] : []),
      ];
      for (const next of steps) {
        if (next < 0 || next >= stops.length || !isOff(next)) continue;
        seen[next] = 1;
        found.push(next);
      }
    }
    if (found.length > best.length) best = found;
  }
  const usable = state.reduce((sum, value) => sum + (value === USABLE ? 1 : 0), 0);
  if (best.length < PLACE_PATCHES || best.length > usable / 2) return null;
  const [xs, ys] = [best.map((i) => i % width), best.map((i) => Math.floor(i / width))];
  const [x, y] = [Math.min(...xs), Math.min(...ys)];
  const mean = best.reduce((sum, i) => sum + Math.abs(stops[i] as number), 0) / best.length;
  return { area: { x, y, width: Math.max(...xs) - x + 1, height: Math.max(...ys) - y + 1 }, mean };
}

const figure = (value: number): string =>
  (Math.abs(value) < 0.095 ? value.toFixed(2) : value.toFixed(1)).replace("-", "−");
