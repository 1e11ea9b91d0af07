/**
 * Points on a rectangle, spread evenly over the solid angle it fills from a receiver (Ureña, Fajardo & King 2013,
 * "An Area-Preserving Parametrization for Spherical Rectangles", from memory). The rectangle lies in z = 0 of its
 * own frame with sides along x and y; the receiver is at height h over that plane. One receiver at a time.
 */

/** A spot on the rectangle in its own frame, m, and the density per solid angle, 1/sr. */
export interface Spot {
  x: number;
  y: number;
  pdf: number;
}

const spot: Spot = { x: 0.5, y: 0.5, pdf: 0.5 };
let x0 = 0.5;
let y0 = 0.5;
let x1 = 0.5;
let y1 = 0.5;
let z0 = 0.5;
let lx = 0.5;
let ly = 0.5;
let b0 = 0.5;
let b1 = 0.5;
let k = 0.5;
let angle = 0.5;

/** Takes the rectangle xa…xb by ya…yb and a receiver at (px, py, h), h > 0; returns the solid angle, sr. */
export function setRectangle(
  xa: number,
  ya: number,
  xb: number,
  yb: number,
  px: number,
  py: number,
  h: number,
): number {
  angle = 0;
  if (!(xb > xa && yb > ya)) return 0;
  lx = px;
  ly = py;
  x0 = xa - px;
  x1 = xb - px;
  y0 = ya - py;
  y1 = yb - py;
  z0 = -h;
  // z-components of the normals of the planes through receiver and each side.
  b0 = -y0 / Math.sqrt(z0 * z0 + y0 * y0);
  b1 = y1 / Math.sqrt(z0 * z0 + y1 * y1);
  const n1 = x1 / Math.sqrt(z0 * z0 + x1 * x1);
  const n3 = -x0 / Math.sqrt(z0 * z0 + x0 * x0);
  // Inner angles of the spherical rectangle: their sum less 2π is its area.
  const g0 = Math.acos(clamp(-b0 * n1));
  const g1 = Math.acos(clamp(-n1 * b1));
  const g2 = Math.acos(clamp(-b1 * n3));
  const g3 = Math.acos(clamp(-n3 * b0));
  k = 2 * Math.PI - g2 - g3;
  angle = g0 + g1 - k;
  return angle;
}

/** The spot for (u, v) in [0, 1)². `pdf` is 0 when the rectangle is seen edge-on. */
export function sampleSphericalRectangle(u: number, v: number): Spot {
  if (!(angle > 1e-7)) {
    spot.pdf = 0;
    return spot;
  }
  const au = u * angle + k;
  const sine = Math.sin(au);
  const fu = (Math.cos(au) * b0 - b1) / sine;
  let cu = (fu > 0 ? 1 : -1) / Math.sqrt(fu * fu + b0 * b0);
  cu = clamp(cu);
  let xu = -(cu * z0) / Math.max(1e-9, Math.sqrt(1 - cu * cu));
  xu = Math.min(x1, Math.max(x0, xu));
  const d = Math.sqrt(xu * xu + z0 * z0);
  const h0 = y0 / Math.sqrt(d * d + y0 * y0);
  const h1 = y1 / Math.sqrt(d * d + y1 * y1);
  const hv = h0 + v * (h1 - h0);
  const rest = 1 - hv * hv;
  const yv = rest > 1e-9 ? (hv * d) / Math.sqrt(rest) : y1;
  spot.x = xu + lx;
  spot.y = Math.min(y1, Math.max(y0, yv)) + ly;
  spot.pdf = 1 / angle;
  return spot;
}

const clamp = (x: number): number => Math.min(1, Math.max(-1, x));
