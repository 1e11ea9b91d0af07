/**
 * Does it add up? Together against the sum of its lights alone (domain 10.1, 10.3): the difference in stops over a grid of
 * patches, what is clipped (0.98 of white in any of the frames) or too dark left out and counted, and one figure. "Measured"
 * only at or below 0.05 stop RMS; above 0.15 refused. Too dark: at or under three read noises, or where noise alone
 * would exceed 0.05 stop.
 */

import { causesOf } from "./causes.ts";
import { curveOfSum, type SumCurve } from "./curve-of-sum.ts";
import { type AloneFrame, fitGains } from "./gains.ts";
import { darkLimit, gridOf, lightOf, lightsOf, lightVariance, medianOf, oneSize } from "./grid.ts";
import { isSketch, withoutAmbient } from "./linear.ts";
import { NOTHING_THERE, registerFrames, shiftedBack } from "./register.ts";
import {
  CLIPPED,
  type GainOf,
  type Id,
  type LinearFrame,
  OUTSIDE,
  type Shift,
  type SumCheck,
  TOO_DARK,
  USABLE,
  type Verdict,
} from "./types.ts";

/** Limits of domain 10.3, stops. */
export const GOOD_STOPS = 0.05;
export const REFUSED_STOPS = 0.15;
/** Fewer patches tell nothing. */
const FEWEST = 30;

export interface SumQuestion {
  readonly together: LinearFrame;
  readonly alones: readonly AloneFrame[];
  /** With every head off; null when there is none: it then counts once too often for every light but the first. */
  readonly ambient: LinearFrame | null;
  /** Words for a light in causes; its id unless given. */
  readonly nameOf?: (lightId: Id) => string;
}

/** The check. All frames of one size (RangeError otherwise); full frames or proxies. */
export function checkSum(question: SumQuestion): SumCheck {
  const { alones, ambient } = question;
  if (alones.length === 0) throw new RangeError("a sum needs at least one light");
  oneSize([question.together, ...alones.map(({ frame }) => frame), ...(ambient ? [ambient] : [])]);
  const sum = sumOf(alones, ambient);
  const shift = registerFrames(sum, question.together);
  const together = isWhole(shift) ? shiftedBack(question.together, shift) : question.together;
  const map = differenceMap(sum, together, alones, ambient);
  const fitted = fitGains(together, alones, ambient);
  const explained = sumOf(alones, ambient, fitted.linear);
  const after = differenceMap(explained, together, alones, ambient);
  const { noise, light, ...shown } = map;
  const [asShot, best] = [statistics(map).rmsStops, statistics(after).rmsStops];
  const noiseStops = rms(noise, map.state);
  const bases = [question.together, ...alones.map(({ frame }) => frame)].map(({ basis }) => basis);
  const sketch = bases.some(isSketch);
  const coded = sketch || bases.includes("recovered");
  const excess = Math.sqrt(Math.max(0, best ** 2 - noiseStops ** 2));
  const shares = alones.map((_, j) => shareOf(alones, j, ambient, together));
  const told = (left: number): readonly GainOf[] =>
    fitted.gains.map((gain, j) => toldGain(gain, left, shares[j] as number, best < asShot));
  const check = {
    ...{ togetherId: together.id, lightIds: alones.map(({ lightId }) => lightId), ambientId: ambient?.id ?? null },
    ...{ ...shown, ...statistics(map), noiseStops },
    // Through a curve that is not known to be the file's own, all that is left may be any light's.
    gains: told(sketch ? best : excess),
    ...{ rmsAfterGains: Math.min(asShot, best), shift, verdict: verdictOf(map, sketch) },
  };
  const nameOf = question.nameOf ?? ((id: Id) => id);
  const curve = sketch ? curveOfParts(together, alones, ambient, map.state) : null;
  return {
    ...check,
    causes: causesOf({ check: { ...check, gains: told(excess) }, after, light, sketch, coded, curve, nameOf }),
  };
}

/** Ambient + Σ gain·(light − ambient), at the size of the frames; noise of the sum with it. */
export function sumOf(
  alones: readonly AloneFrame[],
  ambient: LinearFrame | null,
  gains?: ArrayLike<number>,
): LinearFrame {
  const first = (alones[0] as AloneFrame).frame;
  const rgb = new Float32Array(first.rgb.length);
  const clipped = new Uint8Array(first.clipped.length);
  // Ambient counts once: what the lights' own frames carry of it is taken off.
  let rest = 1;
  let floor = 0;
  alones.forEach(({ frame }, j) => {
    const gain = gains?.[j] ?? 1;
    for (let i = 0; i < rgb.length; i++) rgb[i] = (rgb[i] as number) + gain * (frame.rgb[i] as number);
    for (let i = 0; i < clipped.length; i++) clipped[i] = (clipped[i] as number) | (frame.clipped[i] as number);
    rest -= gain;
    floor += gain * gain * frame.noise.floor;
  });
  if (ambient) {
    for (let i = 0; i < rgb.length; i++) rgb[i] = (rgb[i] as number) + rest * (ambient.rgb[i] as number);
    for (let i = 0; i < clipped.length; i++) clipped[i] = (clipped[i] as number) | (ambient.clipped[i] as number);
  }
  return { ...first, id: "sum", name: "the sum", rgb, clipped, noise: { ...first.noise, floor } };
}

