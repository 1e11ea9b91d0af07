/**
 * How much of a front's light reaches a point past heads, bodies and flags. The front is sampled at the
 * points of a Fibonacci lattice over its bounding box (those inside the outline; Niederreiter 1992, from
 * memory): edges and thin poles cross such a lattice evenly, where a square one lets them slip between its
 * columns. Each point is weighted by what the receptor would get from it and tested against every occluder
 * that stands near the cone of rays. Deterministic; with nothing in the way it costs a few multiplications. A
 * receiver on an occluder's skin is shaded by it only where the ray goes inward; one buried inside is dark,
 * so lift points to the skin first.
 */

import type { Vec3 } from "../units/index.ts";
import { addScaled, distance, dot, length, normalize, subtract } from "../units/index.ts";
import type { Local, Weighting } from "./kernel.ts";
import { emissionAt, gridPasses, responseAt } from "./kernel.ts";
import { containsPoint } from "./planar.ts";
import type { Prepared } from "./prepared.ts";
import type { RayTest } from "./ray-tests.ts";
import { clamp01, GRAZE, overSquare, rayTests } from "./ray-tests.ts";
import type { Occluder } from "./types.ts";

/** How closely a shadow is looked at: fine keeps the seen part within 0.01, rough within 0.05. */
export type ShadeDetail = "fine" | "rough";

/** Neighbours in the Fibonacci row: number of points and the step of the lattice. */
const FINE = [987, 610] as const;
const COARSE = [233, 144] as const;
const ROUGH = [55, 34] as const;
type Lattice = readonly [points: number, step: number];

/** Fraction 0…1 of the front's weight that gets through; 1 when nothing stands near the rays. */
export function visibleFraction(
  p: Prepared,
  at: Local,
  point: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[],
  detail: ShadeDetail = "fine",
): number {
  const centre: Vec3 = [p.cx, p.cy, p.cz];
  const near = occluders.filter(
    (occluder) => mayStand(occluder, point, centre, p.radiusM) && !isBehindMeter(occluder, point, p),
  );
  if (near.length === 0) return 1;
  const tests = rayTests(near, point);
  if (p.corners === 0) return tests.some((test) => test(p.cx, p.cy, p.cz)) ? 0 : 1;
  if (detail === "rough") return sampledFraction(p, at, receptor, tests, ROUGH);
  // A quarter of the points settles most cases: all open or all dark.
  const coarse = sampledFraction(p, at, receptor, tests, COARSE);
  return coarse === 0 || coarse === 1 ? coarse : sampledFraction(p, at, receptor, tests, FINE);
}

function sampledFraction(p: Prepared, at: Local, receptor: Weighting, tests: RayTest[], lattice: Lattice): number {
  const samples = samplesOf(p, lattice);
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

const keptSamples = new WeakMap<Prepared, Map<Lattice, Float64Array>>();

/** x, y and ρ² (0 at the centre, 1 at the rim) of each sample. */
function samplesOf(p: Prepared, lattice: Lattice): Float64Array {
  const byLattice = keptSamples.get(p) ?? new Map<Lattice, Float64Array>();
  keptSamples.set(p, byLattice);
  const known = byLattice.get(lattice);
  if (known) return known;
  let [left, right, low, high] = [0, 0, 0, 0];
  for (let i = 0; i < p.corners; i++) {
    left = Math.min(left, p.xy[2 * i] as number);
    right = Math.max(right, p.xy[2 * i] as number);
    low = Math.min(low, p.xy[2 * i + 1] as number);
    high = Math.max(high, p.xy[2 * i + 1] as number);
  }
  const found: number[] = [];
  const [points, step] = lattice;
  for (let i = 0; i < points; i++) {
    const x = left + ((right - left) * (i + 0.5)) / points;
    const y = low + ((high - low) * (((i * step) % points) + 0.5)) / points;
    if (containsPoint(p.xy, p.corners, x, y)) found.push(x, y, gauge(p, x, y) ** 2);
  }
  const samples = Float64Array.from(found);
  byLattice.set(lattice, samples);
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

const keptBalls = new WeakMap<Occluder, Ball>();

/** The ball that holds an occluder; kept beside it. */
function ballAround(occluder: Occluder): Ball {
  const known = keptBalls.get(occluder);
  if (known) return known;
  const made = makeBall(occluder);
  keptBalls.set(occluder, made);
  return made;
}

function makeBall(occluder: Occluder): Ball {
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

/**
 * Whether a plane through the point has the (convex) head or body on one side and the whole front on the
 * other, as on a cheek that faces the light: then no ray is stopped. Flags are left to their rays.
 */
function isBehindMeter(occluder: Occluder, point: Vec3, p: Prepared): boolean {
  const outward = awayFrom(occluder, point);
  if (!outward) return false;
  const [mx, my, mz] = outward;
  const [ox, oy, oz] = [p.cx - point[0], p.cy - point[1], p.cz - point[2]];
  if (p.corners === 0) return mx * ox + my * oy + mz * oz >= 0;
  for (let i = 0; i < p.corners; i++) {
    const x = p.xy[2 * i] as number;
    const y = p.xy[2 * i + 1] as number;
    const wx = ox + x * p.rx + y * p.ux;
    const wy = oy + x * p.ry + y * p.uy;
    const wz = oz + x * p.rz + y * p.uz;
    if (mx * wx + my * wy + mz * wz < 0) return false;
  }
  return true;
}

/** A vector whose plane through the point has the occluder behind it; null from inside, and for flags. */
function awayFrom(occluder: Occluder, point: Vec3): Vec3 | null {
  if (occluder.kind === "polygon") return null;
  if (occluder.kind === "ellipsoid") {
    const start = subtract(point, occluder.centre);
    let gradient: Vec3 = [0, 0, 0];
    let size = 0;
    for (const axis of occluder.axes) {
      const row = overSquare(axis);
      const part = dot(row, start);
      gradient = addScaled(gradient, row, part);
      size += part * part;
    }
    return size >= 1 - GRAZE ? gradient : null;
  }
  const spine = subtract(occluder.b, occluder.a);
  const start = subtract(point, occluder.a);
  const spine2 = dot(spine, spine);
  const t = spine2 > 0 ? clamp01(dot(start, spine) / spine2) : 0;
  const outward = addScaled(start, spine, -t);
  return length(outward) >= occluder.radiusM - GRAZE ? outward : null;
}
