/**
 * How much of a front's light reaches a point past heads, bodies and flags: the front is sampled at
 * midpoints (32 × 32 over its bounding box, those inside the outline), each weighted by what the receptor
 * would get from it, each tested against every occluder that stands near the cone of rays. Deterministic;
 * no occluder in the way costs a few multiplications. A receiver on an occluder's skin is shaded by it only
 * where the ray goes inward; one buried inside is dark, so lift points to the skin first.
 */

import type { Vec3 } from "../units/index.ts";
import { addScaled, cross, distance, dot, length, normalize, subtract } from "../units/index.ts";
import type { Local, Weighting } from "./kernel.ts";
import { emissionAt, gridPasses, responseAt } from "./kernel.ts";
import { containsPoint } from "./planar.ts";
import type { Prepared } from "./prepared.ts";
import type { Occluder } from "./types.ts";

/** Rays that only graze, within this many metres (or this part of the ray), are not stopped. */
const GRAZE = 1e-6;
/** Samples along each side of the outline's bounding box: 32 keeps partial shadows within 0.01 stop. */
export const USUAL_SIDE = 32;

/** Whether the open segment from `from` to `to` meets the occluder. */
export function isBlocked(occluder: Occluder, from: Vec3, to: Vec3): boolean {
  return tester(occluder, from)(to[0], to[1], to[2]);
}

/** One test per occluder for rays that leave `from`: true when the ray to (x, y, z) is stopped. */
export const rayTests = (occluders: readonly Occluder[], from: Vec3): RayTest[] =>
  occluders.map((occluder) => tester(occluder, from));

/** Fraction 0…1 of the front's weight that gets through; 1 when nothing stands near the rays. */
export function visibleFraction(
  p: Prepared,
  at: Local,
  point: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[],
  side: number = USUAL_SIDE,
): number {
  const centre: Vec3 = [p.cx, p.cy, p.cz];
  const near = occluders.filter((occluder) => mayStand(occluder, point, centre, p.radiusM));
  if (near.length === 0) return 1;
  const tests = rayTests(near, point);
  if (p.corners === 0) return tests.some((test) => test(p.cx, p.cy, p.cz)) ? 0 : 1;
  const samples = samplesOf(p, side);
  let all = 0;
  let seen = 0;
  for (let i = 0; i < samples.length; i += 3) {
    const x = samples[i] as number;
    const y = samples[i + 1] as number;
    const weight = weightAt(p, at, x, y, samples[i + 2] as number, receptor);
    if (weight === 0) continue;
    all += weight;
    const wx = p.cx + x * p.rx + y * p.ux;
    const wy = p.cy + x * p.ry + y * p.uy;
    const wz = p.cz + x * p.rz + y * p.uz;
    let open = true;
    for (let k = 0; k < tests.length && open; k++) open = !(tests[k] as RayTest)(wx, wy, wz);
    if (open) seen += weight;
  }
  return all > 0 ? seen / all : 1;
}

export type RayTest = (x: number, y: number, z: number) => boolean;

const keptSamples = new WeakMap<Prepared, Map<number, Float64Array>>();

/** x, y and ρ² (0 at the centre, 1 at the rim) of each sample. */
function samplesOf(p: Prepared, side: number): Float64Array {
  const bySide = keptSamples.get(p) ?? new Map<number, Float64Array>();
  keptSamples.set(p, bySide);
  const known = bySide.get(side);
  if (known) return known;
  let [left, right, low, high] = [0, 0, 0, 0];
  for (let i = 0; i < p.corners; i++) {
    left = Math.min(left, p.xy[2 * i] as number);
    right = Math.max(right, p.xy[2 * i] as number);
    low = Math.min(low, p.xy[2 * i + 1] as number);
    high = Math.max(high, p.xy[2 * i + 1] as number);
  }
  const found: number[] = [];
  for (let i = 0; i < side; i++) {
    for (let j = 0; j < side; j++) {
      const x = left + ((right - left) * (i + 0.5)) / side;
      const y = low + ((high - low) * (j + 0.5)) / side;
      if (containsPoint(p.xy, p.corners, x, y)) found.push(x, y, gauge(p, x, y) ** 2);
    }
  }
  const samples = Float64Array.from(found);
  bySide.set(side, samples);
  return samples;
}

