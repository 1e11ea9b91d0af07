/**
 * Pictures predicted for a setup, small and coarse, to tell by looking which lights a frame shows: each light alone, all
 * of them, the room. Traced in a thread of its own.
 */

import type { Predicted } from "../../frames/index.ts";
import type { Setup } from "../../setup/index.ts";
import { aloneOf, createRenderer, type Renderer, renderSetup } from "../../work/index.ts";

/** Longer side, pixels, and paths per pixel: likeness is judged on a coarse grid. */
const LONGEST = 96;
const SAMPLES = 12;

export interface Predictor {
  /** Null when the setup shines nothing, or the predictor was closed. */
  predict(setup: Setup): Promise<readonly Predicted[] | null>;
  close(): void;
}

/** Keeps the last answer, for the setup as it stood. */
export function createPredictor(): Predictor {
  let renderer: Renderer | null = null;
  let closed = false;
  let last: { readonly key: string; readonly answer: Promise<readonly Predicted[] | null> } | null = null;
  return {
    predict: (setup) => {
      const key = JSON.stringify({ ...setup, title: "", notes: "", tags: [], readings: [] });
      if (last?.key === key) return last.answer;
      if (closed) return Promise.resolve(null);
      renderer ??= createRenderer(1);
      const answer = predictWith(setup, renderer);
      last = { key, answer };
      return answer;
    },
    close: () => {
      closed = true;
      renderer?.end();
      renderer = null;
    },
  };
}

async function predictWith(setup: Setup, renderer: Renderer): Promise<readonly Predicted[] | null> {
  const on = setup.lights.map((light) => ({ ...light, on: true }));
  const lit: Setup = { ...setup, lights: on };
  if (on.length === 0) return null;
  const shorter = Math.round(LONGEST / 1.5);
  const [width, height] = setup.camera.upright ? [shorter, LONGEST] : [LONGEST, shorter];
  const picture = await renderSetup(lit, {
    ...{ width, height, noiseStops: 0.05, mostSamples: SAMPLES, bounces: 2, denoise: true, renderer },
    scene: { detail: "low" },
  });
  if (picture === null) return null;
  const size = { width: picture.layers[0]?.width ?? width, height: picture.layers[0]?.height ?? height };
  const lights = on.map(({ id }) => ({
    ...{ shows: { kind: "light" as const, lightId: id }, ...size, rgb: aloneOf(picture, id) },
  }));
  const together = { kind: "together" as const, lightIds: on.map(({ id }) => id) };
  return [...lights, { shows: together, ...size, rgb: picture.together }];
}
