/**
 * Layers as small finished pictures: all together, each light alone as the working aperture shows it, and weak lights
 * once more, lifted by their stops under the main. For the Sheet and for cards; no ray is traced.
 */

import { encodePixels, type Layer, type LayerGain, mixLayers, soloGains } from "../picture/index.ts";
import type { Setup } from "../setup/index.ts";
import { writePng8Rgb } from "./png.ts";
import { gainsOf, setupReference } from "./render-setup.ts";

export interface SmallPicture {
  /** Null: all that are on, together. */
  readonly lightId: string | null;
  /** Stops by which it is shown brighter than it is. */
  readonly liftedStops: number;
  readonly width: number;
  readonly height: number;
  /** A PNG as a data address. */
  readonly source: string;
}

/** A light less than this under the main is not shown lifted, stops. */
const LEAST_LIFT = 0.5;

/** Lights that are off are left out. `lifts`: stops under the main by light, as predicted. */
export async function smallPictures(
  setup: Setup,
  layers: readonly Layer[],
  lifts: ReadonlyMap<string, number>,
): Promise<readonly SmallPicture[]> {
  const gains = gainsOf(setup);
  const pictures = [pictureOf(setup, layers, gains, null, 0)];
  for (const { id, on } of setup.lights) {
    if (!on) continue;
    pictures.push(pictureOf(setup, layers, soloGains(gains, id), id, 0));
    const lift = lifts.get(id) ?? 0;
    if (lift < LEAST_LIFT) continue;
    const lifted = soloGains(gains, id).map((gain) => ({ ...gain, output: gain.output * 2 ** lift }));
    pictures.push(pictureOf(setup, layers, lifted, id, lift));
  }
  return Promise.all(pictures);
}

async function pictureOf(
  setup: Setup,
  layers: readonly Layer[],
  gains: readonly LayerGain[],
  lightId: string | null,
  liftedStops: number,
): Promise<SmallPicture> {
  const { width = 1, height = 1 } = layers[0] ?? {};
  const mixed = mixLayers(layers, gains, setupReference(setup), setup.camera.meterOffsetStops ?? 0);
  const png = await writePng8Rgb(encodePixels(mixed), width, height);
  return { lightId, liftedStops, width, height, source: `data:image/png;base64,${base64(png)}` };
}

function base64(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}
