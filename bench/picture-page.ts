/** The page's half of bench/picture-time: passes in module workers, as the page traces on a processor, timed. */

import { type Layer, packScene, type RenderGoal, type RenderRequest } from "../src/picture/index.ts";
import { buildScene } from "../src/scene/index.ts";
import type { Setup } from "../src/setup/index.ts";
import { createRenderer } from "../src/work/index.ts";

export interface PagePass {
  /** Mean paths per pixel. */
  readonly samples: number;
  /** Since the picture was asked for, scene ready, filtering in it. */
  readonly ms: number;
  /** The renderer's own estimate of the noise, stops. */
  readonly estimate: number;
  /** The filtered mix's luminance, one per pixel, base64 of 32-bit floats. */
  readonly luminance: string;
}

/** Says whether the pass was good enough; the bench's process answers. */
type Judge = (pass: PagePass) => Promise<boolean>;

async function tracePasses(setup: Setup, request: RenderRequest, goal: RenderGoal): Promise<void> {
  const { judge } = globalThis as unknown as { judge: Judge };
  const packed = packScene(buildScene(setup, { equipment: "hidden" }));
  const renderer = createRenderer();
  // Threads load and compile before the clock runs.
  await renderer.render(packed, { ...request, seed: 9 }, { noiseStops: 0, mostSamples: 1 });
  const judged: Promise<unknown>[] = [];
  let spent = 0;
  const start = performance.now();
  await renderer.render(packed, request, goal, ({ layers, filtered, samples, noiseStops: estimate }) => {
    const heard = performance.now();
    const luminance = mixOf(filtered ?? layers, goal.weights ?? []);
    const pass: PagePass = { samples, ms: heard - start - spent, estimate, luminance };
    judged.push(judge(pass).then((good) => good && renderer.cancel()));
    spent += performance.now() - heard;
  });
  await Promise.all(judged);
  renderer.end();
}

function mixOf(layers: readonly Layer[], weights: readonly number[]): string {
  const count = (layers[0]?.rgb.length ?? 0) / 3;
  const mixed = new Float32Array(count);
  layers.forEach(({ rgb }, k) => {
    const w = weights[k] ?? 0;
    for (let i = 0; i < count; i++) {
      mixed[i]! += w * (0.2126 * rgb[3 * i]! + 0.7152 * rgb[3 * i + 1]! + 0.0722 * rgb[3 * i + 2]!);
    }
  });
  const bytes = new Uint8Array(mixed.buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32_768) text += String.fromCharCode(...bytes.subarray(i, i + 32_768));
  return btoa(text);
}

Object.assign(globalThis, { tracePasses, ready: true });
