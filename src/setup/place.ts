/**
 * Places about the nose tip. World axes in metres: origin on the floor below the nose tip P0, +Z toward the
 * camera, +Y up, +X picture-right. A polar place is azimuth (0 toward the camera, positive to
 * picture-right), distance from P0 to the middle of the front, and the height of that middle over the
 * floor: what a tape measures. Elevation follows: ε = asin((height − nose) / distance).
 */

import { type Fault, fault, type Vec3 } from "../units/index.ts";
import type { Place, Setup, XYZ } from "./types.ts";

/** A position about the nose tip in every form a sheet prints. */
export interface Polar {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly distanceM: number;
  readonly heightM: number;
}

/** What the place functions need of a setup: where the nose is. */
export type WithNose = { readonly subject: Pick<Setup["subject"], "noseHeightM"> };

export const radians = (degrees: number): number => (degrees * Math.PI) / 180;
export const degreesOf = (radians: number): number => (radians * 180) / Math.PI;

/** Any angle brought into (−180, 180]. */
export function wrapDegrees(angle: number): number {
  const turned = ((angle % 360) + 360) % 360;
  return turned > 180 ? turned - 360 : turned;
}

/** An `XYZ` of the document as a vector. */
export const vectorOf = (p: XYZ): Vec3 => [p.xM, p.yM, p.zM];

/** The nose tip P0 (of an object: its reference point). */
export const noseOf = (setup: WithNose): Vec3 => [0, setup.subject.noseHeightM, 0];

/** Unit vector of an azimuth and an elevation, degrees. */
export function directionOf(azimuthDeg: number, elevationDeg: number): Vec3 {
  const azimuth = radians(azimuthDeg);
  const elevation = radians(elevationDeg);
  return [Math.sin(azimuth) * Math.cos(elevation), Math.sin(elevation), Math.cos(azimuth) * Math.cos(elevation)];
}

/** World position, m. An impossible polar place (`placeFault`) lands straight above or below the nose. */
export function positionOf(place: Place, setup: WithNose): Vec3 {
  if (place.kind === "cartesian") return [place.xM, place.yM, place.zM];
  const rise = place.heightM - setup.subject.noseHeightM;
  const level = Math.sqrt(Math.max(0, place.distanceM ** 2 - rise ** 2));
  const azimuth = radians(place.azimuthDeg);
  return [level * Math.sin(azimuth), place.heightM, level * Math.cos(azimuth)];
}

/** The same position about the nose tip; straight above or below the nose the azimuth is 0. */
export function polarOf(position: Vec3, setup: WithNose): Polar {
  const [x, y, z] = position;
  const rise = y - setup.subject.noseHeightM;
  const level = Math.hypot(x, z);
  return {
    azimuthDeg: level > 1e-9 ? wrapDegrees(degreesOf(Math.atan2(x, z))) : 0,
    elevationDeg: degreesOf(Math.atan2(rise, level)),
    distanceM: Math.hypot(level, rise),
    heightM: y,
  };
}

/** The place written as azimuth, distance and height. */
export function asPolar(place: Place, setup: WithNose): Place {
  if (place.kind === "polar") return place;
  const { azimuthDeg, distanceM, heightM } = polarOf(positionOf(place, setup), setup);
  return { kind: "polar", azimuthDeg, distanceM, heightM };
}

/** The place written as x, y, z. */
export function asCartesian(place: Place, setup: WithNose): Place {
  if (place.kind === "cartesian") return place;
  const [xM, yM, zM] = positionOf(place, setup);
  return { kind: "cartesian", xM, yM, zM };
}

/** A front cannot be nearer to the nose than it is above or below it; null when the place is possible. */
export function placeFault(place: Place, setup: WithNose, where: string): Fault | null {
  if (place.kind === "cartesian") return null;
  const rise = Math.abs(place.heightM - setup.subject.noseHeightM);
  if (rise <= place.distanceM + 1e-9) return null;
  return fault(
    "place-impossible",
    `The front is ${place.distanceM.toFixed(2)} m from the nose, yet ${rise.toFixed(2)} m above or below it`,
    where,
    `Give a distance of at least ${rise.toFixed(2)} m, or a height nearer to the nose at ${setup.subject.noseHeightM.toFixed(2)} m.`,
  );
}
