/**
 * The head as one signed distance field, millimetres, in its own frame: nose tip at the origin, +x to
 * picture-right, +y up, +z out of the face; both sides alike. Our own sculpture: solids placed by the mean
 * adult dimensions of domain 7.1 (length 190, breadth 150, chin to crown 225, eyes 63 apart, ear canal 125
 * behind the nose tip) and, between those, by eye. Places of single features are no measurements.
 */

import { carve, ellipsoid, join, tapered } from "./solids.ts";

/** Middle of an eyeball: pupils 63 mm apart, the cornea about 20 mm behind the brow (domain 7.1). */
export const eyeMm = { x: 31.5, y: 32, z: -50, radius: 12 } as const;

/** Half the mouth's width, and the line where the lips meet: its height over x. */
export const mouthHalfMm = 23.5;
export const mouthLine = (x: number): number =>
  -34.8 - 0.9 * Math.exp(-x * x * 0.03) + 0.6 * Math.exp(-((x - 9) ** 2) * 0.03) + 0.0006 * x * x;

/** Rounds the middle plane, where both sides meet, so that it shows no crease. */
const middleRounding = 2.4;

/** Distance to the skin with closed, lidded sockets; negative inside. */
export function headDistance(px: number, y: number, z: number): number {
  const x = Math.sqrt(px * px + middleRounding * middleRounding);
  let d = skull(x, y, z);
  // Further than their blends reach, the lower face costs nothing.
  if (y < 92 && z > -160) {
    d = jaw(x, y, z, d);
    d = cheeks(x, y, z, d);
  }
  d = neck(x, y, z, d);
  // Small features lie in the face alone.
  if (z > -78 && y < 78 && y > -78) {
    d = sockets(x, y, z, d);
    d = mouth(x, y, z, d);
    d = nose(x, y, z, d);
    d += folds(x, y, z);
  }
  return d;
}

function skull(x: number, y: number, z: number): number {
  const front = ellipsoid(x, y, z, 0, 54, -87, 64.5, 79, 67);
  const back = ellipsoid(x, y, z, 0, 60, -133, 75, 80, 76);
  const top = ellipsoid(x, y, z, 0, 60, -115, 69, 82.5, 70);
  return join(join(front, back, 26), top, 12);
}

function jaw(x: number, y: number, z: number, skin: number): number {
  const face = ellipsoid(x, y, z, 0, 0, -84, 59, 68, 55);
  let d = join(skin, face, 16);
  const mandible = tapered(x, y, z, 36.5, -42, -97, 12.5, 8, -65, -43, 12);
  d = join(d, mandible, 26);
  const ramus = tapered(x, y, z, 36.5, -42, -97, 12.5, 53, 10, -114, 11);
  d = join(d, ramus, 24);
  const floor = ellipsoid(x, y, z, 0, -50, -74, 36, 30, 38);
  d = join(d, floor, 18);
  const chin = ellipsoid(x, y, z, 0, -64.5, -38, 15.5, 15, 14.5);
  return join(d, chin, 18);
}

function cheeks(x: number, y: number, z: number, skin: number): number {
  const bone = ellipsoid(x, y, z, 38, 3, -60, 20, 16, 20);
  let d = join(skin, bone, 24);
  const arch = tapered(x, y, z, 51, 8, -80, 5, 60, 10, -116, 5);
  d = join(d, arch, 26);
  const temple = ellipsoid(x, y, z, 86, 48, -56, 16, 24, 24);
  d = carve(d, temple, 20);
  const masseter = ellipsoid(x, y, z, 42, -18, -84, 14, 32, 24);
  d = join(d, masseter, 18);
  const hollow = ellipsoid(x, y, z, 84, -30, -46, 16, 22, 24);
  return carve(d, hollow, 18);
}

function neck(x: number, y: number, z: number, skin: number): number {
  if (y > 40) return skin;
  // The jaw line is crisp in front; the nape runs into the skull.
  const blend = z > -90 ? 8 : z < -150 ? 34 : 8 + ((-90 - z) / 60) * 26;
  const column = tapered(x, y, z * 0.94, 0, -20, -116, 43, 0, -190, -124, 48);
  let d = join(skin, column, blend);
  const muscle = tapered(x, y, z, 52, -25, -126, 9, 12, -178, -81, 7);
  d = join(d, muscle, 18);
  const larynx = ellipsoid(x, y, z, 0, -116, -80, 7, 14, 6.5);
  return join(d, larynx, 12);
}

