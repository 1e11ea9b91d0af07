/**
 * A meter at any spot of the picture: what each light alone gives there, straight, past everything that stands in
 * the way, and the sum; beside it the tone that the picture shows. The open part is photometry's own (closed forms
 * and sums, any receptor); the part that gets through is the share of rays that reach the front, weighted as the
 * receptor weighs them. Bounce off panels and room is in the picture's tone, not in the incident figures.
 */

import { type Front, frontFactor, type Weighting } from "../photometry/index.ts";
import type { Id } from "../setup/index.ts";
import { addScaled, normalize, subtract, type Vec3 } from "../units/index.ts";
import { createEmitter } from "./emitter.ts";
import { toneStops } from "./false-colour.ts";
import type { PackedScene } from "./pack.ts";
import { sobolSample } from "./random.ts";
import { luminanceOf } from "./sums.ts";
import { createMeeting } from "./surface.ts";
import type { Guides } from "./types.ts";

/** How the meter is held: at each light's middle, at the lens, or along the surface. */
export type ProbeAim = "light" | "camera" | "normal";

export interface ProbeSpot {
  readonly position: Vec3;
  /** Unit, toward the viewer. */
  readonly normal: Vec3;
}

export interface ProbeReading {
  readonly lightId: Id;
  /** M per unit of flux, 1/m²: times the light's lm·s it is lx·s. */
  readonly factor: number;
  /** Part 0…1 of the open front that the receptor sees. */
  readonly open: number;
}

/** Rays per light: 256 settle a penumbra to about 0.02 of the whole. */
const RAYS = 256;
/** The meter is held this far off the surface, m. */
const HELD_OFF_M = 0.005;

/** The spot under a pixel, or null where nothing is seen. */
export function spotUnder(guides: Guides, x: number, y: number): ProbeSpot | null {
  const i = y * guides.width + x;
  if (!(guides.depth[i] as number)) return null;
  const at = (from: Float32Array): Vec3 => [
    from[3 * i] as number,
    from[3 * i + 1] as number,
    from[3 * i + 2] as number,
  ];
  return { position: at(guides.position), normal: normalize(at(guides.normal)) };
}

/** What a receptor at the spot gets from each emitter, straight. `fronts` in the order of the scene's emitters. */
export function probeLights(
  scene: PackedScene,
  fronts: readonly Front[],
  spot: ProbeSpot,
  receptor: Weighting,
  aim: ProbeAim,
): readonly ProbeReading[] {
  const at = addScaled(spot.position, spot.normal, HELD_OFF_M);
  return fronts.map((front, index) => {
    const axis = axisOf(scene, front, spot, at, aim);
    const open = openPart(scene, index, at, axis, receptor);
    return { lightId: scene.lightIds[index] as string, factor: open * frontFactor(front, at, axis, receptor), open };
  });
}

/** What the picture shows at a pixel: display-linear luminance, and stops from the card (−Infinity for black). */
export function toneAt(linear: Float32Array, width: number, x: number, y: number): { y: number; stops: number } {
  const i = 3 * (y * width + x);
  const value = luminanceOf(linear[i] as number, linear[i + 1] as number, linear[i + 2] as number);
  return { y: value, stops: toneStops(value) };
}

function axisOf(scene: PackedScene, front: Front, spot: ProbeSpot, at: Vec3, aim: ProbeAim): Vec3 {
  if (aim === "normal") return spot.normal;
  return normalize(subtract(aim === "camera" ? scene.camera.position : front.centre, at));
}

/** Σ L·r·V/p over Σ L·r/p. 1 where the receptor gets nothing anyhow. */
function openPart(scene: PackedScene, index: number, at: Vec3, axis: Vec3, receptor: Weighting): number {
  const emitter = createEmitter(scene.emitters, index);
  const meeting = createMeeting(scene);
  const s = meeting.surface;
  [s.sx, s.sy, s.sz] = at;
  let [through, all] = [0, 0];
  for (let i = 0; i < RAYS; i++) {
    if (!emitter.draw(...at, sobolSample(i, 0, 1), sobolSample(i, 1, 1))) continue;
    const l = emitter.sample;
    const weight = (l.light / l.pdf) * weigh(receptor, l.dx * axis[0] + l.dy * axis[1] + l.dz * axis[2]);
    if (weight === 0) continue;
    all += weight;
    through += weight * meeting.passes(l.dx, l.dy, l.dz, l.distance);
  }
  return all > 0 ? through / all : 1;
}

/** r(θ) of the two ideal receptors; a measured table is taken at its nearest entry below. */
function weigh(receptor: Weighting, cosine: number): number {
  if (!receptor.response) return receptor.kind === "disc" ? Math.max(0, cosine) : 0.5 * (1 + cosine);
  const degrees = (Math.acos(Math.min(1, Math.max(-1, cosine))) * 180) / Math.PI;
  return receptor.response.findLast(([angle]) => angle <= degrees)?.[1] ?? 0;
}
