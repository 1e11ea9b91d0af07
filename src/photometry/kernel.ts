/**
 * The kernel under every prediction: what a receptor gets from one front per unit of flux that leaves the
 * front's cloth, in the front's own coordinates. A plain front of flux Q has luminance Q/(π·A), so the
 * answer is (M/L)/(π·A), 1/m² (lm·s in, lx·s out). Plain polygons are closed forms; grids, lobes, measured
 * beams and measured receptors are Gauss–Legendre sums over pieces free of kinks. Scratch buffers are shared
 * by all calls (one thread, no re-entry), so nothing is allocated.
 */

import { CAPACITY, clip, fluxAlong, isInside, solidAngleOf } from "./planar.ts";
import type { Prepared } from "./prepared.ts";
import type { Rule } from "./quadrature.ts";
import { gaussLegendre } from "./quadrature.ts";
import type { ReceptorKind, ResponseTable } from "./types.ts";

/** What the kernel needs of a receptor. */
export interface Weighting {
  readonly kind: ReceptorKind;
  readonly response?: ResponseTable;
}

/** Where the receptor is and looks, in the front's coordinates; `h` is the height over the front's plane. */
export interface Local {
  px: number;
  py: number;
  h: number;
  ax: number;
  ay: number;
  az: number;
}

/** Which parts of the front count: the ledger switches grid and lip on one after the other. */
export interface Parts {
  readonly grid: boolean;
  readonly lip: boolean;
  /** Convex polygons, flat x, y, z in the front's coordinates, through which the front must be seen. */
  readonly apertures: readonly Float64Array[];
}

export const WHOLE: Parts = { grid: true, lip: true, apertures: [] };
export const WITHOUT_LIP: Parts = { grid: true, lip: false, apertures: [] };
export const PLAIN: Parts = { grid: false, lip: false, apertures: [] };

const first = new Float64Array(CAPACITY);
const second = new Float64Array(CAPACITY);
const piece = new Float64Array(CAPACITY);
const pieceNext = new Float64Array(CAPACITY);

/** M per unit of flux, 1/m². 0 behind or in the front's plane (but a bare tube shines all round). */
export function unitFactor(p: Prepared, at: Local, receptor: Weighting, parts: Parts): number {
  const d2 = at.px * at.px + at.py * at.py + at.h * at.h;
  if (d2 === 0) return 0;
  if (p.corners === 0) return pointFactor(p, at, d2, receptor, parts);
  // A measured beam is a far-field thing: from five sizes on the front is a point (IES distance rule).
  if (p.web && d2 >= 100 * p.radiusM * p.radiusM) return pointFactor(p, at, d2, receptor, parts);
  if (at.h <= 1e-12) return 0;
  if (p.hot === 0) return outlineFactor(p, 1, at, receptor, parts) / (Math.PI * p.areaM2);
  // L = L₀(1 − kρ²) is a stack of concentric outlines: (1 − k)·P(1) + k·∫P(√u) du, mean 1 − k/2.
  const rule = gaussLegendre(6);
  let sum = (1 - p.hot) * outlineFactor(p, 1, at, receptor, parts);
  for (let i = 0; i < 6; i++) {
    const size = Math.sqrt(rule.nodes[i] as number);
    sum += p.hot * (rule.weights[i] as number) * outlineFactor(p, size, at, receptor, parts);
  }
  return sum / ((1 - p.hot / 2) * Math.PI * p.areaM2);
}

/** r(θ) of a receptor from the cosine of the angle off its axis. */
export function responseAt(receptor: Weighting, cosine: number): number {
  if (receptor.response) return tableAt(receptor.response, cosine);
  if (receptor.kind === "disc") return Math.max(0, cosine);
  return 0.5 * (1 + cosine);
}

/** What a grid lets through along (dx, dy, h): black thin square cells, product of both axes. */
export function gridPasses(p: Prepared, dx: number, dy: number, h: number): number {
  const gx = 1 - (p.gridRatio * Math.abs(dx)) / h;
  const gy = 1 - (p.gridRatio * Math.abs(dy)) / h;
  return gx > 0 && gy > 0 ? gx * gy * p.gridOpen : 0;
}

/** Emission relative to a Lambertian front of equal flux, along a ray whose angle off the normal has `cosine`. */
export function emissionAt(p: Prepared, dx: number, dy: number, cosine: number): number {
  if (p.web) return (Math.PI * webIntensity(p, dx, dy, cosine)) / (p.web.fluxLm * cosine);
  if (p.lobe !== 1) return 0.5 * (p.lobe + 1) * cosine ** (p.lobe - 1);
  return 1;
}

function webIntensity(p: Prepared, dx: number, dy: number, cosine: number): number {
  const theta = (Math.acos(Math.min(1, Math.max(-1, cosine))) * 180) / Math.PI;
  // Toward the receiver: azimuth 0 at up, 90 to the right.
  const phi = (Math.atan2(dx, dy) * 180) / Math.PI;
  return p.web ? p.web.intensity(theta, phi < 0 ? phi + 360 : phi) : 0;
}

