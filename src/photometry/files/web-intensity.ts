/**
 * Luminous intensity of a measured web in any direction: bilinear in the angles of the table, mirrored by
 * the web's symmetry, zero outside the measured range. Angles in degrees, intensity in cd.
 *
 * Directions are given the same way for every type: θ from the aim axis (type C: the nadir; types A and B:
 * H = V = 0) and φ about it. For type C φ is the C angle. For types A and B φ = 0 is the side of positive
 * vertical angles ("up") and φ = 90 the side of positive horizontal angles.
 *
 * Sources: ANSI/IES LM-63; CIE 121 for the A, B and C systems of planes.
 */

import type { IntensityField } from "../types.ts";
import type { PhotometricWeb } from "./web.ts";
import { interpolatedFlux } from "./web-flux.ts";

const radians = Math.PI / 180;

/**
 * Intensity in cd toward (θ, φ).
 * @param thetaDeg from the aim axis, 0…180; further turns fold back (190 at φ is 170 at φ + 180).
 * @param phiDeg about the aim axis, any turn.
 * @throws RangeError when an angle is not a finite number (programmer mistake).
 */
export function intensity(web: PhotometricWeb, thetaDeg: number, phiDeg: number): number {
  if (!Number.isFinite(thetaDeg) || !Number.isFinite(phiDeg)) {
    throw new RangeError(`intensity needs finite angles, got ${thetaDeg} and ${phiDeg}`);
  }
  let theta = turn(thetaDeg);
  let phi = phiDeg;
  if (theta > 180) {
    theta = 360 - theta;
    phi += 180;
  }
  return web.type === "C" ? intensityC(web, theta, turn(phi)) : intensityAB(web, theta, phi);
}

/** The web as the rest of photometry takes it; its flux is that of the interpolated field, so energy is kept. */
export function intensityField(web: PhotometricWeb): IntensityField {
  return {
    intensity: (thetaDeg, phiDeg) => intensity(web, thetaDeg, phiDeg),
    fluxLm: interpolatedFlux(web),
  };
}

function intensityC(web: PhotometricWeb, theta: number, phi: number): number {
  return interpolate(web, theta, foldPlane(web, phi));
}

/** The stored plane angle that stands for C = φ, φ in 0…360. */
function foldPlane(web: PhotometricWeb, phi: number): number {
  switch (web.symmetry) {
    case "axial":
      return web.horizontalDeg[0] as number;
    case "quadrant": {
      const half = phi > 180 ? 360 - phi : phi;
      return half > 90 ? 180 - half : half;
    }
    case "bilateral":
      return phi > 180 ? 360 - phi : phi;
    case "bilateral-90":
      return phi < 90 ? 180 - phi : phi > 270 ? 540 - phi : phi;
    default:
      return phi;
  }
}

/** Types A and B: the direction as a vector (x right, y up, z aim), then to the two angles of the type. */
function intensityAB(web: PhotometricWeb, theta: number, phi: number): number {
  const x = Math.sin(theta * radians) * Math.sin(phi * radians);
  const y = Math.sin(theta * radians) * Math.cos(phi * radians);
  const z = Math.cos(theta * radians);
  const turning = web.type === "B" ? Math.atan2(y, z) : Math.atan2(x, z);
  const latitude = Math.asin(clampUnit(web.type === "B" ? x : y));
  let vertical = (web.type === "B" ? turning : latitude) / radians;
  let horizontal = (web.type === "B" ? latitude : turning) / radians;
  if (web.symmetry === "bilateral" || web.symmetry === "quadrant") horizontal = Math.abs(horizontal);
  if (web.symmetry === "up-down" || web.symmetry === "quadrant") vertical = Math.abs(vertical);
  const h = web.horizontalDeg;
  if (outside(horizontal, h[0] as number, h[h.length - 1] as number)) return 0;
  return interpolate(web, vertical, horizontal);
}

function interpolate(web: PhotometricWeb, vertical: number, horizontal: number): number {
  const v = web.verticalDeg;
  if (outside(vertical, v[0] as number, v[v.length - 1] as number)) return 0;
  const i = bracket(v, vertical);
  const s = share(v[i] as number, v[i + 1] as number, vertical);
  const planes = web.candela;
  if (planes.length === 1) return along(planes[0] as readonly number[], i, s);

  const h = web.horizontalDeg;
  const last = h.length - 1;
  if (horizontal > (h[last] as number) && web.type === "C") {
    // The table stops short of 360: the gap closes on the first plane.
    const t = share(h[last] as number, (h[0] as number) + 360, horizontal);
    return mix(along(planes[last] as readonly number[], i, s), along(planes[0] as readonly number[], i, s), t);
  }
  const j = bracket(h, horizontal);
  const t = share(h[j] as number, h[j + 1] as number, horizontal);
  return mix(along(planes[j] as readonly number[], i, s), along(planes[j + 1] as readonly number[], i, s), t);
}

const along = (plane: readonly number[], i: number, s: number): number =>
  mix(plane[i] as number, plane[i + 1] as number, s);

const mix = (a: number, b: number, t: number): number => a + (b - a) * t;

const share = (a: number, b: number, x: number): number => Math.min(1, Math.max(0, (x - a) / (b - a)));

/** Directions come from sines and arc tangents: an edge missed by rounding is still the edge. */
const outside = (x: number, low: number, high: number): boolean => x < low - 1e-9 || x > high + 1e-9;

const clampUnit = (x: number): number => Math.min(1, Math.max(-1, x));

/** 0 ≤ angle < 360. */
function turn(angle: number): number {
  const rest = angle % 360;
  return rest < 0 ? rest + 360 : rest;
}

/** Largest i ≤ n − 2 with list[i] ≤ x. */
function bracket(list: readonly number[], x: number): number {
  let low = 0;
  let high = list.length - 2;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if ((list[middle] as number) <= x) low = middle;
    else high = middle - 1;
  }
  return low;
}
