/**
 * Makers of fronts from a shape and a size. A pose says where the middle is, where it points and how it is
 * turned; `up` is squared up against the normal. Polygons run counter-clockwise seen from in front, with
 * x = up × normal to the right. Lengths in m, angles in degrees.
 */

import type { Vec3 } from "../units/index.ts";
import { addScaled, cross, dot, length, normalize } from "../units/index.ts";
import type { Front, FrontShape, Grid, IntensityField } from "./types.ts";

export interface Pose {
  readonly centre: Vec3;
  /** Direction of emission; any length but zero. */
  readonly normal: Vec3;
  /** Roughly upward in the front's plane; world up, or −Z when the front looks straight up or down, when absent. */
  readonly up?: Vec3;
  /** Turn about the normal, degrees, counter-clockwise seen from in front. */
  readonly rollDeg?: number;
}

/** What may be added to any front with an outline. */
export interface Dressing {
  readonly lipM?: number;
  readonly grid?: Grid;
  readonly hotCentre?: number;
}

export type OctagonSize = "across-flats" | "across-corners";

/** Corners of the polygon that stands for a round front: equal area, error < 0.0001 stop from d = r/2. */
export const ROUND_CORNERS = 24;

export function rectangleFront(pose: Pose, widthM: number, heightM: number, dressing: Dressing = {}): Front {
  const [w, h] = [widthM / 2, heightM / 2];
  return outlined(
    "rectangle",
    pose,
    [
      [w, -h],
      [w, h],
      [-w, h],
      [-w, -h],
    ],
    dressing,
  );
}

/** Regular octagon standing on a flat; say whether the size runs across flats or corners (ratio 0.924). */
export function octagonFront(pose: Pose, sizeM: number, across: OctagonSize, dressing: Dressing = {}): Front {
  const circumradius = across === "across-corners" ? sizeM / 2 : sizeM / 2 / Math.cos(Math.PI / 8);
  return outlined("octagon", pose, regular(8, circumradius, Math.PI / 8), dressing);
}

/** Round front as a 24-gon of equal area. */
export function discFront(pose: Pose, diameterM: number, dressing: Dressing = {}): Front {
  return outlined("disc", pose, round(diameterM), dressing);
}

/** Umbrella: a disc at the rim plane; the bright middle of the canopy is its hot centre. */
export function umbrellaFront(pose: Pose, diameterM: number, dressing: Dressing = {}): Front {
  return outlined("umbrella", pose, round(diameterM), dressing);
}

/** Bare tube: a point that shines alike all round. */
export function bareFront(pose: Pose): Front {
  return { shape: "bare", ...frame(pose), outline: [], areaM2: 0 };
}

/** Reflector with intensity I₀·cosⁿθ, n from its full width at half maximum. Diameter 0 makes it a point. */
export function lobeFront(pose: Pose, beamDeg: number, diameterM: number, dressing: Dressing = {}): Front {
  const lobeExponent = lobeExponentOf(beamDeg);
  if (diameterM > 0) return { ...outlined("lobe", pose, round(diameterM), dressing), lobeExponent };
  return { shape: "lobe", ...frame(pose), outline: [], areaM2: 0, ...dressing, lobeExponent };
}

/** Measured light: the field gives the shape of the beam, width and height the luminous opening (0: a point). */
export function measuredFront(
  pose: Pose,
  web: IntensityField,
  widthM = 0,
  heightM = 0,
  dressing: Dressing = {},
): Front {
  if (!(widthM > 0 && heightM > 0))
    return { shape: "measured", ...frame(pose), outline: [], areaM2: 0, ...dressing, web };
  return { ...rectangleFront(pose, widthM, heightM, dressing), shape: "measured", web };
}

/** n of cosⁿ from the full width at half maximum B < 180°: ln ½ / ln cos(B/2). */
export function lobeExponentOf(beamDeg: number): number {
  if (!(beamDeg > 0 && beamDeg < 180))
    throw new RangeError(`a beam is wider than 0 and narrower than 180 degrees, not ${beamDeg}`);
  return Math.log(0.5) / Math.log(Math.cos((beamDeg * Math.PI) / 360));
}

/** On-axis gain of a cosⁿ lobe over a Lambertian front of equal flux: (n + 1)/2. */
export const lobeGain = (n: number): number => (n + 1) / 2;

/** Flux of a lobe with on-axis intensity I₀: 2π·I₀/(n + 1). */
export const lobeFlux = (axialIntensity: number, n: number): number => (2 * Math.PI * axialIntensity) / (n + 1);

/** Right-hand direction of a front seen from in front: up × normal. */
export const rightOf = (front: Pick<Front, "normal" | "up">): Vec3 => cross(front.up, front.normal);

function round(diameterM: number): [number, number][] {
  const step = (2 * Math.PI) / ROUND_CORNERS;
  // ½·n·R²·sin(2π/n) = π·r² gives the circumradius of equal area.
  return regular(ROUND_CORNERS, (diameterM / 2) * Math.sqrt(step / Math.sin(step)), 0);
}

function regular(corners: number, circumradius: number, start: number): [number, number][] {
  return Array.from({ length: corners }, (_, i) => {
    const angle = start + (2 * Math.PI * i) / corners;
    return [circumradius * Math.cos(angle), circumradius * Math.sin(angle)];
  });
}

function outlined(
  shape: FrontShape,
  pose: Pose,
  plane: readonly (readonly [number, number])[],
  dressing: Dressing,
): Front {
  const placed = frame(pose);
  const right = rightOf(placed);
  const outline = plane.map(([x, y]) => addScaled(addScaled(placed.centre, right, x), placed.up, y));
  return { shape, ...placed, outline, areaM2: planeArea(plane), ...dressing };
}

function planeArea(plane: readonly (readonly [number, number])[]): number {
  let sum = 0;
  plane.forEach(([x0, y0], i) => {
    const [x1, y1] = plane[(i + 1) % plane.length] as readonly [number, number];
    sum += x0 * y1 - x1 * y0;
  });
  return sum / 2;
}

function frame(pose: Pose): { centre: Vec3; normal: Vec3; up: Vec3 } {
  const normal = normalize(pose.normal);
  if (length(normal) === 0) throw new RangeError("a front needs a direction");
  let wish: Vec3 = pose.up ?? [0, 1, 0];
  if (length(cross(wish, normal)) < 1e-9) wish = Math.abs(normal[1]) > 0.9 ? [0, 0, -1] : [0, 1, 0];
  const square = normalize(addScaled(wish, normal, -dot(wish, normal)));
  const roll = ((pose.rollDeg ?? 0) * Math.PI) / 180;
  // Counter-clockwise seen from in front turns up toward −right.
  const up = normalize(addScaled(addScaled([0, 0, 0], square, Math.cos(roll)), cross(square, normal), -Math.sin(roll)));
  return { centre: pose.centre, normal, up };
}
