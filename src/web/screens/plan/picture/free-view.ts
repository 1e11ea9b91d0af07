/**
 * A camera that walks round the set and changes nothing in it: turned about a point, moved across, brought nearer.
 * World axes of the setup (+Y up, +Z to the camera), metres, degrees. Azimuth 0 looks from the camera's side,
 * positive from picture-right.
 */

import type { SceneCamera } from "../../../../scene/index.ts";
import { noseOf, positionOf, type Setup, wrapDegrees } from "../../../../setup/index.ts";
import { addScaled, cross, length, normalize, scale, subtract, type Vec3 } from "../../../../units/index.ts";

export interface FreeView {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly distanceM: number;
  /** What it turns about. */
  readonly target: Vec3;
}

/** Full vertical angle. */
const FOV_DEG = 45;
const NEAREST_M = 0.4;
const FARTHEST_M = 25;
const STEEPEST_DEG = 85;
/** Where a first look may come from. */
const FIRST_AZIMUTHS: readonly number[] = [-70, -35, 0, 35, 70];

/** From in front and above, where lights and panels stand least in the way, far enough to see them all. */
export function firstView(setup: Setup): FreeView {
  const target = noseOf(setup);
  const standing = [...setup.lights, ...setup.panels];
  const places = standing.map(({ place }) => subtract(positionOf(place, setup), target));
  const apart = (azimuth: number): number =>
    Math.min(180, ...places.map(([x, , z]) => Math.abs(wrapDegrees(azimuth - (Math.atan2(x, z) * 180) / Math.PI))));
  const azimuthDeg = FIRST_AZIMUTHS.reduce((best, each) => (apart(each) > apart(best) ? each : best));
  const farthest = Math.max(1.5, ...places.map((place) => length(place)));
  return { azimuthDeg, elevationDeg: 42, distanceM: clamp(2.4 * farthest, NEAREST_M, FARTHEST_M), target };
}

/** Turned by degrees; never over the top. */
export const orbited = (view: FreeView, byDeg: number, upDeg: number): FreeView => ({
  ...view,
  azimuthDeg: wrapDegrees(view.azimuthDeg + byDeg),
  elevationDeg: clamp(view.elevationDeg + upDeg, -STEEPEST_DEG, STEEPEST_DEG),
});

/** Moved across what is seen: shares of the picture's height, right and up. */
export function panned(view: FreeView, right: number, up: number): FreeView {
  const frame = frameOf(view);
  const seen = 2 * view.distanceM * Math.tan((FOV_DEG * Math.PI) / 360);
  return {
    ...view,
    target: addScaled(addScaled(view.target, frame.right, right * seen), frame.up, up * seen),
  };
}

/** Nearer (factor under 1) or farther. */
export const dollied = (view: FreeView, factor: number): FreeView => ({
  ...view,
  distanceM: clamp(view.distanceM * factor, NEAREST_M, FARTHEST_M),
});

/** The camera of a view; `aspect` is width over height. */
export function freeCamera(view: FreeView, aspect: number): SceneCamera {
  const { back, right, up } = frameOf(view);
  return {
    position: addScaled(view.target, back, view.distanceM),
    forward: scale(back, -1),
    right,
    up,
    fovYDeg: FOV_DEG,
    aspect,
    lensRadiusM: 0,
    focusM: view.distanceM,
  };
}

const clamp = (value: number, least: number, most: number): number => Math.min(most, Math.max(least, value));

/** Unit directions: from the target back to the eye, picture-right and picture-up. */
function frameOf({ azimuthDeg, elevationDeg }: FreeView): { back: Vec3; right: Vec3; up: Vec3 } {
  const [a, e] = [(azimuthDeg * Math.PI) / 180, (elevationDeg * Math.PI) / 180];
  const back: Vec3 = [Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e)];
  const right = normalize(cross([0, 1, 0], back));
  return { back, right, up: cross(back, right) };
}
