/**
 * What the camera sees: field, depth of field, perspective, and what its shutter does to a flash. Thin-lens
 * forms measured from the front principal point; lengths as the name says (mm for sensor and lens, m in the
 * room). Exact f-numbers. Sources: Ray, Applied Photographic Optics (from memory); depth of field checked
 * against the blur disc itself. Circle of confusion 0.030 mm for 24 × 36, scaled by the diagonal: common
 * practice, no source.
 */

import { passedByShutter } from "../photometry/index.ts";
import type { Camera, Head, Light, Setup } from "../setup/index.ts";
import type { Fault } from "../units/index.ts";
import { fault, seconds } from "../units/index.ts";
import type { CameraReport } from "./types.ts";

/** Distance between the nose tip and the ear canal along the axis of the head, m (handbooks of anthropometry, from memory). */
export const NOSE_TO_EAR_M = 0.12;

const FULL_FRAME_DIAGONAL_MM = Math.hypot(24, 36);
const FULL_FRAME_CIRCLE_MM = 0.03;

/** Angle of view of a sensor side at infinity, degrees: 2·atan(s/2f). */
export const angleOfViewDeg = (sideMm: number, focalMm: number): number =>
  (2 * Math.atan(sideMm / (2 * focalMm)) * 180) / Math.PI;

/** Length of the field that a sensor side sees at a distance, same unit as the distance: s·(d − f)/f. */
export const fieldLengthMm = (sideMm: number, focalMm: number, distanceMm: number): number =>
  (sideMm * (distanceMm - focalMm)) / focalMm;

/** Distance at which a sensor side sees a field, mm: f·(1 + W/s). */
export const distanceForFieldMm = (sideMm: number, focalMm: number, fieldMm: number): number =>
  focalMm * (1 + fieldMm / sideMm);

/** Near and far limits of acceptable sharpness, mm; `farMm` null is infinity. */
export interface DepthOfField {
  readonly hyperfocalMm: number;
  readonly nearMm: number;
  readonly farMm: number | null;
}

/** H = f²/(N·c) + f; near d(H − f)/(H + d − 2f), far d(H − f)/(H − d). All in mm. */
export function depthOfField(focalMm: number, fNumber: number, circleMm: number, distanceMm: number): DepthOfField {
  const hyperfocalMm = (focalMm * focalMm) / (fNumber * circleMm) + focalMm;
  const nearMm = (distanceMm * (hyperfocalMm - focalMm)) / (hyperfocalMm + distanceMm - 2 * focalMm);
  const farMm =
    distanceMm < hyperfocalMm ? (distanceMm * (hyperfocalMm - focalMm)) / (hyperfocalMm - distanceMm) : null;
  return { hyperfocalMm, nearMm, farMm };
}

/** Circle of confusion for a sensor, mm. */
export const circleOfConfusionMm = (camera: Pick<Camera, "sensorWidthMm" | "sensorHeightMm">): number =>
  (FULL_FRAME_CIRCLE_MM * Math.hypot(camera.sensorWidthMm, camera.sensorHeightMm)) / FULL_FRAME_DIAGONAL_MM;

/** Light lost close up with a symmetrical lens, stops: 2·log2(1 + m). */
export const closeUpLossStops = (magnification: number): number => 2 * Math.log2(1 + magnification);

/** How much larger the nose is drawn than the plane of the ears: (d + depth)/d. */
export const perspectiveRatio = (distanceM: number, depthM: number = NOSE_TO_EAR_M): number =>
  (distanceM + depthM) / distanceM;

/**
 * Stops of an exponential pulse that a sync shutter cuts off its tail, at most 0; null when the head's
 * duration is unknown. At low power a tail-cut head keeps only the first part of the pulse; a
 * voltage-controlled head gets longer by an amount nobody states, so its full-power figure is a lower bound.
 */
