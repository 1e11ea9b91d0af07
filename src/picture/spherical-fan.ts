/**
 * Points on a convex outline as a fan of triangles: spread evenly over the solid angle that a receiver sees
 * (Arvo 1995, "Stratified Sampling of Spherical Triangles", from memory), or evenly over the area. The outline
 * lies in z = 0 of its own frame; the receiver is at height h over it. Solid angles of triangles are Van Oosterom
 * & Strackee's. Scratch numbers belong to the sampler.
 */

import type { Spot } from "./spherical-rectangle.ts";

export interface FanSampler {
  /** Takes a receiver; returns the solid angle of the whole outline, sr. */
  setReceiver(px: number, py: number, h: number): number;
  /** A spot by solid angle, seen from (px, py, h). */
  byAngle(px: number, py: number, h: number, u: number, v: number): Spot;
  /** A spot by area; its `pdf` is per area, 1/m². */
  byArea(u: number, v: number): Spot;
}

export function createFanSampler(xy: Float64Array, corners: number): FanSampler {
  const triangles = Math.max(0, corners - 2);
  const angles = new Float64Array(triangles);
  const areas = new Float64Array(triangles);
  // Unit vectors from the receiver to the corners.
  const unit = new Float64Array(3 * corners);
  const spot: Spot = { x: 0.5, y: 0.5, pdf: 0.5 };
  let whole = 0.5;
  let area = 0;
  for (let i = 0; i < triangles; i++) {
    const [x0, y0, x1, y1, x2, y2] = [xy[0], xy[1], xy[2 * i + 2], xy[2 * i + 3], xy[2 * i + 4], xy[2 * i + 5]] as Six;
    areas[i] = 0.5 * ((x1 - x0) * (y2 - y0) - (y1 - y0) * (x2 - x0));
    area += areas[i] as number;
  }

  function setReceiver(px: number, py: number, h: number): number {
    for (let i = 0; i < corners; i++) {
      const x = (xy[2 * i] as number) - px;
      const y = (xy[2 * i + 1] as number) - py;
      const d = Math.sqrt(x * x + y * y + h * h);
      unit[3 * i] = x / d;
      unit[3 * i + 1] = y / d;
      unit[3 * i + 2] = -h / d;
    }
    whole = 0;
    for (let i = 0; i < triangles; i++) {
      const t = triangleAngle(unit, i + 1, i + 2);
      angles[i] = t;
      whole += t;
    }
    return whole;
  }

  function byAngle(px: number, py: number, h: number, u: number, v: number): Spot {
    setReceiver(px, py, h);
    spot.pdf = 0;
    if (!(whole > 1e-7)) return spot;
    // The share of u that chose the triangle is stretched and used again.
    let rest = u * whole;
    let i = 0;
    while (i < triangles - 1 && rest >= (angles[i] as number)) rest -= angles[i++] as number;
    const own = angles[i] as number;
    if (!(own > 0)) return spot;
    const d = arvo(unit, i + 1, i + 2, Math.min(1 - 1e-12, rest / own), own, v);
    if (d[2] > -1e-9) return spot;
    const t = -h / d[2];
    spot.x = px + t * d[0];
    spot.y = py + t * d[1];
    spot.pdf = 1 / whole;
    return spot;
  }

  function byArea(u: number, v: number): Spot {
    let rest = u * area;
    let i = 0;
    while (i < triangles - 1 && rest >= (areas[i] as number)) rest -= areas[i++] as number;
    // √s spreads evenly over a triangle whose tip is corner 0.
    const s = Math.sqrt(Math.min(1, rest / (areas[i] as number)));
    const [x0, y0, x1, y1, x2, y2] = [xy[0], xy[1], xy[2 * i + 2], xy[2 * i + 3], xy[2 * i + 4], xy[2 * i + 5]] as Six;
    spot.x = x0 + s * (x1 - x0 + v * (x2 - x1));
    spot.y = y0 + s * (y1 - y0 + v * (y2 - y1));
    spot.pdf = 1 / area;
    return spot;
  }

  return { setReceiver, byAngle, byArea };
}

