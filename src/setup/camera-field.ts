/**
 * What the camera sees: its axes and the slopes of its field. Focused at the nose, the image distance is
 * v = f·d/(d − f), so the field at distance d is s·(d − f)/f wide (textbook optics, domain 8). Lengths m.
 */

import { addScaled, cross, distance, dot, normalize, subtract, type Vec3 } from "../units/index.ts";
import { noseOf, vectorOf } from "./place.ts";
import type { Setup } from "./types.ts";

/** The camera's place and axes, and the tangent of half the field each way. */
export interface CameraField {
  readonly position: Vec3;
  readonly forward: Vec3;
  readonly right: Vec3;
  readonly up: Vec3;
  readonly tanHalfWidth: number;
  readonly tanHalfHeight: number;
  /** Lens to nose along the lens axis, m: where it is focused. */
  readonly focusM: number;
}

/** Sensor sides as the picture lies: width, height, mm. */
export function pictureSidesMm(camera: Setup["camera"]): readonly [number, number] {
  const long = Math.max(camera.sensorWidthMm, camera.sensorHeightMm);
  const short = Math.min(camera.sensorWidthMm, camera.sensorHeightMm);
  return camera.upright ? [short, long] : [long, short];
}

export function cameraField(setup: Pick<Setup, "camera" | "subject">): CameraField {
  const { camera } = setup;
  const position = vectorOf(camera.position);
  const aim = subtract(vectorOf(camera.aim), position);
  const forward: Vec3 = Math.hypot(...aim) > 1e-9 ? normalize(aim) : [0, 0, -1];
  const level = cross(forward, [0, 1, 0]);
  const right: Vec3 = Math.hypot(...level) > 1e-6 ? normalize(level) : [1, 0, 0];
  const [widthMm, heightMm] = pictureSidesMm(camera);
  const nose = noseOf(setup);
  const along = dot(subtract(nose, position), forward);
  const focusM = along > 0 ? along : distance(nose, position);
  const focalM = camera.focalLengthMm / 1000;
  // Nearer than twice the focal length no usual lens focuses; keep the field finite there.
  const imageM = (focalM * focusM) / Math.max(focusM - focalM, focalM);
  return {
    position,
    forward,
    right,
    up: cross(right, forward),
    tanHalfWidth: widthMm / 2000 / imageM,
    tanHalfHeight: heightMm / 2000 / imageM,
    focusM,
  };
}

/** Where the ray of picture position (u, v), each −1…1, +u right and +v up, meets the plane z; null if it does not. */
export function onPlane(field: CameraField, u: number, v: number, z: number): Vec3 | null {
  const across = addScaled(field.forward, field.right, u * field.tanHalfWidth);
  const ray = addScaled(across, field.up, v * field.tanHalfHeight);
  if (Math.abs(ray[2]) < 1e-9) return null;
  const t = (z - field.position[2]) / ray[2];
  return t > 0 ? addScaled(field.position, ray, t) : null;
}
