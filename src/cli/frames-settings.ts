/**
 * Steps of exposure between frames from what their files say: t·S/N², marks read as the exact values they stand for
 * (1/60 is 1/64 s, f/5.6 is 2^2.5). What not every frame states is left out, as lamps and lenses without it allow.
 */

import type { FrameExposure } from "../frames/index.ts";
import { avOfFNumber, fNumber, markNamed, parseIso, parseShutter } from "../units/index.ts";

/**
 * Stops of each frame against the first; null for all when none states anything. `time` "leave-out": only flash lit them.
 * Frames that say that a flash fired are at one time whatever it was: a flash is shorter than any of them.
 */
export function exposureSteps(
  exposures: readonly FrameExposure[],
  time: "counts" | "leave-out" = "counts",
): readonly number[] | null {
  const fired = exposures.find(({ flashFired }) => flashFired === true)?.shutterS ?? null;
  const secondsOf = ({ flashFired, shutterS }: FrameExposure): number | null =>
    flashFired === true ? (fired ?? shutterS) : shutterS;
  const times = exposures.map(secondsOf);
  const columns = [
    ...(time === "counts"
      ? [times.map((seconds) => (seconds === null ? null : Math.log2(exactSeconds(seconds))))]
      : []),
    exposures.map(({ fNumber: n }) => (n === null ? null : -exactAv(n))),
    exposures.map(({ iso }) => (iso === null ? null : Math.log2(exactIso(iso)))),
  ].filter((column) => column.every((value) => value !== null)) as number[][];
  if (columns.length === 0) return null;
  const sums = exposures.map((_, i) => columns.reduce((sum, column) => sum + (column[i] as number), 0));
  return sums.map((sum) => sum - (sums[0] as number));
}

/** A whole 1/x or a mark is what it stands for; another time is literal. */
function exactSeconds(time: number): number {
  const whole = Math.round(1 / time);
  const isFraction = time < 0.4 && Math.abs(time * whole - 1) < 0.005;
  const parsed = parseShutter(isFraction ? `1/${whole}` : `${time} s`);
  return parsed.ok ? parsed.value.seconds : time;
}

function exactAv(n: number): number {
  const mark = markNamed(n, "third") ?? markNamed(n, "half");
  return mark === null ? avOfFNumber(fNumber(n)) : mark.av;
}

function exactIso(speed: number): number {
  const parsed = parseIso(String(speed));
  return parsed.ok ? parsed.value.iso : speed;
}
