/**
 * A uniform Lambertian polygon anywhere in space, seen by a small receptor: clipping, vector irradiance,
 * solid angle, and the two receptors in closed form (Lambert 1760; Arvo 1995 and Van Oosterom
 * & Strackee 1983, from memory). Polygons are planar and convex, vertices counter-clockwise seen from the
 * side that emits; a receiver behind or in the plane gets nothing. Results are per unit luminance.
 */

import type { Vec3 } from "../units/index.ts";
import { add, addScaled, cross, dot, length, scale, subtract } from "../units/index.ts";
import type { ReceptorKind } from "./types.ts";

/** Vertices with axis·(v − point) ≥ 0, new vertices where edges cross (Sutherland & Hodgman 1974). */
export function clipToHalfSpace(polygon: readonly Vec3[], point: Vec3, axis: Vec3): Vec3[] {
  const kept: Vec3[] = [];
  for (let i = 0; i < polygon.length; i++) {
    const from = polygon[(i + polygon.length - 1) % polygon.length] as Vec3;
    const to = polygon[i] as Vec3;
    const s0 = dot(axis, subtract(from, point));
    const s1 = dot(axis, subtract(to, point));
    if ((s0 < 0 && s1 > 0) || (s0 > 0 && s1 < 0)) kept.push(addScaled(from, subtract(to, from), s0 / (s0 - s1)));
    if (s1 >= 0) kept.push(to);
  }
  return kept.length < 3 ? [] : kept;
}

/** Area vector: its length is the area, its direction the side that emits. */
export function areaVector(polygon: readonly Vec3[]): Vec3 {
  const origin = polygon[0];
  if (!origin) return [0, 0, 0];
  let sum: Vec3 = [0, 0, 0];
  for (let i = 2; i < polygon.length; i++) {
    sum = add(sum, cross(subtract(polygon[i - 1] as Vec3, origin), subtract(polygon[i] as Vec3, origin)));
  }
  return scale(sum, 0.5);
}

/** Whether the point is on the side that emits, and off the plane. */
export function isInFront(polygon: readonly Vec3[], point: Vec3): boolean {
  const origin = polygon[0];
  if (!origin) return false;
  const normal = areaVector(polygon);
  return dot(normal, subtract(point, origin)) > 1e-12 * length(normal);
}

/** Φ = −½·Σ θ_i·γ_i: points at the source; its component along n is E/L of a surface that sees all of it. */
export function vectorIrradiance(polygon: readonly Vec3[], point: Vec3): Vec3 {
  let sum: Vec3 = [0, 0, 0];
  for (let i = 0; i < polygon.length; i++) {
    const a = subtract(polygon[i] as Vec3, point);
    const b = subtract(polygon[(i + 1) % polygon.length] as Vec3, point);
    const normal = cross(a, b);
    const sine = length(normal);
    if (sine > 0) sum = addScaled(sum, normal, -0.5 * (Math.atan2(sine, dot(a, b)) / sine));
  }
  return sum;
}

/** Solid angle in sr of the whole polygon, positive when seen from its emitting side. */
export function solidAngle(polygon: readonly Vec3[], point: Vec3): number {
  const a = polygon[0] ? subtract(polygon[0], point) : ([0, 0, 0] as Vec3);
  let sum = 0;
  for (let i = 2; i < polygon.length; i++) {
    const b = subtract(polygon[i - 1] as Vec3, point);
    const c = subtract(polygon[i] as Vec3, point);
    const [la, lb, lc] = [length(a), length(b), length(c)];
    sum -= 2 * Math.atan2(dot(a, cross(b, c)), la * lb * lc + dot(a, b) * lc + dot(a, c) * lb + dot(b, c) * la);
  }
  return sum;
}

/** E/L on a flat receptor: the polygon clipped to its half-space, then Φ·n. 0 from behind or in plane. */
export function discFactor(polygon: readonly Vec3[], point: Vec3, axis: Vec3): number {
  if (!isInFront(polygon, point)) return 0;
  return Math.max(0, dot(vectorIrradiance(clipToHalfSpace(polygon, point, axis), point), axis));
}

/** M/L on a dome, r = (1 + cos θ)/2: ½·(Ω + Φ·n) of the whole polygon, any aim. */
export function domeFactor(polygon: readonly Vec3[], point: Vec3, axis: Vec3): number {
  if (!isInFront(polygon, point)) return 0;
  return Math.max(0, 0.5 * (solidAngle(polygon, point) + dot(vectorIrradiance(polygon, point), axis)));
}

/** Either receptor. */
export function polygonFactor(kind: ReceptorKind, polygon: readonly Vec3[], point: Vec3, axis: Vec3): number {
  return kind === "disc" ? discFactor(polygon, point, axis) : domeFactor(polygon, point, axis);
}

/** Configuration factor F of a flat receptor: E = π·L·F. */
export const configurationFactor = (polygon: readonly Vec3[], point: Vec3, axis: Vec3): number =>
  discFactor(polygon, point, axis) / Math.PI;
