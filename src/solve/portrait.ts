/**
 * Portrait geometry: the pattern that the main draws on the face, and the catchlight of each front in the
 * eye. The nose's shadow on the cheek plane is x = −p·tan α, y = −p·tan ε/cos α for a tip that stands p
 * forward (geometry); the ranges of the patterns are common practice, no source, so the answer is the best
 * match with its neighbours, never a verdict. Catchlights follow the mirror law on the cornea (R 7.80 mm,
 * Gullstrand's eye). Angles in degrees, results in mm.
 */

import type { Front } from "../photometry/index.ts";
import type { Light, Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { add, addScaled, cross, dot, length, normalize, subtract } from "../units/index.ts";
import {
  CORNEA_RADIUS_M,
  corneaCentres,
  faceAngles,
  LIMBUS_RADIUS_M,
  lensPosition,
  noseTip,
  sitterFrame,
  towards,
} from "./face.ts";
import type { Catchlight, Pattern } from "./types.ts";

/** How far the nose tip stands before the cheek plane, mm (from memory). */
export const NOSE_TIP_MM = 20;

/** Where the shadow of the nose tip falls on the cheek plane, mm from below the tip; null from behind. */
export function noseShadow(
  azimuthDeg: number,
  elevationDeg: number,
  tipMm: number = NOSE_TIP_MM,
): { readonly xMm: number; readonly yMm: number } | null {
  if (Math.abs(azimuthDeg) >= 90) return null;
  const a = (azimuthDeg * Math.PI) / 180;
  const e = (elevationDeg * Math.PI) / 180;
  return { xMm: -tipMm * Math.tan(a), yMm: (-tipMm * Math.tan(e)) / Math.cos(a) };
}

type PatternName = Exclude<Pattern["name"], "none">;

interface Range {
  readonly name: PatternName;
  readonly azimuth: readonly [number, number];
  readonly elevation: readonly [number, number];
}

/** Common practice, no source: |azimuth| on the face and elevation of the main. */
const RANGES: readonly Range[] = [
  { name: "butterfly", azimuth: [0, 10], elevation: [25, 50] },
  { name: "loop", azimuth: [15, 45], elevation: [20, 45] },
  { name: "Rembrandt", azimuth: [40, 65], elevation: [25, 50] },
  { name: "split", azimuth: [75, 100], elevation: [-10, 25] },
  { name: "rim", azimuth: [110, 160], elevation: [-90, 90] },
];

/** Farther than this outside every range there is no pattern; within it of a range, that one is a neighbour. */
const NEAR_DEG = 15;

/** The best match for face angles and head yaw, with its neighbours. */
export function patternOf(azimuthDeg: number, elevationDeg: number, yawDeg: number): Pattern {
  const alpha = Math.abs(azimuthDeg);
  const byDistance = RANGES.map((range) => ({ range, off: degreesOutside(range, alpha, elevationDeg) })).sort(
    (a, b) => a.off - b.off || offCentre(a.range, alpha, elevationDeg) - offCentre(b.range, alpha, elevationDeg),
  );
  const near = byDistance.filter(({ off }) => off <= NEAR_DEG);
  const shadow = noseShadow(azimuthDeg, elevationDeg);
  return {
    name: near[0]?.range.name ?? "none",
    neighbours: near.slice(1).map(({ range }) => range.name),
    side: sideOf(azimuthDeg, yawDeg),
    noseShadowMm: shadow,
    eyeSockets: eyeSockets(alpha, elevationDeg),
  };
}

/** The pattern of the setup's main, or "none" without one. */
export function mainPattern(setup: Setup, main: Light | undefined, front: Front | undefined): Pattern {
  if (!main || !front || setup.subject.kind !== "person") {
    return { name: "none", neighbours: [], side: null, noseShadowMm: null, eyeSockets: "both lit" };
  }
  const angles = faceAngles(sitterFrame(setup), subtract(front.centre, noseTip(setup)));
  return patternOf(angles.azimuthDeg, angles.elevationDeg, setup.subject.headYawDeg);
}

/** A glint on the cornea in the picture: mm from the middle of the cornea, x to picture-right, y up. */
export interface Glint {
  readonly xMm: number;
  readonly yMm: number;
  /** Clock hour 0…12. */
  readonly clock: number;
}

/**
 * The glint of a point in a cornea looked at by a lens, both at finite distance: the half vector between
 * light and lens as seen from the glint itself, iterated until it stands still.
 */
export function glintOf(cornea: Vec3, light: Vec3, lens: Vec3): Glint {
  const view = towards(cornea, lens);
  const right = normalize(cross([0, 1, 0], view));
  const up = cross(view, right);
  let half = normalize(add(towards(cornea, light), view));
  for (let i = 0; i < 12; i++) {
    const spot = addScaled(cornea, half, CORNEA_RADIUS_M);
    half = normalize(add(towards(spot, light), towards(spot, lens)));
  }
  const [x, y] = [dot(half, right), dot(half, up)];
  const clock = (((((Math.atan2(x, y) * 180) / Math.PI) % 360) + 360) % 360) / 30;
  return { xMm: x * CORNEA_RADIUS_M * 1000, yMm: y * CORNEA_RADIUS_M * 1000, clock };
}

/** The catchlight of a front in the eye nearer to it; null when the front shows its back to the eye. */
export function catchlightOf(setup: Setup, light: Light, front: Front): Catchlight | null {
  const cornea = nearerEye(setup, front.centre);
  if (dot(front.normal, subtract(cornea, front.centre)) <= 0) return null;
  const lens = lensPosition(setup);
  const middle = glintOf(cornea, front.centre, lens);
  const corners = front.outline.map((vertex) => glintOf(cornea, vertex, lens));
  const spread = (values: readonly number[]): number =>
    values.length === 0 ? 0 : Math.max(...values) - Math.min(...values);
  return {
    lightId: light.id,
    clock: middle.clock,
    words: clockWords(middle.clock),
    widthMm: spread(corners.map((c) => c.xMm)),
    heightMm: spread(corners.map((c) => c.yMm)),
    insideIris: Math.hypot(middle.xMm, middle.yMm) <= LIMBUS_RADIUS_M * 1000,
  };
}

/** "at 12 o'clock" within a quarter of an hour, else "between 1 and 2 o'clock". */
export function clockWords(clock: number): string {
  const hour = (n: number): number => ((Math.round(n) + 11) % 12) + 1;
  const nearest = Math.round(clock);
  if (Math.abs(clock - nearest) <= 0.25) return `at ${hour(nearest)} o'clock`;
  return `between ${hour(Math.floor(clock))} and ${hour(Math.ceil(clock))} o'clock`;
}

function nearerEye(setup: Setup, point: Vec3): Vec3 {
  const [left, right] = corneaCentres(setup);
  return length(subtract(point, left)) <= length(subtract(point, right)) ? left : right;
}

const outside = (value: number, [low, high]: readonly [number, number]): number =>
  Math.max(low - value, value - high, 0);

const degreesOutside = (range: Range, azimuth: number, elevation: number): number =>
  Math.hypot(outside(azimuth, range.azimuth), outside(elevation, range.elevation));

const offCentre = (range: Range, azimuth: number, elevation: number): number =>
  Math.hypot(
    azimuth - (range.azimuth[0] + range.azimuth[1]) / 2,
    elevation - (range.elevation[0] + range.elevation[1]) / 2,
  );

/** Broad: the main lights the side of the face turned to the camera. Only when both angles exceed 10°. */
function sideOf(azimuthDeg: number, yawDeg: number): Pattern["side"] {
  if (Math.abs(azimuthDeg) <= 10 || Math.abs(yawDeg) <= 10) return null;
  return azimuthDeg * yawDeg < 0 ? "broad" : "short";
}

/** Both eyes lit wants at most 45…50° of elevation, less for deep brows (common practice, no source). */
function eyeSockets(azimuth: number, elevation: number): Pattern["eyeSockets"] {
  if (elevation > 50 || azimuth > 100) return "dark";
  return elevation > 45 || azimuth > 65 ? "far eye at risk" : "both lit";
}