function sockets(x: number, y: number, z: number, skin: number): number {
  const ridge = tapered(x, y, z, 12, 54.5, -32, 5, 42, 55, -52.5, 5);
  let d = join(skin, ridge, 22);
  const hollow = ellipsoid(x, y, z, 31, 35.5, -33.5, 18, 13, 9);
  d = carve(d, hollow, 18);
  const lids = ellipsoid(x, y, z, eyeMm.x, eyeMm.y - 0.5, eyeMm.z, 15.2, 13.7, 13.7);
  return join(d, lids, 7);
}

function nose(x: number, y: number, z: number, skin: number): number {
  const root = tapered(x, y, z, 0, 41, -38.5, 7.5, 0, 14, -24.2, 8);
  let d = join(skin, root, 12);
  const dorsum = tapered(x, y, z, 0, 22, -25, 7, 0, 4, -12, 8.2);
  d = join(d, dorsum, 11);
  const base = ellipsoid(x, y, z, 0, 0.5, -24, 13, 13, 14);
  d = join(d, base, 8);
  const tip = ellipsoid(x, y, z, 0, 0, -9.2, 8.6, 8, 9.3);
  d = join(d, tip, 8);
  const wing = ellipsoid(x, y, z, 11.2, -4, -19, 5.2, 6, 8);
  d = join(d, wing, 5.5);
  const behindWing = ellipsoid(x, y, z, 13.5, -3, -26, 5.5, 7.5, 6);
  d = join(d, behindWing, 6);
  const septum = tapered(x, y, z, 0, -6, -7, 3.4, 0, -9.8, -18, 3.6);
  d = join(d, septum, 3);
  const nostril = ellipsoid(x, y, z, 7, -10.2, -14, 2.9, 4.4, 5);
  return carve(d, nostril, 2.4);
}

function mouth(x: number, y: number, z: number, skin: number): number {
  const mound = ellipsoid(x, y, z, 0, -33, -37.8, 26, 24, 19.5);
  let d = join(skin, mound, 15);
  if (x > mouthHalfMm + 4) return d;
  // Lips: tubes along the arch of the teeth, thinning out to nothing in the corners.
  const share = Math.min(1, x / (mouthHalfMm + 1.5));
  const taper = 1 - share * share * (0.55 + 0.45 * share);
  const arch = -0.0178 * x * x - 5 * share ** 5;
  const line = mouthLine(x);
  const bow = 1.1 * Math.exp(-((x - 5.5) ** 2) * 0.06);
  const upper = Math.hypot(y - (line + 3.5 * taper + bow * 0.6), z - (-17.8 + arch)) - (4.5 + bow * 0.4) * taper;
  d = join(d, upper, 4.5);
  const lower = Math.hypot(y - (line - 4.7 * taper), z - (-19.6 + arch)) - 5.6 * taper;
  return join(d, lower, 4.5);
}

/** Furrows: depth added to the distance, fading with the distance from a line. */
function folds(x: number, y: number, z: number): number {
  const dent = (far: number, depth: number, width: number): number => depth * Math.exp(-(far * far) / (width * width));
  let d = dent(tapered(x, y, z, 0, -53.5, -21, 0, 14, -52, -26, 0), 2.2, 5);
  d += dent(tapered(x, y, z, 17.5, -3, -26, 0, 30, -27, -32, 0), 0.55, 4);
  d += dent(tapered(x, y, z, 2.4, -13, -16, 0, 2.4, -24, -14, 0), 1.2, 2.2);
  d += dent(tapered(x, y, z, 15, 21, -41, 0, 27, 15, -44, 0), 0.7, 4);
  d += dent(tapered(x, y, z, 2.4, 40, -21, 0, 2.4, 34, -22, 0), 2, 12);
  d += dent(tapered(x, y, z, 15.5, 34, -31, 0, 15.5, 28, -32, 0), 2.2, 8);
  const corner = dent(Math.hypot(x - mouthHalfMm - 0.5, y - mouthLine(mouthHalfMm), 0.5 * (z + 31)), 0.45, 3.4);
  const ends = x < mouthHalfMm ? Math.sqrt(1 - (x / mouthHalfMm) ** 4) : 0;
  const slit = y > -50 && y < -20 ? dent(y - mouthLine(x), 2.6 * ends, 1.25) : 0;
  return d + corner + slit;
}
