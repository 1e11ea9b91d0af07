/**
 * The first answer to a move: what one light would give if nothing stood in its way, from what the camera sees already
 * (the kept guides) and photometry's factor of a flat receptor along each surface. No scene is built and no ray is
 * cast. Light is worked out at a few thousand points and carried to the pixels between by likeness of surface, so
 * that edges and reflectance stay sharp. No shadows, no shine, no bounce: whoever shows it says so.
 */

import type { Rgb } from "../colour/index.ts";
import { type Front, frontFactor } from "../photometry/index.ts";
import { type Guides, type Layer, luminanceOf } from "../picture/index.ts";
import { hairReflectance, type Setup } from "../setup/index.ts";
import { dot, normalize, type Vec3 } from "../units/index.ts";

/** Points at which the light is worked out, at most. */
const POINTS = 6000;

/** Reflectance from which on a pixel beside strands is taken for their outline. */
const OUTLINE = 0.3;
/** Looks at the light between those points, at most: a frame's work. */
const LOOKS = 70_000;

/** The layer of a light without shadows, of the guides' size; samples 0. `hair`: reflectance where strands are seen. */
export function sketchLayer(lightId: string, front: Front, guides: Guides, hair: Rgb): Layer {
  const { width, height, albedo, depth } = guides;
  const step = Math.max(1, Math.ceil(Math.sqrt((width * height) / POINTS)));
  const coarse = coarseLight(front, guides, step);
  const rgb = new Float32Array(3 * width * height);
  // Large pictures: one look at the light for a block of pixels; reflectance stays each pixel's own.
  const block = Math.ceil(Math.sqrt((width * height) / LOOKS));
  const row = new Float32Array(Math.ceil(width / block));
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      if (y % block === 0 && x % block === 0) row[x / block] = lightAt(coarse, guides, step, x, y);
      if (depth[i] === 0) continue;
      const light = row[Math.floor(x / block)] as number;
      const strands = isStrands(guides, x, y);
      for (let c = 0; c < 3; c++)
        rgb[3 * i + c] = light * (strands ? (hair[c] as number) : (albedo[3 * i + c] as number));
    }
  }
  const sigma = new Float32Array(width * height).fill(Number.NaN);
  return { lightId, width, height, rgb, sigma, samples: 0, estimatedNoiseStops: Number.POSITIVE_INFINITY };
}

/**
 * Reflectance that stands for the sitter's hair in a sketch: the class's luminous reflectance (targets.ts) in the colour
 * that the layers so far show where strands are seen; grey without layers.
 */
export function sketchHair({ subject }: Pick<Setup, "subject">, layers: readonly Layer[], guides: Guides): Rgb {
  const luminous = hairReflectance[subject.hair];
  const sum = [0, 0, 0];
  for (const { rgb } of layers) {
    if (rgb.length !== guides.albedo.length) continue;
    for (let i = 0; i < guides.depth.length; i++) {
      if (guides.depth[i] === 0 || !isWhite(guides, i)) continue;
      for (let c = 0; c < 3; c++) sum[c] = (sum[c] as number) + (rgb[3 * i + c] as number);
    }
  }
  const [r = 0, g = 0, b = 0] = sum;
  const y = luminanceOf(r, g, b);
  return y > 0 ? [(luminous * r) / y, (luminous * g) / y, (luminous * b) / y] : [luminous, luminous, luminous];
}

/** Guides have 1 1 1 where strands, a front or glass is seen. */
const isWhite = ({ albedo }: Guides, i: number): boolean =>
  Math.min(albedo[3 * i] as number, albedo[3 * i + 1] as number, albedo[3 * i + 2] as number) >= 0.999;

/** Strands, or the outline of strands, where the mean reflectance is part of their 1. */
function isStrands(guides: Guides, x: number, y: number): boolean {
  const { width, height, albedo } = guides;
  const i = y * width + x;
  if (isWhite(guides, i)) return true;
  if ((albedo[3 * i + 2] as number) < OUTLINE) return false;
  return (
    (x > 0 && isWhite(guides, i - 1)) ||
    (x + 1 < width && isWhite(guides, i + 1)) ||
    (y > 0 && isWhite(guides, i - width)) ||
    (y + 1 < height && isWhite(guides, i + width))
  );
}

interface Coarse {
  readonly columns: number;
  readonly rows: number;
  readonly light: Float32Array;
  /** The pixel each point was taken at; −1 where nothing is seen. */
  readonly from: Int32Array;
}

/** Flat receptor along the surface, 1/m², at every `step`th pixel. */
function coarseLight(front: Front, guides: Guides, step: number): Coarse {
  const { width, height, depth, position, normal } = guides;
  const [columns, rows] = [Math.ceil(width / step), Math.ceil(height / step)];
  const light = new Float32Array(columns * rows);
  const from = new Int32Array(columns * rows).fill(-1);
  const at = (values: Float32Array, i: number): Vec3 => [
    values[3 * i] as number,
    values[3 * i + 1] as number,
    values[3 * i + 2] as number,
  ];
  const half = step >> 1;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const x = Math.min(width - 1, column * step + half);
      const i = Math.min(height - 1, row * step + half) * width + x;
      const facing = at(normal, i);
      // On an outline normals can cancel.
      if (depth[i] === 0 || dot(facing, facing) < 0.01) continue;
      const k = row * columns + column;
      from[k] = i;
      light[k] = frontFactor(front, at(position, i), normalize(facing), { kind: "disc" });
    }
  }
  return { columns, rows, light, from };
}

/** Mean of the four points around, each by its nearness and by how alike its surface is turned and placed. */
function lightAt({ columns, rows, light, from }: Coarse, guides: Guides, step: number, x: number, y: number): number {
  const i = y * guides.width + x;
  const [u, v] = [(x - (step >> 1)) / step, (y - (step >> 1)) / step];
  const column = u < 0 ? 0 : Math.min(columns - 1, Math.floor(u));
  const row = v < 0 ? 0 : Math.min(rows - 1, Math.floor(v));
  const [fu, fv] = [Math.min(1, Math.max(0, u - column)), Math.min(1, Math.max(0, v - row))];
  let sum = 0;
  let weights = 0;
  for (let corner = 0; corner < 4; corner++) {
    const right = corner & 1;
    const below = corner >> 1;
    const k = Math.min(rows - 1, row + below) * columns + Math.min(columns - 1, column + right);
    const j = from[k] as number;
    if (j < 0) continue;
    const weight = ((right === 1 ? fu : 1 - fu) * (below === 1 ? fv : 1 - fv) + 1e-3) * alike(guides, i, j);
    sum += weight * (light[k] as number);
    weights += weight;
  }
  return weights > 0 ? sum / weights : 0;
}

/** Near 1 for the same surface, small for another; never 0, so that a lone pixel still gets some light. */
function alike({ normal, depth }: Guides, i: number, j: number): number {
  const cosine =
    (normal[3 * i] as number) * (normal[3 * j] as number) +
    (normal[3 * i + 1] as number) * (normal[3 * j + 1] as number) +
    (normal[3 * i + 2] as number) * (normal[3 * j + 2] as number);
  const squared = cosine > 0 ? cosine * cosine : 0;
  const turned = squared * squared * squared * squared;
  const apart = ((depth[i] as number) - (depth[j] as number)) / (0.05 * (depth[i] as number));
  return turned / (1 + apart * apart) + 1e-4;
}
