/**
 * Ray tests against the analytic things that stop light: ellipsoids, capsules, plane polygons. A test is made
 * for one starting point and asked for many ends. Touching is not stopping: rays that only graze, or whose
 * occluder begins at either end, pass. Lengths in m, world axes.
 */

import type { Vec3 } from "../units/index.ts";
import { addScaled, cross, dot, normalize, scale, subtract } from "../units/index.ts";
import type { Occluder } from "./types.ts";

export type RayTest = (x: number, y: number, z: number) => boolean;

/** Rays that only graze, within this many metres (or this part of the ray), are not stopped. */
export const GRAZE = 1e-6;
/** Whether the open segment from `from` to `to` meets the occluder. */
export function isBlocked(occluder: Occluder, from: Vec3, to: Vec3): boolean {
  return tester(occluder, from)(to[0], to[1], to[2]);
}

/** One test per occluder for rays that leave `from`: true when the ray to (x, y, z) is stopped. */
export const rayTests = (occluders: readonly Occluder[], from: Vec3): RayTest[] =>
  occluders.map((occluder) => tester(occluder, from));

function tester(occluder: Occluder, from: Vec3): RayTest {
  if (occluder.kind === "ellipsoid") return ellipsoidTest(occluder, from);
  if (occluder.kind === "capsule") return capsuleTest(occluder, from);
  return polygonTest(occluder.points, from);
}

/** In the space where the ellipsoid is the unit sphere: |o + t·d|² = 1 with a root range that meets (0, 1). */
function ellipsoidTest(occluder: Extract<Occluder, { kind: "ellipsoid" }>, from: Vec3): RayTest {
  const [a, b, c] = occluder.axes.map(overSquare) as [Vec3, Vec3, Vec3];
  const [ax, ay, az] = a;
  const [bx, by, bz] = b;
  const [cx, cy, cz] = c;
  const [fx, fy, fz] = from;
  const start = subtract(from, occluder.centre);
  const [ox, oy, oz] = [dot(a, start), dot(b, start), dot(c, start)];
  const outside = ox * ox + oy * oy + oz * oz - 1;
  return (x, y, z) => {
    const wx = x - fx;
    const wy = y - fy;
    const wz = z - fz;
    const dx = ax * wx + ay * wy + az * wz;
    const dy = bx * wx + by * wy + bz * wz;
    const dz = cx * wx + cy * wy + cz * wz;
    const half = ox * dx + oy * dy + oz * dz;
    const dd = dx * dx + dy * dy + dz * dz;
    const square = half * half - dd * outside;
    if (square <= 0) return false;
    const root = Math.sqrt(square);
    const far = (root - half) / dd;
    const near = (-root - half) / dd;
    return far > GRAZE && near < 1 - GRAZE && far - Math.max(0, near) > GRAZE;
  };
}

/** The row that measures a vector along a semi-axis in units of that semi-axis. */
export const overSquare = (axis: Vec3): Vec3 => scale(axis, 1 / dot(axis, axis));

/** Blocked when the segment comes nearer to the capsule's own segment than its radius (less a graze). */
function capsuleTest(occluder: Extract<Occluder, { kind: "capsule" }>, from: Vec3): RayTest {
  const limit = Math.max(0, occluder.radiusM - GRAZE) ** 2;
  const [fx, fy, fz] = from;
  const [sx, sy, sz] = subtract(occluder.b, occluder.a);
  const [ox, oy, oz] = subtract(from, occluder.a);
  const spine2 = sx * sx + sy * sy + sz * sz;
  const f = sx * ox + sy * oy + sz * oz;
  return (x, y, z) => {
    const rx = x - fx;
    const ry = y - fy;
    const rz = z - fz;
    // Nearest points s on the ray and t on the spine, both in 0…1 (Ericson 2005, from memory).
    const ray2 = rx * rx + ry * ry + rz * rz;
    const cosine = rx * sx + ry * sy + rz * sz;
    const c = rx * ox + ry * oy + rz * oz;
    const denominator = ray2 * spine2 - cosine * cosine;
    let s = denominator > 1e-15 ? clamp01((cosine * f - c * spine2) / denominator) : 0;
    let t = spine2 > 0 ? (cosine * s + f) / spine2 : 0;
    if (t < 0 || t > 1) {
      t = clamp01(t);
      s = clamp01((cosine * t - c) / ray2);
    }
    const gx = ox + s * rx - t * sx;
    const gy = oy + s * ry - t * sy;
    const gz = oz + s * rz - t * sz;
    return gx * gx + gy * gy + gz * gz < limit;
  };
}

export const clamp01 = (x: number): number => Math.min(1, Math.max(0, x));

/** A plane polygon's own frame: a corner, two directions in the plane, its normal, its corners as x, y pairs. */
interface PlaneFrame {
  readonly origin: Vec3;
  readonly u: Vec3;
  readonly v: Vec3;
  readonly normal: Vec3;
  readonly flat: Float64Array;
}

/** Kept beside the corners, which never change. */
const keptFrames = new WeakMap<readonly Vec3[], PlaneFrame>();

function frameOf(points: readonly Vec3[]): PlaneFrame {
  const known = keptFrames.get(points);
  if (known) return known;
  const [origin, next] = points as [Vec3, Vec3];
  const u = normalize(subtract(next, origin));
  let normal: Vec3 = [0, 0, 0];
  for (let i = 2; i < points.length; i++) {
    normal = addScaled(normal, cross(subtract(points[i - 1] as Vec3, origin), subtract(points[i] as Vec3, origin)), 1);
  }
  normal = normalize(normal);
  const v = cross(normal, u);
  const flat = Float64Array.from(
    points.flatMap((corner) => [dot(subtract(corner, origin), u), dot(subtract(corner, origin), v)]),
  );
  const frame = { origin, u, v, normal, flat };
  keptFrames.set(points, frame);
  return frame;
}

/** A plane polygon of any shape: where the ray meets the plane, crossings counted in the plane. */
function polygonTest(points: readonly Vec3[], from: Vec3): RayTest {
  if (points.length < 3) return () => false;
  const { origin, u, v, normal, flat } = frameOf(points);
  const start = subtract(from, origin);
  const [height, startU, startV] = [dot(start, normal), dot(start, u), dot(start, v)];
  const [fx, fy, fz] = from;
  const [nx, ny, nz] = normal;
  const [ux, uy, uz] = u;
  const [vx, vy, vz] = v;
  // Thousands of rays a shadow: plain numbers, nothing allocated.
  return (x, y, z) => {
    const rx = x - fx;
    const ry = y - fy;
    const rz = z - fz;
    const fall = rx * nx + ry * ny + rz * nz;
    const t = fall === 0 ? -1 : -height / fall;
    if (!(t > GRAZE && t < 1 - GRAZE)) return false;
    return isWithin(flat, startU + t * (rx * ux + ry * uy + rz * uz), startV + t * (rx * vx + ry * vy + rz * vz));
  };
}

/** Even-odd rule; `corners` as x, y pairs. */
function isWithin(corners: Float64Array, x: number, y: number): boolean {
  let inside = false;
  let x0 = corners[corners.length - 2] as number;
  let y0 = corners[corners.length - 1] as number;
  for (let i = 0; i < corners.length; i += 2) {
    const x1 = corners[i] as number;
    const y1 = corners[i + 1] as number;
    if (y0 > y !== y1 > y && x < x0 + ((x1 - x0) * (y - y0)) / (y1 - y0)) inside = !inside;
    x0 = x1;
    y0 = y1;
  }
  return inside;
}
