/**
 * A camera that walks round the set and changes nothing in it: turned about a point, moved across, brought nearer.
 * World axes of the setup (+Y up, +Z to the camera), metres, degrees. Azimuth 0 looks from the camera's side,
 * positive from picture-right.
 */

import type { SceneCamera } from "../../../../scene/index.ts";
import { noseOf, type Setup } from "../../../../setup/index.ts";
import { addScaled, cross, normalize, scale, type Vec3 } from "../../../../units/index.ts";

export interface FreeView {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly distanceM: number;
  /** What it turns about. */
  readonly target: Vec3;
}

/** Full vertical angle: wide enough to see a set from inside its room. */
const FOV_DEG = 62;
/** No nearer to walls, floor and ceiling than this. */
const WALL_GAP_M = 0.12;
const NEAREST_M = 0.4;
const FARTHEST_M = 12;
const STEEPEST_DEG = 85;

/** From the front, a little to the side and above, far enough to see the lights. */
export function firstView(setup: Setup): FreeView {
  const target = noseOf(setup);
  return { azimuthDeg: 32, elevationDeg: 22, distanceM: 3.2, target };
}

/** Turned by degrees; never over the top. */
export const orbited = (view: FreeView, byDeg: number, upDeg: number): FreeView => ({
  ...view,
  azimuthDeg: ((((view.azimuthDeg + byDeg + 180) % 360) + 360) % 360) - 180,
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

/** The camera of a view, kept inside the room; `aspect` is width over height. */
export function freeCamera(view: FreeView, { room }: Pick<Setup, "room">, aspect: number): SceneCamera {
  const { back, right, up } = frameOf(view);
  const low: Vec3 = [-room.crossFromLeftM, 0, -room.crossFromBackM];
  const high: Vec3 = [low[0] + room.widthM, room.heightM, low[2] + room.depthM];
  const inside = view.target.map((value, k) =>
    clamp(value, low[k as 0] + WALL_GAP_M, Math.max(low[k as 0] + WALL_GAP_M, high[k as 0] - WALL_GAP_M)),
  ) as unknown as Vec3;
  // How far back it may go before the first wall.
  let reach = view.distanceM;
  for (const k of [0, 1, 2] as const) {
    const wall = back[k] > 0 ? high[k] - WALL_GAP_M : low[k] + WALL_GAP_M;
    if (Math.abs(back[k]) > 1e-9) reach = Math.min(reach, Math.max(0, (wall - inside[k]) / back[k]));
  }
  return {
    position: addScaled(inside, back, reach),
    forward: scale(back, -1),
    right,
    up,
    fovYDeg: FOV_DEG,
    aspect,
    lensRadiusM: 0,
    focusM: Math.max(NEAREST_M, reach),
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
