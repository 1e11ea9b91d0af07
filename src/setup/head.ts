/**
 * The sitter's head and body as simple solids, for shade and for the points where a meter is held. The head
 * is an ellipsoid behind the nose tip, turned by yaw and pitch; the body is capsules below it. Sizes are
 * means of men and women: head length and breadth after a British survey (domain 7.1: 195/180 and 155/145
 * mm, rounded here to 190 and 150), chin to crown 225 mm, nose 20 mm proud and ear axis 125 mm behind the
 * nose tip (handbooks of anthropometry, from memory). Body sizes are from memory too: they shade, they do
 * not measure. Arms are left out. Lengths in metres.
 */

import type { Occluder } from "../photometry/index.ts";
import { add, addScaled, cross, type Vec3 } from "../units/index.ts";
import { directionOf, noseOf, radians } from "./place.ts";
import type { Setup } from "./types.ts";

/** Half the breadth, half chin to crown, half the length. */
const halfBreadthM = 0.075;
const halfHeightM = 0.1125;
const halfLengthM = 0.095;
const noseProudM = 0.02;
/** The ellipsoid's middle above the nose tip: the tip is about 82 mm over the chin. */
const middleOverNoseM = 0.03;
const earBehindNoseM = 0.125;

/** The head's ellipsoid and its own axes: right is picture-right when the sitter faces the camera. */
export interface HeadFrame {
  readonly centre: Vec3;
  readonly right: Vec3;
  readonly up: Vec3;
  readonly forward: Vec3;
  /** Half axes along right, up, forward. */
  readonly halfAxesM: readonly [number, number, number];
  readonly nose: Vec3;
  /** Middle of the axis through both ears, about which the chin goes up and down. */
  readonly earAxis: Vec3;
}

/** The sitter's head; null for an object. The nose tip is P0 in every pose: noseHeightM is its height in this one. */
export function headOf(setup: Pick<Setup, "subject">): HeadFrame | null {
  const { subject } = setup;
  if (subject.kind === "object") return null;
  const forward = directionOf(subject.headYawDeg, subject.headPitchDeg);
  const yaw = radians(subject.headYawDeg);
  const right: Vec3 = [Math.cos(yaw), 0, -Math.sin(yaw)];
  const up = cross(forward, right);
  const nose = noseOf(setup);
  // Where the ellipsoid's skin lies at the height of the nose, the nose stands noseProudM before it.
  const skin = halfLengthM * Math.sqrt(1 - (middleOverNoseM / halfHeightM) ** 2);
  const centre = addScaled(addScaled(nose, forward, -(skin + noseProudM)), up, middleOverNoseM);
  return {
    centre,
    right,
    up,
    forward,
    halfAxesM: [halfBreadthM, halfHeightM, halfLengthM],
    nose,
    earAxis: addScaled(nose, forward, -earBehindNoseM),
  };
}

/** The point of the head whose outward normal has this azimuth and elevation in the head's own frame. */
export function onHead(head: HeadFrame, azimuthDeg: number, elevationDeg: number): { position: Vec3; normal: Vec3 } {
  const [nx, ny, nz] = directionOf(azimuthDeg, elevationDeg);
  const [a, b, c] = head.halfAxesM;
  // The ellipsoid's point of normal n is (a²nx, b²ny, c²nz)/√(a²nx² + b²ny² + c²nz²).
  const root = Math.hypot(a * nx, b * ny, c * nz);
  const inFrame = (x: number, y: number, z: number): Vec3 => [
    x * head.right[0] + y * head.up[0] + z * head.forward[0],
    x * head.right[1] + y * head.up[1] + z * head.forward[1],
    x * head.right[2] + y * head.up[2] + z * head.forward[2],
  ];
  return {
    position: add(head.centre, inFrame((a * a * nx) / root, (b * b * ny) / root, (c * c * nz) / root)),
    normal: inFrame(nx, ny, nz),
  };
}

export function headOccluder(head: HeadFrame): Occluder {
  const [a, b, c] = head.halfAxesM;
  const zero: Vec3 = [0, 0, 0];
  return {
    kind: "ellipsoid",
    centre: head.centre,
    axes: [addScaled(zero, head.right, a), addScaled(zero, head.up, b), addScaled(zero, head.forward, c)],
  };
}

/** Half the shoulder line, the radius round it, its drop below the nose tip (top of the shoulder 0.15 below). */
const shoulderHalfM = 0.155;
const shoulderRadiusM = 0.06;
const shoulderDropM = 0.21;
/** From the nose tip down to the seat (seated) and to the hip joint (standing). */
const noseOverSeatM = 0.745;
const noseOverHipM = 0.68;

/** The tops of the shoulders and the capsules of the body; empty for an object. */
export interface BodyFrame {
  readonly shoulderLeft: Vec3;
  readonly shoulderRight: Vec3;
  readonly capsules: readonly Occluder[];
}

/** The body below the head, turned by bodyYawDeg, standing under the ear axis. Null for an object. */
export function bodyOf(setup: Pick<Setup, "subject">): BodyFrame | null {
  const head = headOf(setup);
  if (head === null) return null;
  const { subject } = setup;
  const yaw = radians(subject.bodyYawDeg);
  const nose = subject.noseHeightM;
  const [earX, , earZ] = head.earAxis;
  // A point of the body: right, height over the floor, forward, all about the plumb line under the ears.
  const at = (right: number, height: number, forward: number): Vec3 => [
    earX + right * Math.cos(yaw) + forward * Math.sin(yaw),
    Math.max(height, 0.02),
    earZ - right * Math.sin(yaw) + forward * Math.cos(yaw),
  ];
  const capsule = (a: Vec3, b: Vec3, radiusM: number): Occluder => ({ kind: "capsule", a, b, radiusM });
  const shoulder = nose - shoulderDropM;
  const left = at(-shoulderHalfM, shoulder, -0.02);
  const right = at(shoulderHalfM, shoulder, -0.02);
  const neck = capsule(at(0, nose - 0.06, -0.005), at(0, shoulder, -0.02), 0.055);
  const trunkFoot = subject.pose === "seated" ? nose - noseOverSeatM + 0.12 : nose - noseOverHipM;
  const trunk = [-0.06, 0.06].map((x) => capsule(at(x, shoulder - 0.09, 0), at(x, trunkFoot, 0), 0.115));
  const limbs = [-0.1, 0.1].map((x) =>
    subject.pose === "seated"
      ? capsule(at(x, nose - noseOverSeatM + 0.075, 0), at(x, nose - noseOverSeatM + 0.075, 0.45), 0.075)
      : capsule(at(x, nose - noseOverHipM, 0), at(x, 0.08, 0), 0.08),
  );
  return {
    shoulderLeft: addScaled(left, [0, 1, 0], shoulderRadiusM),
    shoulderRight: addScaled(right, [0, 1, 0], shoulderRadiusM),
    capsules: [neck, capsule(left, right, shoulderRadiusM), ...trunk, ...limbs],
  };
}
