/**
 * Panels that give light back. A matt panel is cut into patches no larger than a quarter of the nearest
 * distance; each takes E from the light (flat, along the panel's normal) and re-emits L = ρ·E/π, one bounce.
 * A mirror shows the light's image, clipped by the panel's edge, times its reflectance. Factors are per unit
 * of flux that leaves the light, 1/m². Lengths in m, world axes.
 */

import type { Vec3 } from "../units/index.ts";
import { add, addScaled, cross, dot, length, normalize, scale, subtract } from "../units/index.ts";
import type { Pose } from "./front.ts";
import { rectangleFront } from "./front.ts";
import type { ReceiveOptions } from "./irradiance.ts";
import { DISC, frontFactor } from "./irradiance.ts";
import type { Weighting } from "./kernel.ts";
import type { Front, Occluder } from "./types.ts";

/** A flat rectangle with one working side. */
export interface ReflectingPanel {
  /** Four corners, counter-clockwise seen from the working side. */
  readonly outline: readonly [Vec3, Vec3, Vec3, Vec3];
  /** Unit vector out of the working side. */
  readonly normal: Vec3;
  /** Luminous reflectance 0…1 of the working side. */
  readonly reflectance: number;
  /** Of the back; the working side's when absent. */
  readonly backReflectance?: number;
  readonly finish: "matt" | "mirror";
}

/** At most this many patches along a side. */
const MOST_PATCHES = 24;

/** A panel from its middle, working direction and size, m. */
export function makePanel(
  pose: Pose,
  widthM: number,
  heightM: number,
  reflectance: number,
  finish: "matt" | "mirror",
  backReflectance: number = reflectance,
): ReflectingPanel {
  const { outline, normal } = rectangleFront(pose, widthM, heightM);
  const [a, b, c, d] = outline as [Vec3, Vec3, Vec3, Vec3];
  return { outline: [a, b, c, d], normal, reflectance, backReflectance, finish };
}

/** What a panel takes out of the light behind it. */
export const panelOccluder = (panel: ReflectingPanel): Occluder => ({ kind: "polygon", points: panel.outline });

/** M by way of the panel's working side, per unit of flux, 1/m²: one bounce, matt or mirror. */
export function panelFactor(
  front: Front,
  panel: ReflectingPanel,
  point: Vec3,
  axis: Vec3,
  receptor: Weighting,
  occluders: readonly Occluder[] = [],
): number {
  if (dot(subtract(point, panel.outline[0]), panel.normal) <= 0) return 0;
  if (panel.finish === "mirror") return mirrorFactor(front, panel, point, axis, receptor);
  const options: ReceiveOptions = { occluders, shadeDetail: "rough" };
  let sum = 0;
  for (const patch of patchesNear(panel, point, front.centre)) {
    const received = frontFactor(front, patch.centre, panel.normal, DISC, options);
    if (received === 0) continue;
    // The patch is a front of flux ρ·E·A.
    sum += panel.reflectance * received * patch.areaM2 * frontFactor(patch, point, axis, receptor, options);
  }
  return sum;
}

/** E on the panel's middle, per unit of flux, 1/m²: what a flat meter lying on it reads. */
export const panelIlluminance = (front: Front, panel: ReflectingPanel, occluders: readonly Occluder[] = []): number =>
  frontFactor(front, middle(panel.outline), panel.normal, DISC, { occluders });

/** M/E of a uniformly lit matt panel: its working side as one Lambertian front. */
export function panelReturn(panel: ReflectingPanel, point: Vec3, axis: Vec3, receptor: Weighting): number {
  const whole = patchGrid(panel.outline, 1, 1)[0] as Front;
  return panel.reflectance * whole.areaM2 * frontFactor(whole, point, axis, receptor);
}

