/** The page's half of the card's truth test: the mean of every case's layer as the WGSL twin traces it. */

import { createGpuTracer, openDevice } from "../../src/gpu/index.ts";
import { packScene, usualRequest } from "../../src/picture/index.ts";
import { truthCases } from "./truth-scenes.ts";

export interface TruthAnswer {
  /** Why there is no card; null when there is. */
  readonly why: string | null;
  readonly means: readonly number[];
}

const SIDE = 8;

async function traceCases(): Promise<TruthAnswer> {
  const opened = await openDevice();
  if (!opened.ok) return { why: opened.why, means: [] };
  const tracer = await createGpuTracer(opened.device);
  const means: number[] = [];
  for (const { scene, samples } of truthCases()) {
    tracer.begin(packScene(scene), { ...usualRequest(SIDE, SIDE, [0], 7), bounces: 0 });
    for (let done = 0; done < samples; done += 4) await tracer.add(Math.min(4, samples - done));
    const { layers } = await tracer.read();
    const rgb = layers[0]?.rgb ?? new Float32Array(0);
    means.push(rgb.reduce((sum, value) => sum + value, 0) / (3 * SIDE * SIDE));
  }
  tracer.end();
  opened.device.destroy();
  return { why: null, means };
}

Object.assign(globalThis, { traceCases, ready: true });