/** How far out (x, y) is, as a part of the way from the centre to the rim. */
function gauge(p: Prepared, x: number, y: number): number {
  let most = 0;
  for (let i = 0; i < p.corners; i++) {
    const j = i + 1 === p.corners ? 0 : i + 1;
    const ex = (p.xy[2 * j] as number) - (p.xy[2 * i] as number);
    const ey = (p.xy[2 * j + 1] as number) - (p.xy[2 * i + 1] as number);
    const edge = ey * (p.xy[2 * i] as number) - ex * (p.xy[2 * i + 1] as number);
    most = Math.max(most, (ey * x - ex * y) / edge);
  }
  return most;
}

function weightAt(p: Prepared, at: Local, x: number, y: number, rho2: number, receptor: Weighting): number {
  const dx = x - at.px;
  const dy = y - at.py;
  const d2 = dx * dx + dy * dy + at.h * at.h;
  const d = Math.sqrt(d2);
  let weight = responseAt(receptor, (at.ax * dx + at.ay * dy - at.az * at.h) / d) / (d2 * d);
  if (p.gridRatio > 0) weight *= gridPasses(p, dx, dy, at.h);
  if (p.lobe !== 1 || p.web) weight *= emissionAt(p, -dx, -dy, at.h / d);
  if (p.hot !== 0) weight *= 1 - p.hot * rho2;
  if (weight > 0 && p.lipM > 0 && !clearsLip(p, at, dx, dy)) return 0;
  return weight;
}

/** Whether the ray from the receiver to the sample passes inside the lip's rim. */
function clearsLip(p: Prepared, at: Local, dx: number, dy: number): boolean {
  if (at.h <= p.lipM) return true;
  const t = 1 - p.lipM / at.h;
  return containsPoint(p.xy, p.corners, at.px + t * dx, at.py + t * dy);
}

interface Ball {
  readonly centre: Vec3;
  readonly radius: number;
}

function ballAround(occluder: Occluder): Ball {
  if (occluder.kind === "ellipsoid") {
    return { centre: occluder.centre, radius: Math.max(...occluder.axes.map(length)) };
  }
  if (occluder.kind === "capsule") {
    const middle = addScaled(occluder.a, subtract(occluder.b, occluder.a), 0.5);
    return { centre: middle, radius: distance(occluder.a, occluder.b) / 2 + occluder.radiusM };
  }
  let sum: Vec3 = [0, 0, 0];
  for (const corner of occluder.points) sum = addScaled(sum, corner, 1 / occluder.points.length);
  return { centre: sum, radius: Math.max(0, ...occluder.points.map((corner) => distance(corner, sum))) };
}

/** Whether the occluder's ball touches the cone from the point around the front's ball. Never misses one. */
function mayStand(occluder: Occluder, point: Vec3, centre: Vec3, frontRadius: number): boolean {
  const ball = ballAround(occluder);
  const reach = distance(point, centre);
  if (reach <= frontRadius) return true;
  const axis = normalize(subtract(centre, point));
  const offset = subtract(ball.centre, point);
  const along = dot(offset, axis);
  if (along < -ball.radius || along > reach + frontRadius + ball.radius) return false;
  const aside = Math.sqrt(Math.max(0, dot(offset, offset) - along * along));
  const sine = frontRadius / reach;
  const cosine = Math.sqrt(1 - sine * sine);
  return aside * cosine - along * sine <= ball.radius;
}

function tester(occluder: Occluder, from: Vec3): RayTest {
  if (occluder.kind === "ellipsoid") return ellipsoidTest(occluder, from);
  if (occluder.kind === "capsule") return capsuleTest(occluder, from);
  return polygonTest(occluder.points, from);
}

