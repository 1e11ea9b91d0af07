/**
 * How far a subject may lean and a meter or a front may turn before a reading changes by so many stops:
 * closed forms for points and discs, and the same questions put to a real front by bisection. Also penumbra
 * and apparent size. Lengths in m, angles in degrees.
 */

import type { Stops, Vec3 } from "../units/index.ts";
import { addScaled, cross, distance, dot, normalize, subtract } from "../units/index.ts";
import { rightOf } from "./front.ts";
import { apparentSolidAngle, frontFactor } from "./irradiance.ts";
import type { Weighting } from "./kernel.ts";
import type { Front, ReceptorKind } from "./types.ts";

/** Away from a point source, as a part of the distance: 2^(s/2) − 1. */
export const pointAway = (change: Stops): number => 2 ** (change / 2) - 1;
/** Toward a point source, as a part of the distance: 1 − 2^(−s/2). */
export const pointToward = (change: Stops): number => 1 - 2 ** (-change / 2);

/** Away from a disc of radius r at d, on axis, m: √((d² + r²)·2^s − r²) − d. */
export const discAway = (r: number, d: number, change: Stops): number =>
  Math.sqrt((d * d + r * r) * 2 ** change - r * r) - d;
/** Toward it, m; NaN when even touching the disc changes less. */
export const discToward = (r: number, d: number, change: Stops): number =>
  d - Math.sqrt((d * d + r * r) * 2 ** -change - r * r);

/** Slope of a disc's level on axis, stops per metre: −(2/ln 2)·d/(d² + r²). */
export const discSlope = (r: number, d: number): number => ((-2 / Math.LN2) * d) / (d * d + r * r);

/** Angle off a small far light at which a receptor reads so many stops less. */
export function turnForChange(kind: ReceptorKind, change: Stops): number {
  const left = 2 ** -change;
  return (Math.acos(kind === "disc" ? left : 2 * left - 1) * 180) / Math.PI;
}

/** Stops lost between two distances from a small light: 2·log2(far/near). */
export const farLoss = (nearM: number, farM: number): number => 2 * Math.log2(farM / nearM);

/** Width of a shadow's edge, m: D·g/d for a source D wide seen across the edge, gap g, source to edge d. */
export const penumbraWidth = (sourceM: number, gapM: number, distanceM: number): number => (sourceM * gapM) / distanceM;

export interface Lean {
  readonly awayM: number;
  /** Null when the front cannot get so much brighter before it is reached. */
  readonly towardM: number | null;
}

/** How far the point may move along its line from the front's centre before the reading changes by `change` stops (> 0). */
export function leanForChange(front: Front, point: Vec3, axis: Vec3, receptor: Weighting, change: Stops): Lean | null {
  const away = moveForGain(front, point, axis, receptor, -change as Stops);
  if (away === null) return null;
  const toward = moveForGain(front, point, axis, receptor, change);
  return { awayM: away, towardM: toward === null ? null : -toward };
}

/**
 * Signed change of distance between front and point, m (positive: further), that changes the reading by
 * `gain` stops with the real front, receptor and aim kept. Null when the point is dark or no distance does.
 */
export function moveForGain(front: Front, point: Vec3, axis: Vec3, receptor: Weighting, gain: Stops): number | null {
  const now = frontFactor(front, point, axis, receptor);
  const reach = distance(front.centre, point);
  if (!(now > 0) || reach === 0) return null;
  if (gain === 0) return 0;
  const outward = normalize(subtract(point, front.centre));
  const wanted = now * 2 ** gain;
  const excess = (move: number): number => frontFactor(front, addScaled(point, outward, move), axis, receptor) - wanted;
  // A first bracket on the side that the gain asks for, widened outward or tightened toward the front.
  let near = gain > 0 ? brightestToward(excess, -reach) : 0;
  let far = gain > 0 ? 0 : reach * (2 ** (-gain / 2) - 1);
  if (gain < 0) for (let k = 0; k < 40 && excess(far) > 0; k++) far *= 2;
  if (excess(near) < 0 || excess(far) > 0) return null;
  for (let k = 0; k < 60; k++) {
    const half = (near + far) / 2;
    if (excess(half) > 0) near = half;
    else far = half;
  }
  return (near + far) / 2;
}

/** First step toward the front, in sixty-fourths of the way, that is bright enough; the last one otherwise. */
function brightestToward(excess: (move: number) => number, reach: number): number {
  for (let k = 1; k < 64; k++) if (excess((reach * k) / 64) >= 0) return (reach * k) / 64;
  return reach * (63 / 64);
}

/** How large a front looks from a point. */
export interface ApparentSize {
  readonly solidAngleSr: number;
  /** Angles that the front spans along its own right and up. */
  readonly widthDeg: number;
  readonly heightDeg: number;
  /** The longer over the shorter angle. */
  readonly elongation: number;
  /** Diameter of the disc of equal area over the distance to the centre. */
  readonly sizeOverDistance: number;
}

export function apparentSize(front: Front, point: Vec3): ApparentSize {
  const widthDeg = spanDeg(front, point, rightOf(front));
  const heightDeg = spanDeg(front, point, front.up);
  const narrow = Math.min(widthDeg, heightDeg);
  return {
    solidAngleSr: apparentSolidAngle(front, point),
    widthDeg,
    heightDeg,
    elongation: narrow > 0 ? Math.max(widthDeg, heightDeg) / narrow : 1,
    sizeOverDistance: Math.sqrt((4 * front.areaM2) / Math.PI) / distance(front.centre, point),
  };
}

function spanDeg(front: Front, point: Vec3, along: Vec3): number {
  let least = 0;
  let most = 0;
  for (const corner of front.outline) {
    const s = dot(subtract(corner, front.centre), along);
    least = Math.min(least, s);
    most = Math.max(most, s);
  }
  const a = subtract(addScaled(front.centre, along, least), point);
  const b = subtract(addScaled(front.centre, along, most), point);
  const sine = cross(a, b);
  return (Math.atan2(Math.hypot(...sine), dot(a, b)) * 180) / Math.PI;
}