/** The light's image behind a plane mirror: same output, turned over. */
export function mirrorFront(front: Front, panel: ReflectingPanel): Front {
  const origin = panel.outline[0];
  const n = panel.normal;
  const turn = (v: Vec3): Vec3 => addScaled(v, n, -2 * dot(v, n));
  const reflect = (v: Vec3): Vec3 => addScaled(v, n, -2 * dot(subtract(v, origin), n));
  const image: Front = {
    ...front,
    centre: reflect(front.centre),
    normal: turn(front.normal),
    up: turn(front.up),
    outline: front.outline.map(reflect).reverse(),
  };
  const web = front.web;
  if (!web) return image;
  // A mirror swaps right and left of the beam.
  return { ...image, web: { ...web, intensity: (theta, phi) => web.intensity(theta, (360 - phi) % 360) } };
}

/** A rectangle cut into columns × rows Lambertian fronts, emitting to the side its corners run counter-clockwise on. */
export function patchGrid(corners: readonly [Vec3, Vec3, Vec3, Vec3], columns: number, rows: number): Front[] {
  const [origin, next, , last] = corners;
  const u = scale(subtract(next, origin), 1 / columns);
  const v = scale(subtract(last, origin), 1 / rows);
  const normal = normalize(cross(u, v));
  const up = normalize(v);
  const areaM2 = length(cross(u, v));
  const patches: Front[] = [];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      const corner = addScaled(addScaled(origin, u, i), v, j);
      const outline = [corner, add(corner, u), add(add(corner, u), v), add(corner, v)];
      patches.push({ shape: "rectangle", centre: middle(outline), normal, up, outline, areaM2 });
    }
  }
  return patches;
}

function mirrorFactor(front: Front, panel: ReflectingPanel, point: Vec3, axis: Vec3, receptor: Weighting): number {
  if (dot(subtract(front.centre, panel.outline[0]), panel.normal) <= 0) return 0;
  const image = mirrorFront(front, panel);
  if (image.outline.length === 0) {
    return panelSpans(panel, point, image.centre) ? panel.reflectance * frontFactor(image, point, axis, receptor) : 0;
  }
  return panel.reflectance * frontFactor(image, point, axis, receptor, { apertures: [panel.outline] });
}

/** Whether the straight way from the point to the image goes through the mirror. */
function panelSpans(panel: ReflectingPanel, point: Vec3, image: Vec3): boolean {
  const [a, b, , d] = panel.outline;
  const way = subtract(image, point);
  const t = dot(subtract(a, point), panel.normal) / dot(way, panel.normal);
  const hit = subtract(addScaled(point, way, t), a);
  const u = subtract(b, a);
  const v = subtract(d, a);
  const [x, y] = [dot(hit, u) / dot(u, u), dot(hit, v) / dot(v, v)];
  return x >= 0 && x <= 1 && y >= 0 && y <= 1;
}

const cut = new WeakMap<ReflectingPanel, Map<string, Front[]>>();

function patchesNear(panel: ReflectingPanel, point: Vec3, light: Vec3): Front[] {
  const near = Math.min(distanceTo(panel, point), distanceTo(panel, light));
  const [a, b, , d] = panel.outline;
  const count = (side: Vec3): number => Math.min(MOST_PATCHES, Math.max(1, Math.ceil(length(side) / (near / 4))));
  const [columns, rows] = [count(subtract(b, a)), count(subtract(d, a))];
  const known = cut.get(panel) ?? new Map<string, Front[]>();
  cut.set(panel, known);
  const key = `${columns}x${rows}`;
  const patches = known.get(key) ?? patchGrid(panel.outline, columns, rows);
  known.set(key, patches);
  return patches;
}

/** From a point to the nearest spot of the rectangle. */
function distanceTo(panel: ReflectingPanel, point: Vec3): number {
  const [a, b, , d] = panel.outline;
  const u = subtract(b, a);
  const v = subtract(d, a);
  const offset = subtract(point, a);
  const x = Math.min(1, Math.max(0, dot(offset, u) / dot(u, u)));
  const y = Math.min(1, Math.max(0, dot(offset, v) / dot(v, v)));
  return length(addScaled(addScaled(offset, u, -x), v, -y));
}

function middle(corners: readonly Vec3[]): Vec3 {
  let sum: Vec3 = [0, 0, 0];
  for (const corner of corners) sum = addScaled(sum, corner, 1 / corners.length);
  return sum;
}