function pointFactor(p: Prepared, at: Local, d2: number, receptor: Weighting, parts: Parts): number {
  const d = Math.sqrt(d2);
  const cosine = at.h / d;
  const read = responseAt(receptor, -(at.ax * at.px + at.ay * at.py + at.az * at.h) / d) / d2;
  if (p.bare) return read / (4 * Math.PI);
  const grid = parts.grid && p.gridRatio > 0 ? (at.h > 0 ? gridPasses(p, at.px, at.py, at.h) : 0) : 1;
  if (grid === 0) return 0;
  if (p.web) return (grid * read * webIntensity(p, at.px, at.py, cosine)) / p.web.fluxLm;
  return cosine > 0 ? (grid * read * (p.lobe + 1) * cosine ** p.lobe) / (2 * Math.PI) : 0;
}

/** M/L of the outline shrunk to `size`, seen through lip and apertures. */
function outlineFactor(p: Prepared, size: number, at: Local, receptor: Weighting, parts: Parts): number {
  let xy = p.xy;
  let n = p.corners;
  if (size !== 1) {
    for (let i = 0; i < 2 * n; i++) first[i] = size * (p.xy[i] as number);
    xy = first;
  }
  if (parts.lip && p.lipM > 0) {
    if (at.h > p.lipM) n = throughAperture(xy, n, p.rim, at);
    else if (!insideRim(p, at)) return 0;
    if (lastBuffer) xy = lastBuffer;
  }
  for (const aperture of parts.apertures) {
    n = throughAperture(xy, n, aperture, at);
    if (lastBuffer) xy = lastBuffer;
  }
  if (n === 0) return 0;
  const gridded = parts.grid && p.gridRatio > 0;
  const plain = !gridded && p.lobe === 1 && !p.web && !receptor.response;
  // A cosine receptor sees nothing under its horizon; cutting there also removes the kink.
  if (receptor.kind === "disc" && !receptor.response) {
    const c = -at.ax * at.px - at.ay * at.py - at.az * at.h;
    if (!isInside(xy, n, at.ax, at.ay, c)) {
      const to = xy === second ? first : second;
      n = clip(xy, n, at.ax, at.ay, c, to);
      xy = to;
    }
    if (plain) return Math.max(0, fluxAlong(xy, n, at.px, at.py, at.h, at.ax, at.ay, at.az));
  } else if (plain) {
    const along = fluxAlong(xy, n, at.px, at.py, at.h, at.ax, at.ay, at.az);
    return Math.max(0, 0.5 * (solidAngleOf(xy, n, at.px, at.py, at.h) + along));
  }
  if (n === 0) return 0;
  return gridded ? griddedSum(p, xy, n, at, receptor) : polygonSum(p, xy, n, at, receptor, false);
}

/** Set by `throughAperture`: the buffer that holds its answer, null when the polygon stayed as it was. */
let lastBuffer: Float64Array | null = null;

/**
 * Cuts the polygon by the cone that the aperture spans at the receiver: one plane through the receiver and
 * each of its edges, the aperture's own middle on the kept side.
 */
function throughAperture(xy: Float64Array, n: number, aperture: Float64Array, at: Local): number {
  const m = aperture.length / 3;
  let mx = 0;
  let my = 0;
  let mz = 0;
  for (let i = 0; i < m; i++) {
    mx += (aperture[3 * i] as number) - at.px;
    my += (aperture[3 * i + 1] as number) - at.py;
    mz += (aperture[3 * i + 2] as number) - at.h;
  }
  lastBuffer = null;
  for (let i = 0; i < m && n > 0; i++) {
    const j = i + 1 === m ? 0 : i + 1;
    const x0 = (aperture[3 * i] as number) - at.px;
    const y0 = (aperture[3 * i + 1] as number) - at.py;
    const z0 = (aperture[3 * i + 2] as number) - at.h;
    const x1 = (aperture[3 * j] as number) - at.px;
    const y1 = (aperture[3 * j + 1] as number) - at.py;
    const z1 = (aperture[3 * j + 2] as number) - at.h;
    let a = y0 * z1 - z0 * y1;
    let b = z0 * x1 - x0 * z1;
    let c = x0 * y1 - y0 * x1;
    if (a * mx + b * my + c * mz < 0) {
      a = -a;
      b = -b;
      c = -c;
    }
    const offset = -a * at.px - b * at.py - c * at.h;
    if (isInside(xy, n, a, b, offset)) continue;
    const to: Float64Array = xy === second ? first : second;
    n = clip(xy, n, a, b, offset, to);
    xy = to;
    lastBuffer = to;
  }
  return n;
}

function insideRim(p: Prepared, at: Local): boolean {
  lastBuffer = null;
  for (let i = 0; i < p.corners; i++) {
    const j = i + 1 === p.corners ? 0 : i + 1;
    const ex = (p.xy[2 * j] as number) - (p.xy[2 * i] as number);
    const ey = (p.xy[2 * j + 1] as number) - (p.xy[2 * i + 1] as number);
    if (ex * (at.py - (p.xy[2 * i + 1] as number)) - ey * (at.px - (p.xy[2 * i] as number)) < 0) return false;
  }
  return true;
}

