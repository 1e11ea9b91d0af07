/**
 * Shutter times of moving pictures: angle against time, and the times that hide mains flicker,
 * t = n/(2·f). Times in s, angles in degrees, rates in Hz.
 */

import type { Degrees, Seconds } from "../units/index.ts";
import { degrees, seconds } from "../units/index.ts";

/** t = (angle/360)/fps. */
export const timeOfAngle = (angle: Degrees, framesPerSecond: number): Seconds => seconds(angle / 360 / framesPerSecond);
/** angle = 360·fps·t. */
export const angleOfTime = (time: Seconds, framesPerSecond: number): Degrees => degrees(360 * framesPerSecond * time);

/** Shutter times n/(2·f) that pass whole half-periods of the mains and fit within a frame, shortest first. */
export function flickerFreeTimes(mainsHz: number, framesPerSecond: number): Seconds[] {
  const times: Seconds[] = [];
  for (let n = 1; n / (2 * mainsHz) <= 1 / framesPerSecond + 1e-12; n++) times.push(seconds(n / (2 * mainsHz)));
  return times;
}

/** Worst-case relative ripple of a lamp dimmed by pulse width: one part in the number of periods caught. */
export const rippleBound = (time: Seconds, dimmingHz: number): number => Math.min(1, 1 / (time * dimmingHz));

/** Shortest time that keeps that ripple under `ripple` (0.05 needs 20 periods). */
export const timeForRipple = (dimmingHz: number, ripple = 0.05): Seconds => seconds(1 / (ripple * dimmingHz));