const curveOfParts = (
  together: LinearFrame,
  alones: readonly AloneFrame[],
  ambient: LinearFrame | null,
  state: Uint8Array,
): SumCurve | null =>
  curveOfSum(
    lightsOf(gridOf(together)),
    alones.map(({ frame }) => lightsOf(gridOf(frame))),
    ambient && lightsOf(gridOf(ambient)),
    state,
  );

/**
 * A gain as far as it is told. What the best gains leave (a curve, movement) could be any light's, the more so the less
 * of the picture it makes: that is part of its deviation. Where turning lights explains no better than leaving them, they
 * stand as shot, and what the fit made of them is how little is known.
 */
function toldGain(gain: GainOf, leftStops: number, share: number, isBetter: boolean): GainOf {
  const systematic = (2 ** leftStops - 1) / Math.max(1e-3, share) / Math.LN2;
  const sigmaStops = Math.hypot(gain.sigmaStops, systematic);
  if (isBetter) return { ...gain, sigmaStops };
  return { ...gain, stops: 0, sigmaStops: Math.max(sigmaStops, Math.abs(gain.stops ?? sigmaStops)) };
}

/** Part of the light that a light makes where it makes most: median over the twentieth of the patches. */
function shareOf(alones: readonly AloneFrame[], j: number, ambient: LinearFrame | null, together: LinearFrame): number {
  const own = gridOf(withoutAmbient((alones[j] as AloneFrame).frame, ambient));
  const all = gridOf(together);
  const dark = 2 * darkLimit(all);
  const shares: number[] = [];
  for (let i = 0; i < all.clipped.length; i++) {
    const light = lightOf(all.rgb, i);
    if (light > dark && !all.clipped[i] && !own.clipped[i]) shares.push(lightOf(own.rgb, i) / light);
  }
  shares.sort((a, b) => b - a);
  return shares[Math.floor(shares.length / 40)] ?? 0;
}

interface DifferenceMap {
  readonly width: number;
  readonly height: number;
  readonly patch: number;
  readonly stops: Float32Array;
  readonly state: Uint8Array;
  readonly counts: SumCheck["counts"];
  /** Expected deviation of each patch, stops. */
  readonly noise: Float32Array;
  /** Luminance of together. */
  readonly light: Float32Array;
}

const isWhole = ({ verdict, x, y, peak }: Shift): boolean =>
  verdict === "integer" || (verdict === "moved" && peak > 1.5 && Math.hypot(x, y) >= 0.5);

function differenceMap(
  sum: LinearFrame,
  together: LinearFrame,
  alones: readonly AloneFrame[],
  ambient: LinearFrame | null,
): DifferenceMap {
  const [gs, gt] = [gridOf(sum), gridOf(together)];
  const parts = alones.map(({ frame }) => gridOf(frame));
  if (ambient) parts.push(gridOf(ambient));
  const dark = darkLimit(together);
  const n = gt.clipped.length;
  const [stops, noise, light] = [new Float32Array(n), new Float32Array(n), new Float32Array(n)];
  const state = new Uint8Array(n);
  const counts = { usable: 0, clipped: 0, dark: 0, outside: 0 };
  for (let i = 0; i < n; i++) {
    const [s, t] = [lightOf(gs.rgb, i), lightOf(gt.rgb, i)];
    light[i] = t;
    const variance = parts.reduce((all, part) => all + lightVariance(part, lightOf(part.rgb, i)), 0);
    noise[i] = Math.hypot(Math.sqrt(variance) / s, Math.sqrt(lightVariance(gt, t)) / t) / Math.LN2;
    const marks = (gs.clipped[i] as number) | (gt.clipped[i] as number);
    const isDark = t <= dark || s <= 0 || (noise[i] as number) > GOOD_STOPS;
    state[i] = marks & NOTHING_THERE ? OUTSIDE : marks ? CLIPPED : isDark ? TOO_DARK : USABLE;
    if (state[i] === USABLE) stops[i] = Math.log2(s / t);
    counts[COUNTED[state[i] as number] as keyof typeof counts]++;
  }
  const patch = gt.reduction / together.reduction;
  return { width: gt.width, height: gt.height, patch, stops, state, counts, noise, light };
}

const COUNTED = ["usable", "clipped", "dark", "outside"] as const;

function statistics({ stops, state }: Pick<DifferenceMap, "stops" | "state">) {
  const used = [...stops].filter((_, i) => state[i] === USABLE);
  const sizes = used.map(Math.abs).sort((a, b) => a - b);
  return {
    rmsStops: rms(stops, state),
    medianStops: medianOf(used),
    p95Stops: sizes[Math.floor(0.95 * sizes.length)] ?? 0,
  };
}

function rms(values: Float32Array, state: Uint8Array): number {
  let [squares, count] = [0, 0];
  for (let i = 0; i < values.length; i++) {
    if (state[i] !== USABLE) continue;
    squares += (values[i] as number) ** 2;
    count++;
  }
  return count > 0 ? Math.sqrt(squares / count) : 0;
}

function verdictOf(map: DifferenceMap, sketch: boolean): Verdict {
  if (map.counts.usable < FEWEST) return "refused";
  const { rmsStops } = statistics(map);
  if (rmsStops > REFUSED_STOPS) return "refused";
  if (rmsStops > GOOD_STOPS) return "doubtful";
  return sketch ? "sketch" : "measured";
}