/** In the space where the ellipsoid is the unit sphere: |o + t·d|² = 1 with a root range that meets (0, 1). */
function ellipsoidTest(occluder: Extract<Occluder, { kind: "ellipsoid" }>, from: Vec3): RayTest {
  const [a, b, c] = occluder.axes.map((axis) => scaleBySquare(axis)) as [Vec3, Vec3, Vec3];
  const start = subtract(from, occluder.centre);
  const [ox, oy, oz] = [dot(a, start), dot(b, start), dot(c, start)];
  const outside = ox * ox + oy * oy + oz * oz - 1;
  return (x, y, z) => {
    const [wx, wy, wz] = [x - from[0], y - from[1], z - from[2]];
    const dx = a[0] * wx + a[1] * wy + a[2] * wz;
    const dy = b[0] * wx + b[1] * wy + b[2] * wz;
    const dz = c[0] * wx + c[1] * wy + c[2] * wz;
    const dd = dx * dx + dy * dy + dz * dz;
    const half = ox * dx + oy * dy + oz * dz;
    const root = half * half - dd * outside;
    if (root <= 0) return false;
    const far = (-half + Math.sqrt(root)) / dd;
    const near = (-half - Math.sqrt(root)) / dd;
    return far > GRAZE && near < 1 - GRAZE && far - Math.max(0, near) > GRAZE;
  };
}

const scaleBySquare = (axis: Vec3): Vec3 => {
  const square = dot(axis, axis);
  return [axis[0] / square, axis[1] / square, axis[2] / square];
};

/** Blocked when the segment comes nearer to the capsule's own segment than its radius (less a graze). */
function capsuleTest(occluder: Extract<Occluder, { kind: "capsule" }>, from: Vec3): RayTest {
  const limit = Math.max(0, occluder.radiusM - GRAZE) ** 2;
  const spine = subtract(occluder.b, occluder.a);
  const start = subtract(from, occluder.a);
  const spine2 = dot(spine, spine);
  return (x, y, z) => {
    const ray: Vec3 = [x - from[0], y - from[1], z - from[2]];
    return nearestSquared(ray, spine, spine2, start) < limit;
  };
}

/** Squared distance of segments start + s·ray and t·spine, s and t in 0…1 (Ericson 2005, from memory). */
function nearestSquared(ray: Vec3, spine: Vec3, spine2: number, start: Vec3): number {
  const ray2 = dot(ray, ray);
  const cosine = dot(ray, spine);
  const c = dot(ray, start);
  const f = dot(spine, start);
  const denominator = ray2 * spine2 - cosine * cosine;
  let s = denominator > 1e-15 ? clamp01((cosine * f - c * spine2) / denominator) : 0;
  let t = spine2 > 0 ? (cosine * s + f) / spine2 : 0;
  if (t < 0 || t > 1) {
    t = clamp01(t);
    s = clamp01((cosine * t - c) / ray2);
  }
  const gap = addScaled(addScaled(start, ray, s), spine, -t);
  return dot(gap, gap);
}

const clamp01 = (x: number): number => Math.min(1, Math.max(0, x));

/** A plane polygon of any shape: where the ray meets the plane, crossings counted in the plane. */
function polygonTest(points: readonly Vec3[], from: Vec3): RayTest {
  const origin = points[0];
  const next = points[1];
  if (!origin || !next || points.length < 3) return () => false;
  const u = normalize(subtract(next, origin));
  let normal: Vec3 = [0, 0, 0];
  for (let i = 2; i < points.length; i++) {
    normal = addScaled(normal, cross(subtract(points[i - 1] as Vec3, origin), subtract(points[i] as Vec3, origin)), 1);
  }
  normal = normalize(normal);
  const v = cross(normal, u);
  const flat = points.map((corner) => [dot(subtract(corner, origin), u), dot(subtract(corner, origin), v)] as const);
  const start = subtract(from, origin);
  const height = dot(start, normal);
  return (x, y, z) => {
    const ray: Vec3 = [x - from[0], y - from[1], z - from[2]];
    const fall = dot(ray, normal);
    const t = fall === 0 ? -1 : -height / fall;
    if (!(t > GRAZE && t < 1 - GRAZE)) return false;
    const hit = addScaled(start, ray, t);
    return isWithin(flat, dot(hit, u), dot(hit, v));
  };
}

function isWithin(corners: readonly (readonly [number, number])[], x: number, y: number): boolean {
  let inside = false;
  for (let i = 0; i < corners.length; i++) {
    const [x0, y0] = corners[(i + corners.length - 1) % corners.length] as readonly [number, number];
    const [x1, y1] = corners[i] as readonly [number, number];
    if (y0 > y !== y1 > y && x < x0 + ((x1 - x0) * (y - y0)) / (y1 - y0)) inside = !inside;
  }
  return inside;
}
