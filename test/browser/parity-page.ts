/** The page's half of the parity test: renders the seeded scene with the WGSL twin and hands numbers over. */

import { createGpuRenderer, createGpuTracer, DeviceLostError, openDevice } from "../../src/gpu/index.ts";
import { packScene, type RenderRequest } from "../../src/picture/index.ts";
import { createRenderer } from "../../src/work/index.ts";
import { parityScene } from "./parity-scenes.ts";

export interface PageAnswer {
  readonly why: string | null;
  readonly layers: readonly (readonly number[])[];
  readonly depth: readonly number[];
  readonly seconds: number;
}

async function renderOnCard(request: RenderRequest, samples: number): Promise<PageAnswer> {
  const opened = await openDevice();
  if (!opened.ok) return { why: opened.why, layers: [], depth: [], seconds: 0 };
  const tracer = await createGpuTracer(opened.device);
  const start = performance.now();
  tracer.begin(packScene(parityScene()), request);
  for (let i = 0; i < samples; i += 4) await tracer.add(Math.min(4, samples - i));
  const { layers, guides } = await tracer.read();
  const seconds = (performance.now() - start) / 1000;
  tracer.end();
  opened.device.destroy();
  return { why: null, layers: layers.map(({ rgb }) => [...rgb]), depth: [...guides.depth], seconds };
}

/** Loses the device on purpose in the middle of a picture: the error's name, and whether a new device works. */
async function loseDevice(request: RenderRequest): Promise<{ error: string; again: boolean }> {
  const first = await openDevice();
  if (!first.ok) return { error: first.why, again: false };
  const tracer = await createGpuTracer(first.device);
  tracer.begin(packScene(parityScene()), request);
  first.device.destroy();
  await first.device.lost;
  const error = await tracer.add(1).then(
    () => "none",
    (e: unknown) => (e instanceof DeviceLostError ? e.name : String(e)),
  );
  const second = await openDevice();
  if (!second.ok) return { error, again: false };
  const next = await createGpuTracer(second.device);
  next.begin(packScene(parityScene()), request);
  await next.add(1);
  const { layers } = await next.read();
  second.device.destroy();
  return { error, again: layers.some(({ rgb }) => rgb.some((value) => value > 0)) };
}

/** Twenty drags in a row on the card: how each ended. */
async function drag(request: RenderRequest): Promise<string> {
  const opened = await openDevice();
  if (!opened.ok) return opened.why;
  const renderer = createGpuRenderer(await createGpuTracer(opened.device));
  const scene = packScene(parityScene());
  const goal = { noiseStops: 0, mostSamples: 1 };
  const jobs = Array.from({ length: 20 }, (_, seed) => renderer.render(scene, { ...request, seed }, goal));
  const ends = await Promise.all(jobs);
  opened.device.destroy();
  return ends.map((end) => (end === null ? "-" : String(end.samples))).join("");
}

/** The CPU twin in a module worker of the page: mean of the first layer. */
async function renderInWorker(request: RenderRequest, samples: number): Promise<readonly number[]> {
  const renderer = createRenderer(2);
  const last = await renderer.render(packScene(parityScene()), request, { noiseStops: 0, mostSamples: samples });
  renderer.end();
  return last ? [...last.layers[0]!.rgb] : [];
}

Object.assign(globalThis, { renderOnCard, loseDevice, drag, renderInWorker });
