/**
 * How far a file's curve is from the one it was read through, told by a sum: light adds, so the power of the numbers that
 * makes the parts add up to the whole is the curve's own, to first order. A camera's curve is steeper than its file's
 * profile says in the middle: one stop of light then shows as more than one. Method our own, no source.
 */

import { USABLE } from "./types.ts";

export interface SumCurve {
  /** Stops that the file shows for one stop of light: 1 where its curve is the one it was read through. */
  readonly stopShows: number;
  /** RMS of the difference that is left with it, stops as the file shows them. */
  readonly rmsStops: number;
}

const LEAST = 0.6;
const MOST = 1.8;
const STEP = 0.02;

/** The best of the powers; null where no patch serves. Luminance per patch: of the whole, of each part, of the room. */
export function curveOfSum(
  together: Float32Array,
  parts: readonly Float32Array[],
  room: Float32Array | null,
  state: Uint8Array,
): SumCurve | null {
  let best: SumCurve | null = null;
  for (let shows = LEAST; shows <= MOST; shows += STEP) {
    const rmsStops = rmsThrough(together, parts, room, state, shows);
    if (rmsStops !== null && (best === null || rmsStops < best.rmsStops)) best = { stopShows: shows, rmsStops };
  }
  return best;
}

/** Numbers are light to the power `shows`: taken back, added, compared, told in the file's own stops. */
function rmsThrough(
  together: Float32Array,
  parts: readonly Float32Array[],
  room: Float32Array | null,
  state: Uint8Array,
  shows: number,
): number | null {
  const back = (value: number): number => Math.max(0, value) ** (1 / shows);
  let [squares, count] = [0, 0];
  for (let i = 0; i < state.length; i++) {
    if (state[i] !== USABLE) continue;
    const under = room === null ? 0 : back(room[i] as number);
    const sum = parts.reduce((all, part) => all + back(part[i] as number) - under, under);
    if (sum <= 0) continue;
    squares += (shows * Math.log2(sum / back(together[i] as number))) ** 2;
    count++;
  }
  return count === 0 ? null : Math.sqrt(squares / count);
}
