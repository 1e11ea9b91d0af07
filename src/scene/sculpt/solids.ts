/**
 * Signed distances (negative inside) of the few solids that a head is blended from, and smooth unions and
 * cuts of them (polynomial smooth minimum; Quilez, "Smooth minimum", from memory). The distance to an
 * ellipsoid is the usual first-order bound. Millimetres.
 */

export function ellipsoid(
  x: number,
  y: number,
  z: number,
  cx: number,
  cy: number,
  cz: number,
  rx: number,
  ry: number,
  rz: number,
): number {
  const ax = (x - cx) / rx;
  const ay = (y - cy) / ry;
  const az = (z - cz) / rz;
  const k0 = Math.sqrt(ax * ax + ay * ay + az * az);
  const bx = ax / rx;
  const by = ay / ry;
  const bz = az / rz;
  const k1 = Math.sqrt(bx * bx + by * by + bz * bz);
  return k1 > 0 ? (k0 * (k0 - 1)) / k1 : -Math.min(rx, ry, rz);
}

/** Segment from a to b whose radius runs from ra to rb. */
export function tapered(
  x: number,
  y: number,
  z: number,
  ax: number,
  ay: number,
  az: number,
  ra: number,
  bx: number,
  by: number,
  bz: number,
  rb: number,
): number {
  const ux = bx - ax;
  const uy = by - ay;
  const uz = bz - az;
  const px = x - ax;
  const py = y - ay;
  const pz = z - az;
  let h = (px * ux + py * uy + pz * uz) / (ux * ux + uy * uy + uz * uz);
  h = h < 0 ? 0 : Math.min(h, 1);
  const dx = px - h * ux;
  const dy = py - h * uy;
  const dz = pz - h * uz;
  return Math.sqrt(dx * dx + dy * dy + dz * dz) - (ra + h * (rb - ra));
}

/** Union whose seam is rounded over about k. */
export function join(a: number, b: number, k: number): number {
  const gap = k - Math.abs(a - b);
  const low = Math.min(a, b);
  return gap > 0 ? low - (gap * gap) / (4 * k) : low;
}

/** `a` without `b`, the edge rounded over about k. */
export function carve(a: number, b: number, k: number): number {
  const gap = k - Math.abs(a + b);
  const high = Math.max(a, -b);
  return gap > 0 ? high + (gap * gap) / (4 * k) : high;
}
