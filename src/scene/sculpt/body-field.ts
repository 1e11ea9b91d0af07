/**
 * A clothed trunk with its upper arms as one signed distance field, millimetres, about the plumb line through
 * the ears at the height of the nose tip: +x picture-right, +y up, +z forward. Shoulder height and breadth
 * follow the body that shades in the setup room; the rest by our own eye.
 */

import { ellipsoid, join, tapered } from "./solids.ts";

/** Distance to the cloth; negative inside. */
export function bodyDistance(px: number, y: number, z: number): number {
  const x = Math.sqrt(px * px + 16);
  const ribs = ellipsoid(x, y, z, 0, -335, -8, 143, 205, 100);
  const shoulder = tapered(x, y, z, 0, -192, -16, 44, 150, -208, -18, 50);
  let d = join(ribs, shoulder, 55);
  const trapezius = tapered(x, y, z, 16, -134, -30, 33, 126, -192, -24, 36);
  d = join(d, trapezius, 40);
  const chest = ellipsoid(x, y, z, 58, -300, 30, 80, 85, 52);
  d = join(d, chest, 60);
  const arm = tapered(x, y, z, 163, -236, -18, 46, 198, -525, -24, 40);
  d = join(d, arm, 36);
  const waist = ellipsoid(x, y, z, 0, -590, -2, 150, 210, 108);
  d = join(d, waist, 50);
  return d + wrinkles(x, y, z);
}

/** Folds of a soft knit: slanting from the armpit, gathering over the waist. */
function wrinkles(x: number, y: number, z: number): number {
  const fold = (phase: number, weight: number): number => weight * Math.sin(phase) ** 3;
  const armpit = Math.exp(-(((x - 135) / 50) ** 2) - ((y + 330) / 75) ** 2);
  const waist = Math.exp(-(((y + 520) / 110) ** 2));
  return (
    fold(0.09 * (x + 0.75 * y) + 0.02 * z, 2.6 * armpit) +
    fold(0.055 * y + 0.9 * Math.sin(0.016 * x + 1) + 0.012 * z, 2.4 * waist) +
    0.5 * Math.sin(0.031 * x + 0.7) * Math.sin(0.024 * y + 0.02 * z)
  );
}