export function tailCutStops(head: Head, dialStops: number, shutterS: number): number | null {
  if (head.kind !== "flash") return null;
  const t01 = head.t01S ?? (head.t05S === null ? null : (head.t05S * Math.LN10) / Math.LN2);
  if (t01 === null) return null;
  const passed = passedByShutter(seconds(shutterS), seconds(t01));
  // A tail-cut head stops the same pulse after the fraction 2^dial; what the shutter lets by is the less of both.
  const kept = head.durationAtLowPower === "shorter" ? 2 ** Math.min(0, dialStops) : 1;
  return Math.log2(Math.min(passed, kept) / kept);
}

/**
 * Depth, field, perspective, sync, and the tail each flash loses. A lens planned nearer than life size, 2f, is taken to
 * stand there: thin-lens forms end at f.
 */
export function cameraReport(setup: Setup): CameraReport {
  const { camera, exposure, subject } = setup;
  const nose = { x: 0, y: subject.noseHeightM, z: 0 };
  const { xM, yM, zM } = camera.position;
  const distanceM = Math.hypot(xM - nose.x, yM - nose.y, zM - nose.z);
  const [widthMm, heightMm] = frameSides(camera);
  const distanceMm = Math.max(distanceM * 1000, 2 * camera.focalLengthMm);
  const depth = depthOfField(
    camera.focalLengthMm,
    2 ** (exposure.apertureAv / 2),
    circleOfConfusionMm(camera),
    distanceMm,
  );
  const farM = depth.farMm === null ? null : depth.farMm / 1000;
  return {
    distanceM,
    fieldWidthM: fieldLengthMm(widthMm, camera.focalLengthMm, distanceMm) / 1000,
    fieldHeightM: fieldLengthMm(heightMm, camera.focalLengthMm, distanceMm) / 1000,
    nearM: depth.nearMm / 1000,
    farM,
    depthM: farM === null ? null : farM - depth.nearMm / 1000,
    tiltDeg: tiltDeg(camera),
    noseToEar: perspectiveRatio(distanceMm / 1000),
    syncFault: syncFault(setup),
    tailCut: setup.lights.flatMap((light) => tailCutOf(light, exposure.shutterS)),
  };
}

/** Sensor sides as the picture stands: width and height, mm. */
export function frameSides(camera: Camera): readonly [number, number] {
  const long = Math.max(camera.sensorWidthMm, camera.sensorHeightMm);
  const short = Math.min(camera.sensorWidthMm, camera.sensorHeightMm);
  return camera.upright ? [short, long] : [long, short];
}

/** Below this a cut tail is smaller than any meter shows. */
const TAIL_MATTERS_STOPS = -0.02;

function tailCutOf(light: Light, shutterS: number): { lightId: string; stops: number }[] {
  const stops = tailCutStops(light.head, light.dialStops, shutterS);
  return stops !== null && stops < TAIL_MATTERS_STOPS ? [{ lightId: light.id, stops }] : [];
}

function tiltDeg(camera: Camera): number {
  const dx = camera.aim.xM - camera.position.xM;
  const dy = camera.aim.yM - camera.position.yM;
  const dz = camera.aim.zM - camera.position.zM;
  return (Math.atan2(dy, Math.hypot(dx, dz)) * 180) / Math.PI;
}

/** A nominal 1/200 beside an exact 1/203 is the same mark: three per cent are forgiven. */
const SAME_MARK = 0.97;

function syncFault(setup: Setup): Fault | null {
  const flash = setup.lights.some((light) => light.on && light.head.kind === "flash");
  if (!flash || setup.exposure.shutterS >= setup.camera.syncS * SAME_MARK) return null;
  const sync = `1/${Math.round(1 / setup.camera.syncS)} s`;
  return fault(
    "sync-too-short",
    `The shutter, ${setup.exposure.shutterMark} s, is shorter than this body's sync time, ${sync}: part of the frame stays dark`,
    "exposure.shutterS",
    `Set ${sync} or longer.`,
  );
}
