/**
 * What a receptor gets from a front: M per unit of flux leaving the front's cloth, 1/m² (times lm·s gives
 * lx·s, times lm gives lx), whole or as the chain of marginal steps that a ledger prints. Plain fronts are
 * closed forms (polygon.ts), all others sums (kernel.ts); a flux that grid or lip swallow counts as leaving
 * the cloth. Lengths in m, world axes; axes are unit vectors pointing where the receptor looks.
 */

import type { Vec3 } from "../units/index.ts";
import type { Local, Parts, Weighting } from "./kernel.ts";
import { PLAIN, unitFactor, WHOLE, WITHOUT_LIP } from "./kernel.ts";
import type { ShadeDetail } from "./occlusion.ts";
import { visibleFraction } from "./occlusion.ts";
import { solidAngleOf } from "./planar.ts";
import type { Prepared } from "./prepared.ts";
import { axialIntensity, prepare } from "./prepared.ts";
import type { Front, Occluder } from "./types.ts";

export interface ReceiveOptions {
  readonly occluders?: readonly Occluder[];
  /** How closely shadows are looked at; fine when absent. */
  readonly shadeDetail?: ShadeDetail;
  /** Convex openings that the front is seen through (a mirror's edge). */
  readonly apertures?: readonly (readonly Vec3[])[];
}

/** Ideal receptors where no meter is meant. */
export const DISC: Weighting = { kind: "disc" };
export const DOME: Weighting = { kind: "dome" };

/** M per unit of flux, 1/m². 0 from behind a front. `axis` is a unit vector. */
export function frontFactor(
  front: Front,
  point: Vec3,
  axis: Vec3,
  receptor: Weighting,
  options?: ReceiveOptions,
): number {
  const p = prepare(front);
  place(p, point, axis, here);
  const apertures = options?.apertures;
  const parts: Parts = apertures ? { grid: true, lip: true, apertures: apertures.map((a) => intoFrame(p, a)) } : WHOLE;
  const open = unitFactor(p, here, receptor, parts);
  if (open === 0 || !options?.occluders?.length) return open;
  return open * visibleFraction(p, here, point, receptor, options.occluders, options.shadeDetail);
}

/** Part 0…1 of a front's light at this receptor that gets past the occluders. */
export function shadedFactor(
  front: Front,
  point: Vec3,
  axis: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[],
): number {
  const p = prepare(front);
  place(p, point, axis, here);
  return visibleFraction(p, here, point, receptor, occluders);
}

/** The steps from a front's flux to a reading, each marginal to those before it: their product is `total`. */
export interface FrontGain {
  /** Intensity on the axis per unit of flux, 1/sr: 1/4π bare, 1/π Lambertian, (n + 1)/2π a lobe. */
  readonly beam: number;
  /** Inverse square at the distance to the centre, 1/m². */
  readonly spread: number;
  /** beam · spread: a point source on axis, 1/m². */
  readonly far: number;
  /** Near-field correction: the real front on its axis against that point. */
  readonly size: number;
  /** What the grid lets through, on axis. */
  readonly grid: number;
  /** The front turned away from the point, the receptor still looking at its centre. */
  readonly frontTurn: number;
  /** The receptor turned away from the front's centre. */
  readonly receptorTurn: number;
  /** frontTurn · receptorTurn. */
  readonly direction: number;
  /** Lip and occluders. */
  readonly shading: number;
  /** M per unit of flux, 1/m²; equals `frontFactor`. */
  readonly total: number;
  readonly distanceM: number;
}

/** A meter in the middle of a front lies in the front's plane: nothing reaches it, and there is no distance. */
const NOTHING: Omit<FrontGain, "beam"> = {
  ...{ spread: 0, far: 0, size: 1, grid: 1, frontTurn: 1, receptorTurn: 1, direction: 1, shading: 1 },
  ...{ total: 0, distanceM: 0 },
};

/** A step that follows darkness is 1: the first dark step keeps the blame. */
export function frontGain(
  front: Front,
  point: Vec3,
  axis: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[] = [],
): FrontGain {
  const p = prepare(front);
  place(p, point, axis, here);
  const distanceM = Math.hypot(here.px, here.py, here.h);
  const beam = axialIntensity(p);
  if (distanceM === 0) return { ...NOTHING, beam };
  const spread = 1 / (distanceM * distanceM);
  const far = beam * spread;

  // On axis, receptor facing.
  set(onAxis, 0, 0, distanceM, 0, 0, -1);
  const sized = unitFactor(p, onAxis, receptor, PLAIN);
  const gridded = p.gridRatio > 0 ? unitFactor(p, onAxis, receptor, WITHOUT_LIP) : sized;
  // Where it stands, receptor at the centre, then as aimed.
  set(facing, here.px, here.py, here.h, -here.px / distanceM, -here.py / distanceM, -here.h / distanceM);
  const turned = unitFactor(p, facing, receptor, WITHOUT_LIP);
  const aimed = unitFactor(p, here, receptor, WITHOUT_LIP);
  let total = p.lipM > 0 ? unitFactor(p, here, receptor, WHOLE) : aimed;
  if (total > 0 && occluders.length > 0) total *= visibleFraction(p, here, point, receptor, occluders);

  const frontTurn = step(turned, gridded);
  const receptorTurn = step(aimed, turned);
  return {
    ...{ beam, spread, far, size: step(sized, far), grid: step(gridded, sized) },
    ...{ frontTurn, receptorTurn, direction: frontTurn * receptorTurn, shading: step(total, aimed), total, distanceM },
  };
}

