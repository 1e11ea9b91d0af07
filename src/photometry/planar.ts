/**
 * A convex polygon in a front's own plane, seen from a receiver at height h over it: clipping by half
 * planes, Lambert's polygon formula in its vector form (Lambert 1760; Arvo 1995, from memory) and the solid
 * angle (Van Oosterom & Strackee 1983). Coordinates are (x, y) pairs in a flat Float64Array, the plane is
 * z = 0, vertices run counter-clockwise seen from +z, the receiver is (px, py, h) with h > 0. Nothing here
 * allocates: these are the inner loops of maps and ledgers.
 */

/** Room for every polygon that clipping can make here: outline ≤ 64, plus one vertex per clipping line. */
export const CAPACITY = 512;

/**
 * Keeps the part with a·x + b·y + c ≥ 0 (Sutherland & Hodgman 1974). Reads n vertices of `from`, writes to
 * `to`, returns the new count (0 when nothing is left).
 */
export function clip(from: Float64Array, n: number, a: number, b: number, c: number, to: Float64Array): number {
  let count = 0;
  if (n === 0) return 0;
  let x0 = from[2 * n - 2] as number;
  let y0 = from[2 * n - 1] as number;
  let s0 = a * x0 + b * y0 + c;
  for (let i = 0; i < n; i++) {
    const x1 = from[2 * i] as number;
    const y1 = from[2 * i + 1] as number;
    const s1 = a * x1 + b * y1 + c;
    if ((s0 < 0 && s1 > 0) || (s0 > 0 && s1 < 0)) {
      const t = s0 / (s0 - s1);
      to[2 * count] = x0 + t * (x1 - x0);
      to[2 * count + 1] = y0 + t * (y1 - y0);
      count++;
    }
    if (s1 >= 0) {
      to[2 * count] = x1;
      to[2 * count + 1] = y1;
      count++;
    }
    x0 = x1;
    y0 = y1;
    s0 = s1;
  }
  return count < 3 ? 0 : count;
}

/** True when every vertex has a·x + b·y + c ≥ 0, so that clipping would change nothing. */
export function isInside(xy: Float64Array, n: number, a: number, b: number, c: number): boolean {
  for (let i = 0; i < n; i++) if (a * (xy[2 * i] as number) + b * (xy[2 * i + 1] as number) + c < 0) return false;
  return true;
}

/**
 * Φ·axis for luminance 1: the vector irradiance −½·Σ θ_i·γ_i along the unit axis, which may be negative.
 * θ_i is the angle an edge subtends, γ_i the unit normal of the plane through edge and receiver.
 */
export function fluxAlong(
  xy: Float64Array,
  n: number,
  px: number,
  py: number,
  h: number,
  ax: number,
  ay: number,
  az: number,
): number {
  if (n === 0) return 0;
  let sum = 0;
  const hh = h * h;
  let x0 = (xy[2 * n - 2] as number) - px;
  let y0 = (xy[2 * n - 1] as number) - py;
  for (let i = 0; i < n; i++) {
    const x1 = (xy[2 * i] as number) - px;
    const y1 = (xy[2 * i + 1] as number) - py;
    const ex = x1 - x0;
    const ey = y1 - y0;
    // (x0, y0, −h) × (x1, y1, −h), written with the edge vector so that far receivers lose no digits.
    const cx = h * ey;
    const cy = -h * ex;
    const cz = x0 * ey - y0 * ex;
    const c2 = cx * cx + cy * cy + cz * cz;
    if (c2 > 0) {
      const c = Math.sqrt(c2);
      sum += (Math.atan2(c, x0 * x1 + y0 * y1 + hh) / c) * (cx * ax + cy * ay + cz * az);
    }
    x0 = x1;
    y0 = y1;
  }
  return -0.5 * sum;
}

/**
 * Solid angle, sr, ≥ 0. Each triangle of a fan contributes the argument of a complex number (denominator +
 * i·numerator); their product has the summed argument, Ω/2 < π, so one arctangent serves the whole fan.
 */
export function solidAngleOf(xy: Float64Array, n: number, px: number, py: number, h: number): number {
  if (n < 3) return 0;
  const hh = h * h;
  const x0 = (xy[0] as number) - px;
  const y0 = (xy[1] as number) - py;
  const r0 = Math.sqrt(x0 * x0 + y0 * y0 + hh);
  let xb = (xy[2] as number) - px;
  let yb = (xy[3] as number) - py;
  let rb = Math.sqrt(xb * xb + yb * yb + hh);
  let re = 1;
  let im = 0;
  for (let i = 2; i < n; i++) {
    const xc = (xy[2 * i] as number) - px;
    const yc = (xy[2 * i + 1] as number) - py;
    const rc = Math.sqrt(xc * xc + yc * yc + hh);
    const volume = h * ((xb - x0) * (yc - y0) - (yb - y0) * (xc - x0));
    const product = r0 * rb * rc;
    const den =
      1 + ((x0 * xb + y0 * yb + hh) * rc + (x0 * xc + y0 * yc + hh) * rb + (xb * xc + yb * yc + hh) * r0) / product;
    const num = volume / product;
    const real = re * den - im * num;
    im = re * num + im * den;
    re = real;
    xb = xc;
    yb = yc;
    rb = rc;
  }
  const half = Math.atan2(im, re);
  return half < 0 ? 2 * (half + Math.PI) : 2 * half;
}

/** Whether (x, y) lies in the convex polygon. */
export function containsPoint(xy: Float64Array, n: number, x: number, y: number): boolean {
  let x0 = xy[2 * n - 2] as number;
  let y0 = xy[2 * n - 1] as number;
  for (let i = 0; i < n; i++) {
    const x1 = xy[2 * i] as number;
    const y1 = xy[2 * i + 1] as number;
    if ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) < 0) return false;
    x0 = x1;
    y0 = y1;
  }
  return n >= 3;
}

/** Signed area; positive counter-clockwise. */
export function signedArea(xy: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const j = i + 1 === n ? 0 : i + 1;
    sum += (xy[2 * i] as number) * (xy[2 * j + 1] as number) - (xy[2 * j] as number) * (xy[2 * i + 1] as number);
  }
  return sum / 2;
}
