/**
 * What a picture is made of. A layer is the picture that one light makes alone, at unit output: π·L of what the
 * lens sees, per lm·s that leaves that light's front, so that a Lambertian patch of reflectance ρ carries
 * ρ·(M of a flat meter on it)/(lm·s), in 1/m². Room ambient is a layer per lx·s. Values are linear Rec. 709.
 * Dials, gels and switches are applied when layers are mixed (mix.ts) and never trace a ray.
 */

import type { Id } from "../setup/index.ts";

/** Which layer: a light's id, or the room's own ambient. */
export type LayerId = Id | "ambient";

export interface Layer {
  readonly lightId: LayerId;
  readonly width: number;
  readonly height: number;
  /** rgb per pixel, row by row from the upper left, linear, per unit of output. */
  readonly rgb: Float32Array;
  /** Estimated standard deviation of each pixel's luminance, the same unit. */
  readonly sigma: Float32Array;
  /** What an unfiltered layer was read from (sums.ts): the filter works on its parts. Passes still to come add to it. */
  readonly sums?: Float32Array;
  /** Paths per pixel behind it, on average. */
  readonly samples: number;
  /** 95th percentile of the estimated deviation, stops, over pixels within 6 stops of the layer's brightest tone. */
  readonly estimatedNoiseStops: number;
}

/** What the first surfaces under each pixel are: means over its paths for the filter, the first path's spot for the probe. */
export interface Guides {
  readonly width: number;
  readonly height: number;
  /** Mean rgb reflectance; 1 1 1 where a front, hair, glass, a mirror or nothing is seen. */
  readonly albedo: Float32Array;
  /** Mean shading normal toward the viewer, shorter than 1 where they differ; 0 0 0 where nothing is seen. */
  readonly normal: Float32Array;
  /** Mean world position, m: on an outline it lies between the surfaces. */
  readonly middle: Float32Array;
  /** Distance along the first path, m; 0 where it met nothing. */
  readonly depth: Float32Array;
  /** Where the first path met a surface, world, m: a real point of one. */
  readonly position: Float32Array;
  /** Paths per pixel so far. */
  readonly paths: Float32Array;
}

/** A rectangle of pixels, upper left inclusive. */
export interface Tile {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface RenderRequest {
  readonly width: number;
  readonly height: number;
  /** Layers to trace, as indices into the scene's emitters; all lights share each path's rays. */
  readonly emitters: readonly number[];
  /** Trace the ambient layer too. */
  readonly ambient: boolean;
  /** Surfaces after the first at which light is still gathered; 0 is direct light only. */
  readonly bounces: number;
  readonly seed: number;
  /** False: every front is seen from everywhere, no rays for shadows (the first answer to a drag). */
  readonly shadows: boolean;
}

/** Ready-made request: everything on. */
export const usualRequest = (
  width: number,
  height: number,
  emitters: readonly number[],
  seed: number,
): RenderRequest => ({
  width,
  height,
  emitters,
  ambient: false,
  bounces: 12,
  seed,
  shadows: true,
});

/** What came of a pass over the whole picture. */
export interface Progress {
  readonly layers: readonly Layer[];
  /** The same layers filtered, where the goal asks for it. */
  readonly filtered?: readonly Layer[];
  readonly guides: Guides;
  /** Paths per pixel on average: tiles whose noise has reached the goal get no more. */
  readonly samples: number;
  /** Of the mix where the goal gives weights, else the largest of the layers' estimates; filtered where asked. */
  readonly noiseStops: number;
  /** Cast so far; of a card, which does not count, the rays to first surfaces and their lights. */
  readonly rays: number;
  /** True when the asked noise or the most samples are reached. */
  readonly done: boolean;
}

export interface RenderGoal {
  /** Stop at this estimated noise, stops. */
  readonly noiseStops: number;
  /** Paths per pixel at most, anywhere. */
  readonly mostSamples: number;
  /** Filter every pass; the noise is then that of the filtered layers. */
  readonly filter?: boolean;
  /** Output over H_ref of each layer: noise is then that of the mixed picture; without it, of the noisiest layer. */
  readonly weights?: readonly number[];
}