type Six = [number, number, number, number, number, number];
type Triple = [number, number, number];

/** Solid angle of the spherical triangle of unit vectors 0, b, c; positive as the outline runs seen from in front. */
function triangleAngle(unit: Float64Array, b: number, c: number): number {
  const [ax, ay, az] = [unit[0], unit[1], unit[2]] as Triple;
  const [bx, by, bz] = [unit[3 * b], unit[3 * b + 1], unit[3 * b + 2]] as Triple;
  const [cx, cy, cz] = [unit[3 * c], unit[3 * c + 1], unit[3 * c + 2]] as Triple;
  const volume = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  const ab = ax * bx + ay * by + az * bz;
  const ac = ax * cx + ay * cy + az * cz;
  const bc = bx * cx + by * cy + bz * cz;
  return Math.max(0, 2 * Math.atan2(-volume, 1 + ab + ac + bc));
}

const direction: Triple = [0.5, 0.5, 0.5];

/** Arvo's map of (u, v) onto the triangle of unit vectors A = 0, B = b, C = c with solid angle `area`. */
function arvo(unit: Float64Array, b: number, c: number, u: number, area: number, v: number): Triple {
  const [ax, ay, az] = [unit[0], unit[1], unit[2]] as Triple;
  const [bx, by, bz] = [unit[3 * b], unit[3 * b + 1], unit[3 * b + 2]] as Triple;
  const [cx, cy, cz] = [unit[3 * c], unit[3 * c + 1], unit[3 * c + 2]] as Triple;
  const ab = ax * bx + ay * by + az * bz;
  const ac = ax * cx + ay * cy + az * cz;
  // α: angle at A between the planes AB and AC.
  const [px, py, pz] = [bx - ab * ax, by - ab * ay, bz - ab * az];
  const [qx, qy, qz] = [cx - ac * ax, cy - ac * ay, cz - ac * az];
  const pq = px * qx + py * qy + pz * qz;
  const pLength = Math.sqrt(px * px + py * py + pz * pz);
  const qLength = Math.sqrt(qx * qx + qy * qy + qz * qz);
  const cosAlpha = Math.min(1, Math.max(-1, pq / (pLength * qLength)));
  const sinAlpha = Math.sqrt(Math.max(0, 1 - cosAlpha * cosAlpha));
  const part = u * area;
  const alpha = Math.acos(cosAlpha);
  const s = Math.sin(part - alpha);
  const t = Math.cos(part - alpha);
  const uu = t - cosAlpha;
  const vv = s + sinAlpha * ab;
  const bottom = (vv * s + uu * t) * sinAlpha;
  const q = bottom === 0 ? 1 : ((vv * t - uu * s) * cosAlpha - vv) / bottom;
  const qc = Math.min(1, Math.max(-1, q));
  const qs = Math.sqrt(Math.max(0, 1 - qc * qc));
  // C': on the arc AC, cutting off a triangle of area `part`.
  const [ex, ey, ez] = [qc * ax + (qs * qx) / qLength, qc * ay + (qs * qy) / qLength, qc * az + (qs * qz) / qLength];
  const eb = ex * bx + ey * by + ez * bz;
  const z = 1 - v * (1 - eb);
  const w = Math.sqrt(Math.max(0, 1 - z * z));
  const [fx, fy, fz] = [ex - eb * bx, ey - eb * by, ez - eb * bz];
  const fLength = Math.sqrt(fx * fx + fy * fy + fz * fz);
  const g = fLength > 1e-12 ? w / fLength : 0;
  direction[0] = z * bx + g * fx;
  direction[1] = z * by + g * fy;
  direction[2] = z * bz + g * fz;
  return direction;
}
