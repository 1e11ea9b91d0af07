/**
 * Does a front show in spectacles? Camera rays are mirrored at a grid of points on each curved lens and
 * tested against the front's outline: exact mirror law on a sphere. Radius of the front surface
 * 530 mm/base curve (tool index 1.53, from memory); half height 18 mm, half width 26 mm, vertex distance
 * 13 mm (textbooks of dispensing, from memory). Tilt τ turns the lens's face down. Lengths in m.
 */

import type { Front } from "../photometry/index.ts";
import type { Light, Setup, Spectacles } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { add, addScaled, cross, dot, normalize, scale, subtract } from "../units/index.ts";
import { CORNEA_RADIUS_M, corneaCentres, type FaceFrame, faceFrame, lensPosition } from "./face.ts";
import type { Glare } from "./types.ts";

const HALF_HEIGHT_M = 0.018;
const HALF_WIDTH_M = 0.026;
const VERTEX_DISTANCE_M = 0.013;
/** Mirrored rays stand about 2.5 degrees apart: finer than any front looks from a face. */
const ROWS = 19;
const COLUMNS = 27;

/** Radius of a spectacle lens's front surface, mm. */
export const lensRadiusMm = (baseCurveD: number): number => 530 / baseCurveD;

/** How far the lens's normal leans away from its middle at a half size, degrees: asin(half/R). */
export const normalSpreadDeg = (halfMm: number, radiusMm: number): number =>
  (Math.asin(halfMm / radiusMm) * 180) / Math.PI;

/** The mirrored direction of a ray that arrives at a surface: `toward` points from the surface to the ray's source. */
export const mirrored = (toward: Vec3, normal: Vec3): Vec3 => subtract(scale(normal, 2 * dot(toward, normal)), toward);

/** A spot on a lens: the row (0 bottom … 1 top), the column (0 camera left … 1 right), where and how it faces. */
export interface LensSpot {
  readonly row: number;
  readonly column: number;
  readonly point: Vec3;
  readonly normal: Vec3;
}

/** The grid of spots on a lens whose middle is `middle`. */
export function lensSpots(middle: Vec3, frame: FaceFrame, spectacles: Spectacles): LensSpot[] {
  const radius = lensRadiusMm(spectacles.baseCurveD) / 1000;
  const tilt = (spectacles.tiltDeg * Math.PI) / 180;
  // The lens's own frame: the face's, turned down by the tilt.
  const out = normalize(add(scale(frame.out, Math.cos(tilt)), scale(frame.up, -Math.sin(tilt))));
  const up = cross(out, frame.right);
  const centre = addScaled(middle, out, -radius);
  const spots: LensSpot[] = [];
  for (let i = 0; i < ROWS; i++) {
    for (let j = 0; j < COLUMNS; j++) {
      const row = i / (ROWS - 1);
      const column = j / (COLUMNS - 1);
      const [y, x] = [(2 * row - 1) * HALF_HEIGHT_M, (2 * column - 1) * HALF_WIDTH_M];
      const outward = Math.sqrt(Math.max(0, radius * radius - x * x - y * y));
      const normal = normalize(add(add(scale(frame.right, x), scale(up, y)), scale(out, outward)));
      spots.push({ row, column, point: addScaled(centre, normal, radius), normal });
    }
  }
  return spots;
}

/** A camera ray mirrored by a lens: where it leaves and where it goes. */
interface MirroredRay extends LensSpot {
  readonly lens: "left" | "right";
  readonly ray: Vec3;
}

/** Which fronts show in the sitter's spectacles, and where; empty without spectacles. */
export function glareReports(
  setup: Setup,
  lights: readonly { readonly light: Light; readonly front: Front }[],
): readonly Glare[] {
  const { spectacles } = setup.subject;
  if (!spectacles || setup.subject.kind !== "person") return [];
  const rays = mirroredRays(setup, spectacles);
  return lights.map(({ light, front }) => {
    const hits = rays.filter((ray) => showsIn(ray, front));
    return { lightId: light.id, shows: hits.length > 0, where: hits.length > 0 ? whereWords(hits) : "" };
  });
}

function mirroredRays(setup: Setup, spectacles: Spectacles): MirroredRay[] {
  const frame = faceFrame(setup.subject.headYawDeg, setup.subject.headPitchDeg);
  const camera = lensPosition(setup);
  return corneaCentres(setup).flatMap((cornea, i) => {
    const middle = addScaled(cornea, frame.out, CORNEA_RADIUS_M + VERTEX_DISTANCE_M);
    return lensSpots(middle, frame, spectacles).flatMap((spot): MirroredRay[] => {
      const toCamera = normalize(subtract(camera, spot.point));
      if (dot(toCamera, spot.normal) <= 0) return [];
      return [{ ...spot, lens: i === 0 ? "left" : "right", ray: mirrored(toCamera, spot.normal) }];
    });
  });
}

/** A point-like front counts as a ball of this radius. */
const SMALL_SOURCE_M = 0.05;

const showsIn = ({ point, ray }: MirroredRay, front: Front): boolean =>
  front.outline.length < 3 ? passesNear(point, ray, front.centre) : hitsFront(point, ray, front);

/** Ray against a one-sided convex outline, counter-clockwise seen from in front. */
function hitsFront(origin: Vec3, ray: Vec3, front: Front): boolean {
  const facing = dot(ray, front.normal);
  if (facing >= 0) return false;
  const t = dot(subtract(front.centre, origin), front.normal) / facing;
  if (t <= 0) return false;
  const hit = addScaled(origin, ray, t);
  return front.outline.every((vertex, i) => {
    const next = front.outline[(i + 1) % front.outline.length] as Vec3;
    return dot(cross(subtract(next, vertex), subtract(hit, vertex)), front.normal) >= 0;
  });
}

function passesNear(origin: Vec3, ray: Vec3, centre: Vec3): boolean {
  const toCentre = subtract(centre, origin);
  const along = dot(toCentre, ray);
  if (along <= 0) return false;
  const off = subtract(toCentre, scale(ray, along));
  return dot(off, off) <= SMALL_SOURCE_M * SMALL_SOURCE_M;
}

/** "top of both lenses", "middle of the lens camera left". */
function whereWords(hits: readonly MirroredRay[]): string {
  const row = hits.reduce((sum, hit) => sum + hit.row, 0) / hits.length;
  const height = row > 0.62 ? "top" : row < 0.38 ? "bottom" : "middle";
  const [left, right] = [hits.some(({ lens }) => lens === "left"), hits.some(({ lens }) => lens === "right")];
  return left && right ? `${height} of both lenses` : `${height} of the lens camera ${left ? "left" : "right"}`;
}