const step = (after: number, before: number): number => (before > 0 ? after / before : 1);

/** A plane sheet of points: origin + i·stepU + j·stepV, row by row (i fastest). */
export interface PointSheet {
  readonly origin: Vec3;
  readonly stepU: Vec3;
  readonly stepV: Vec3;
  readonly columns: number;
  readonly rows: number;
}

/**
 * M per unit of flux at every point of a sheet, 1/m². `axis` is one unit vector for all points, or "front":
 * each receptor looks at the front's centre. Writes into `out` when given (columns × rows long).
 */
export function falloffMap(
  front: Front,
  sheet: PointSheet,
  axis: Vec3 | "front",
  receptor: Weighting,
  out: Float64Array = new Float64Array(sheet.columns * sheet.rows),
): Float64Array {
  const p = prepare(front);
  const { columns, rows } = sheet;
  const corner = intoFrame(p, [sheet.origin]);
  const u = turnInto(p, sheet.stepU);
  const v = turnInto(p, sheet.stepV);
  const fixed = axis === "front" ? null : turnInto(p, axis);
  if (fixed) set(here, 0, 0, 0, fixed[0], fixed[1], fixed[2]);
  const [x0, y0, z0] = [corner[0] as number, corner[1] as number, corner[2] as number];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      here.px = x0 + i * u[0] + j * v[0];
      here.py = y0 + i * u[1] + j * v[1];
      here.h = z0 + i * u[2] + j * v[2];
      if (!fixed) lookAtCentre(here);
      out[j * columns + i] = unitFactor(p, here, receptor, WHOLE);
    }
  }
  return out;
}

/** Solid angle of the front's outline, sr; 0 for points and from behind. */
export function apparentSolidAngle(front: Front, point: Vec3): number {
  const p = prepare(front);
  place(p, point, [0, 0, 0], here);
  return here.h > 0 ? solidAngleOf(p.xy, p.corners, here.px, here.py, here.h) : 0;
}

const here: Local = { px: 0.5, py: 0.5, h: 0.5, ax: 0.5, ay: 0.5, az: 0.5 };
const onAxis: Local = { ...here };
const facing: Local = { ...here };

function set(local: Local, px: number, py: number, h: number, ax: number, ay: number, az: number): void {
  local.px = px;
  local.py = py;
  local.h = h;
  local.ax = ax;
  local.ay = ay;
  local.az = az;
}

function lookAtCentre(local: Local): void {
  const d = Math.sqrt(local.px * local.px + local.py * local.py + local.h * local.h);
  const inverse = d > 0 ? -1 / d : 0;
  local.ax = local.px * inverse;
  local.ay = local.py * inverse;
  local.az = local.h * inverse;
}

function place(p: Prepared, point: Vec3, axis: Vec3, to: Local): void {
  const dx = point[0] - p.cx;
  const dy = point[1] - p.cy;
  const dz = point[2] - p.cz;
  to.px = dx * p.rx + dy * p.ry + dz * p.rz;
  to.py = dx * p.ux + dy * p.uy + dz * p.uz;
  to.h = dx * p.nx + dy * p.ny + dz * p.nz;
  to.ax = axis[0] * p.rx + axis[1] * p.ry + axis[2] * p.rz;
  to.ay = axis[0] * p.ux + axis[1] * p.uy + axis[2] * p.uz;
  to.az = axis[0] * p.nx + axis[1] * p.ny + axis[2] * p.nz;
}

function turnInto(p: Prepared, v: Vec3): Vec3 {
  return [
    v[0] * p.rx + v[1] * p.ry + v[2] * p.rz,
    v[0] * p.ux + v[1] * p.uy + v[2] * p.uz,
    v[0] * p.nx + v[1] * p.ny + v[2] * p.nz,
  ];
}

/** Points as flat x, y, z in the front's coordinates. */
function intoFrame(p: Prepared, points: readonly Vec3[]): Float64Array {
  const flat = new Float64Array(3 * points.length);
  points.forEach((point, i) => {
    flat.set(turnInto(p, [point[0] - p.cx, point[1] - p.cy, point[2] - p.cz]), 3 * i);
  });
  return flat;
}
