/**
 * Closed forms of single shapes, kept to hold the general routine to account: configuration factors F with
 * E = π·L·F. As collected in Howell's catalogue of radiation configuration factors (formulas from memory,
 * each checked by quadrature). Lengths in one unit.
 */

/** Coaxial disc of radius r at distance d, receiver facing it: r²/(r² + d²). */
export const coaxialDisc = (r: number, d: number): number => (r * r) / (r * r + d * d);

/** Disc of radius r, receiver parallel to it at distance d and sideways offset h. */
export function offsetDisc(r: number, d: number, h: number): number {
  const sum = d * d + h * h;
  return 0.5 * (1 - (sum - r * r) / Math.sqrt((sum + r * r) ** 2 - 4 * h * h * r * r));
}

/** Rectangle a × b, receiver parallel to it on the normal through one corner at distance c. */
export function cornerRectangle(a: number, b: number, c: number): number {
  const x = a / c;
  const y = b / c;
  const u = Math.sqrt(1 + x * x);
  const v = Math.sqrt(1 + y * y);
  return ((x / u) * Math.atan(y / u) + (y / v) * Math.atan(x / v)) / (2 * Math.PI);
}

/** Rectangle parallel to the receiver, placed anywhere: signed sum of four corner forms. Edges at x0…x1, y0…y1 from the receiver's foot. */
export function parallelRectangle(x0: number, x1: number, y0: number, y1: number, c: number): number {
  const corner = (x: number, y: number): number =>
    Math.sign(x) * Math.sign(y) * cornerRectangle(Math.abs(x), Math.abs(y), c);
  return corner(x1, y1) - corner(x0, y1) - corner(x1, y0) + corner(x0, y0);
}

/** Rectangle standing on the receiver's plane: height a, width b along the plane, at distance c, receiver level with one lower corner. */
export function perpendicularRectangle(a: number, b: number, c: number): number {
  const s = Math.hypot(a, c);
  return (Math.atan(b / c) - (c / s) * Math.atan(b / s)) / (2 * Math.PI);
}

/** Whole sphere of radius r above the receiver's horizon, centre at d, θ off the receiver's axis. */
export const sphere = (r: number, d: number, cosTheta: number): number => (r / d) ** 2 * cosTheta;

/** Infinite strip of half-width w, parallel to the receiver and centred on it at distance d. */
export const infiniteStrip = (w: number, d: number): number => w / Math.hypot(w, d);
