/**
 * Light in the frame and light on the lens, for every light. In frame: the front projects into the picture.
 * At risk: the lens is in front of the front, within 35° outside the picture's half diagonal, inside the
 * grid's cut-off, not blocked by anything, and gets more than 3 stops under the face (both limits: common
 * practice, no source). Cut-off of a square cell per axis: atan(w/t), geometry.
 */

import type { Front, Grid } from "../photometry/index.ts";
import type { Light, Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { add, addScaled, cross, dot, normalize, scale, subtract } from "../units/index.ts";
import { frameSides } from "./camera.ts";
import { angleBetweenDeg, lensPosition } from "./face.ts";
import type { Flare } from "./types.ts";

/** Beyond the half diagonal, degrees (common practice, no source). */
const RISK_BEYOND_FRAME_DEG = 35;
/** Lens against face (common practice, no source). */
export const FLARE_LIMIT_STOPS = -3;

/** What the kernel found at the lens: open (nothing in between) and as it stands, and the face's level; Av, null dark. */
export interface LensLight {
  readonly openAv: number | null;
  readonly av: number | null;
  readonly faceAv: number | null;
}

/** The state of one light against the lens. */
export function flareOf(setup: Setup, light: Light, front: Front, lens: LensLight): Flare {
  const outsideCutoffDeg = front.grid ? degreesOutsideGrid(front, front.grid, lensPosition(setup)) : null;
  const lensStops = lens.av === null || lens.faceAv === null ? null : lens.av - lens.faceAv;
  const answer = (state: Flare["state"], words: string): Flare => ({
    lightId: light.id,
    state,
    lensStops,
    words,
    outsideCutoffDeg,
  });
  const name = light.tag;
  if (isInFrame(setup, front)) return answer("in frame", `${name} stands in the picture`);
  if (dot(front.normal, subtract(lensPosition(setup), front.centre)) <= 0) {
    return answer("behind", `${name} faces away from the lens`);
  }
  if (outsideCutoffDeg !== null && outsideCutoffDeg >= 0) {
    return answer("clear", `the lens is outside ${name}'s grid cut-off by ${degreesWords(outsideCutoffDeg)}`);
  }
  if (lens.openAv !== null && lens.av === null)
    return answer("flagged", `something stands between ${name} and the lens`);
  const beyond = degreesOffAxis(setup, front) - halfDiagonalDeg(setup);
  if (beyond >= RISK_BEYOND_FRAME_DEG) {
    return answer("clear", `${name} is ${degreesWords(beyond)} outside the picture`);
  }
  if (lensStops === null || lensStops <= FLARE_LIMIT_STOPS) {
    const level = lensStops === null ? "no light" : `${Math.abs(lensStops).toFixed(1)} stops under the face`;
    return answer("clear", `${name} at the lens: ${level}`);
  }
  const level = `${Math.abs(lensStops).toFixed(1)} stops ${lensStops < 0 ? "under" : "over"} the face`;
  return answer("at risk", `${name} shines into the lens, ${level}: hood or flag it`);
}

/** Unit vectors of the camera: where it looks, picture-right, picture-up. */
export function cameraFrame(setup: Setup): { readonly forward: Vec3; readonly right: Vec3; readonly up: Vec3 } {
  const { xM, yM, zM } = setup.camera.aim;
  const forward = normalize(subtract([xM, yM, zM], lensPosition(setup)));
  const right = normalize(cross(forward, [0, 1, 0]));
  return { forward, right, up: cross(right, forward) };
}

/** Whether any corner or the middle of a front falls inside the picture. */
export function isInFrame(setup: Setup, front: Front): boolean {
  const { forward, right, up } = cameraFrame(setup);
  const [widthMm, heightMm] = frameSides(setup.camera);
  const halfWidth = widthMm / 2 / setup.camera.focalLengthMm;
  const halfHeight = heightMm / 2 / setup.camera.focalLengthMm;
  const lens = lensPosition(setup);
  return pointsOf(front).some((point) => {
    const s = subtract(point, lens);
    const depth = dot(s, forward);
    if (depth <= 0) return false;
    return Math.abs(dot(s, right)) <= halfWidth * depth && Math.abs(dot(s, up)) <= halfHeight * depth;
  });
}

/**
 * How far a point is outside a grid's cut-off, degrees, by the nearest line from the front; negative inside.
 */
export function degreesOutsideGrid(front: Front, grid: Grid, point: Vec3): number {
  const right = cross(front.up, front.normal);
  const cutoff = (Math.atan2(grid.cellM, grid.depthM) * 180) / Math.PI;
  const offs = pointsOf(front).map((from) => {
    const s = subtract(point, from);
    const depth = dot(s, front.normal);
    if (depth <= 0) return 90;
    const off = Math.max(Math.abs(dot(s, right)), Math.abs(dot(s, front.up)));
    return (Math.atan2(off, depth) * 180) / Math.PI;
  });
  return Math.min(...offs) - cutoff;
}

function degreesOffAxis(setup: Setup, front: Front): number {
  const { forward } = cameraFrame(setup);
  const lens = lensPosition(setup);
  return Math.min(...pointsOf(front).map((point) => angleBetweenDeg(subtract(point, lens), forward)));
}

function halfDiagonalDeg(setup: Setup): number {
  const { sensorWidthMm, sensorHeightMm, focalLengthMm } = setup.camera;
  return (Math.atan(Math.hypot(sensorWidthMm, sensorHeightMm) / (2 * focalLengthMm)) * 180) / Math.PI;
}

/** Middle, corners, and middles of the edges and of the spokes: enough for a convex front. */
function pointsOf(front: Front): Vec3[] {
  const points: Vec3[] = [front.centre];
  front.outline.forEach((vertex, i) => {
    const next = front.outline[(i + 1) % front.outline.length] as Vec3;
    points.push(vertex, scale(add(vertex, next), 0.5), addScaled(front.centre, subtract(vertex, front.centre), 0.5));
  });
  return points;
}

const degreesWords = (degrees: number): string => (degrees < 1 ? "less than 1°" : `${Math.round(degrees)}°`);
