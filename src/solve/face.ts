/**
 * The face as angles and points: the frame of a turned head, where its eyes are, and how a direction looks
 * from it. Turn by yaw (nose to picture-right positive) about +Y, then by pitch (chin up positive) about the
 * ear axis. Lengths in m, angles in degrees. Eye positions are means of adults from handbooks of
 * anthropometry (from memory), interpupillary distance 63 mm after Dodgson 2004.
 */

import type { Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { add, addScaled, dot, length, normalize, scale, subtract } from "../units/index.ts";

/** Interpupillary distance, mean of adults, m. */
export const INTERPUPILLARY_M = 0.063;
/** Front radius of the cornea, m (7.80 mm: Gullstrand's eye as in textbooks of visual optics). */
export const CORNEA_RADIUS_M = 0.0078;
/** Radius of the visible iris, m. */
export const LIMBUS_RADIUS_M = 0.0059;

/** Cornea centres lie so far above and behind the nose tip (from memory). */
const EYE_ABOVE_NOSE_M = 0.04;
const EYE_BEHIND_NOSE_M = 0.035;

/** Unit vectors of a head: `out` along the nose, `up` to the crown, `right` to picture-right when it faces the camera. */
export interface FaceFrame {
  readonly right: Vec3;
  readonly up: Vec3;
  readonly out: Vec3;
}

const DEG = Math.PI / 180;

/** The frame of a head turned by yaw and pitch. */
export function faceFrame(yawDeg: number, pitchDeg: number): FaceFrame {
  const [sy, cy] = [Math.sin(yawDeg * DEG), Math.cos(yawDeg * DEG)];
  const [sp, cp] = [Math.sin(pitchDeg * DEG), Math.cos(pitchDeg * DEG)];
  return {
    right: [cy, 0, -sy],
    up: [-sy * sp, cp, -cy * sp],
    out: [sy * cp, sp, cy * cp],
  };
}

/** A direction seen from a face: azimuth from the nose (picture-right positive) and elevation. */
export interface FaceAngles {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

/** Angles of a direction (any length) in a face's frame. */
export function faceAngles(frame: FaceFrame, direction: Vec3): FaceAngles {
  const d = normalize(direction);
  const [x, y, z] = [dot(d, frame.right), dot(d, frame.up), dot(d, frame.out)];
  return {
    azimuthDeg: Math.atan2(x, z) / DEG,
    elevationDeg: Math.asin(Math.min(1, Math.max(-1, y))) / DEG,
  };
}

/** Nose tip of the sitter on the cross. */
export const noseTip = (setup: Setup): Vec3 => [0, setup.subject.noseHeightM, 0];

export const lensPosition = (setup: Setup): Vec3 => {
  const { xM, yM, zM } = setup.camera.position;
  return [xM, yM, zM];
};

/** The frame of the sitter's head. */
export const sitterFrame = (setup: Setup): FaceFrame => faceFrame(setup.subject.headYawDeg, setup.subject.headPitchDeg);

/** Centres of the two corneas, camera left first. */
export function corneaCentres(setup: Setup): readonly [Vec3, Vec3] {
  const frame = sitterFrame(setup);
  const middle = add(noseTip(setup), add(scale(frame.up, EYE_ABOVE_NOSE_M), scale(frame.out, -EYE_BEHIND_NOSE_M)));
  const half = INTERPUPILLARY_M / 2;
  return [addScaled(middle, frame.right, -half), addScaled(middle, frame.right, half)];
}

/** Angle between two directions, degrees. */
export function angleBetweenDeg(a: Vec3, b: Vec3): number {
  const cosine = dot(a, b) / (length(a) * length(b));
  return Math.acos(Math.min(1, Math.max(-1, cosine))) / DEG;
}

/** Unit vector from one point to another. */
export const towards = (from: Vec3, to: Vec3): Vec3 => normalize(subtract(to, from));