/** The grid's window ±h·w/t about the receiver's foot, cut where tan θ changes sign: four smooth pieces. */
function griddedSum(p: Prepared, xy: Float64Array, n: number, at: Local, receptor: Weighting): number {
  const reach = at.h / p.gridRatio;
  let sum = 0;
  for (let quadrant = 0; quadrant < 4; quadrant++) {
    const sx = (quadrant & 1) === 0 ? 1 : -1;
    const sy = (quadrant & 2) === 0 ? 1 : -1;
    let m = clip(xy, n, sx, 0, -sx * at.px, piece);
    m = clip(piece, m, -sx, 0, sx * at.px + reach, pieceNext);
    m = clip(pieceNext, m, 0, sy, -sy * at.py, piece);
    m = clip(piece, m, 0, -sy, sy * at.py + reach, pieceNext);
    if (m > 0) sum += polygonSum(p, pieceNext, m, at, receptor, true);
  }
  return sum;
}

/** ∫ L·r(θ) dω over a convex polygon, by triangles from its first corner. */
function polygonSum(
  p: Prepared,
  xy: Float64Array,
  n: number,
  at: Local,
  receptor: Weighting,
  gridded: boolean,
): number {
  const rule = ruleFor(xy, n, at);
  let sum = 0;
  for (let i = 2; i < n; i++) sum += triangleSum(p, xy, i, at, receptor, gridded, rule);
  return sum;
}

/** One triangle, its unit square collapsed on corner 0 (the factor u). */
function triangleSum(
  p: Prepared,
  xy: Float64Array,
  corner: number,
  at: Local,
  receptor: Weighting,
  gridded: boolean,
  rule: Rule,
): number {
  const x0 = (xy[0] as number) - at.px;
  const y0 = (xy[1] as number) - at.py;
  const ex = (xy[2 * corner - 2] as number) - at.px - x0;
  const ey = (xy[2 * corner - 1] as number) - at.py - y0;
  const fx = (xy[2 * corner] as number) - at.px - x0;
  const fy = (xy[2 * corner + 1] as number) - at.py - y0;
  const { nodes, weights } = rule;
  const { h, ax, ay, az } = at;
  const special = p.lobe !== 1 || p.web !== null;
  const table = receptor.response;
  const dome = receptor.kind === "dome";
  let sum = 0;
  for (let i = 0; i < nodes.length; i++) {
    const u = nodes[i] as number;
    let row = 0;
    for (let j = 0; j < nodes.length; j++) {
      const v = nodes[j] as number;
      const dx = x0 + u * (ex + v * (fx - ex));
      const dy = y0 + u * (ey + v * (fy - ey));
      const d2 = dx * dx + dy * dy + h * h;
      const d = Math.sqrt(d2);
      const aim = (ax * dx + ay * dy - az * h) / d;
      let value = (table ? tableAt(table, aim) : dome ? 0.5 * (1 + aim) : Math.max(0, aim)) / (d2 * d);
      // The receiver lies along −(dx, dy) from this spot.
      if (gridded) value *= gridPasses(p, dx, dy, h);
      if (special) value *= emissionAt(p, -dx, -dy, h / d);
      row += (weights[j] as number) * value;
    }
    sum += (weights[i] as number) * u * row;
  }
  return sum * h * Math.abs(ex * fy - ey * fx);
}

/** Points per axis: by how near the receiver is, in lengths of the piece. */
function ruleFor(xy: Float64Array, n: number, at: Local): Rule {
  let left = Infinity;
  let right = -Infinity;
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < n; i++) {
    left = Math.min(left, xy[2 * i] as number);
    right = Math.max(right, xy[2 * i] as number);
    low = Math.min(low, xy[2 * i + 1] as number);
    high = Math.max(high, xy[2 * i + 1] as number);
  }
  const outX = Math.max(0, left - at.px, at.px - right);
  const outY = Math.max(0, low - at.py, at.py - high);
  const near = Math.sqrt(outX * outX + outY * outY + at.h * at.h) / Math.max(right - left, high - low);
  return gaussLegendre(near >= 1 ? 6 : near >= 0.5 ? 8 : near >= 0.2 ? 16 : 32);
}

function tableAt(table: ResponseTable, cosine: number): number {
  const angle = (Math.acos(Math.min(1, Math.max(-1, cosine))) * 180) / Math.PI;
  let before = table[0];
  if (!before) return 0;
  if (angle <= before[0]) return before[1];
  for (let i = 1; i < table.length; i++) {
    const after = table[i] as readonly [number, number];
    if (angle <= after[0]) return before[1] + ((after[1] - before[1]) * (angle - before[0])) / (after[0] - before[0]);
    before = after;
  }
  return before[1];
}
