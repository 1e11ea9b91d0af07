/**
 * Test frames without a camera: the demo setup's lights rendered one by one, small, and photographed by the camera
 * model. Everything in it is invented.
 */

import { type CameraNoise, CLEAN_16, type Frame, photograph } from "../src/frames/index.ts";
import { denoiseLayer, mixLayers, packScene, renderLayers, soloGains } from "../src/picture/index.ts";
import { buildScene, type SceneOptions } from "../src/scene/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { gainsOf, setupReference } from "../src/work/render-setup.ts";

/** The lights of a setup as display-linear pictures, 0.18 at the card, each at its dial. */
export interface RenderedSet {
  readonly setup: Setup;
  readonly width: number;
  readonly height: number;
  readonly lights: readonly { readonly lightId: string; readonly tag: string; readonly rgb: Float32Array }[];
  readonly ambient: Float32Array;
}

export interface SetOptions {
  readonly width?: number;
  readonly samples?: number;
  readonly seed?: number;
  /** Filters the speckle of few rays, where pictures of two poses are compared. */
  readonly denoise?: boolean;
  /** Times that each side grows after tracing. */
  readonly enlarge?: number;
  readonly scene?: SceneOptions;
  /** What of the setup differs: a turned head, another chair. */
  readonly change?: (setup: Setup) => Setup;
}

/** Renders every light of the first demo setup alone, and the room's ambient. */
export function renderSet(options: SetOptions = {}): RenderedSet {
  const demo = demoSetups()[0] as Setup;
  const setup = options.change ? options.change(demo) : demo;
  const packed = packScene(buildScene(setup, { equipment: "absent", detail: "low", ...options.scene }));
  const width = options.width ?? 72;
  const height = Math.round(width * (setup.camera.upright ? 1.5 : 1 / 1.5));
  const emitters = packed.lightIds.map((_, i) => i);
  const request = { width, height, emitters, ambient: true, bounces: 2, seed: options.seed ?? 1, shadows: true };
  const rendered = renderLayers(packed, request, options.samples ?? 12);
  const layers = options.denoise
    ? rendered.layers.map((layer) => denoiseLayer(layer, rendered.guides))
    : rendered.layers;
  const gains = gainsOf(setup).map((gain) => ({ ...gain, on: true }));
  const reference = setupReference(setup);
  const alone = (id: string): Float32Array => mixLayers(layers, soloGains(gains, id), reference);
  const times = options.enlarge ?? 3;
  const large = (id: string): Float32Array => enlarged(alone(id), width, height, times);
  return {
    ...{ setup, width: times * width, height: times * height },
    lights: setup.lights.map(({ id, tag }) => ({ lightId: id, tag, rgb: large(id) })),
    ambient: large("ambient"),
  };
}

/** Straight between pixels: rays are dear, frames should have some pixels. */
function enlarged(rgb: Float32Array, width: number, height: number, times: number): Float32Array {
  const out = new Float32Array(rgb.length * times * times);
  const place = (i: number, size: number): readonly [number, number, number] => {
    const at = Math.min(size - 1, Math.max(0, (i + 0.5) / times - 0.5));
    const low = Math.min(size - 2, Math.floor(at));
    return [low, low + 1, at - low];
  };
  for (let y = 0; y < height * times; y++) {
    const [y0, y1, fy] = place(y, height);
    for (let x = 0; x < width * times; x++) {
      const [x0, x1, fx] = place(x, width);
      for (let c = 0; c < 3; c++) {
        const at = (px: number, py: number): number => rgb[3 * (py * width + px) + c] as number;
        const [top, low] = [at(x0, y0) * (1 - fx) + at(x1, y0) * fx, at(x0, y1) * (1 - fx) + at(x1, y1) * fx];
        out[3 * (y * width * times + x) + c] = top * (1 - fy) + low * fy;
      }
    }
  }
  return out;
}

/** Any sum of the set's lights, gains in stops (null: off), ambient once. */
export function exposureOf(set: RenderedSet, stops: readonly (number | null)[], ambientGain = 1): Float32Array {
  const out = set.ambient.map((value) => value * ambientGain);
  set.lights.forEach(({ rgb }, j) => {
    const own = stops[j];
    if (own === null || own === undefined) return;
    const gain = 2 ** own;
    for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) + gain * (rgb[i] as number);
  });
  return out;
}

/** A file of it. */
export function frameFrom(
  set: RenderedSet,
  name: string,
  linear: Float32Array,
  camera: CameraNoise = CLEAN_16,
  seed = 1,
): Frame {
  const exposure: Frame["exposure"] = {
    ...{ shutterS: set.setup.exposure.shutterS, fNumber: 2 ** (set.setup.exposure.apertureAv / 2) },
    ...{ iso: set.setup.exposure.iso, takenAt: null, whiteBalance: "manual" as const, manual: true, biasStops: 0 },
    flashFired: true,
  };
  const image = photograph(linear, set.width, set.height, camera, seed);
  return { id: name, name, sha256: "0".repeat(64), image, exposure, notes: [] };
}
