/** The page's half of the parity test: renders the seeded scene with the WGSL twin and hands numbers over. */

import {
  createCardRenderer,
  createGpuFinisher,
  createGpuRenderer,
  createGpuTracer,
  DeviceLostError,
  openDevice,
} from "../../src/gpu/index.ts";
import {
  CARD,
  denoiseLayer,
  encodePixels,
  falseColourPixels,
  type Layer,
  type Look,
  type LookKind,
  markPixels,
  mixLayers,
  mixNoise,
  packScene,
  type RenderRequest,
} from "../../src/picture/index.ts";
import { deviations } from "../../src/picture/sums.ts";
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

export interface FinishAnswer {
  readonly why: string | null;
  /** Part of the values within 1 % of the CPU twin's, unfiltered and filtered; σ within 5 %. */
  readonly raw: number;
  readonly filtered: number;
  readonly sigma: number;
  /** Part of the pixels within one code in every channel, per kind of look; and painted into a texture. */
  readonly alike: Readonly<Record<LookKind | "painted", number>>;
  /** Part of the pixels that clip or drown: the marks must be tried. */
  readonly marked: number;
  /** Card, CPU: of the mix. */
  readonly noise: readonly [number, number];
  /** The largest relative difference of a pixel asked for by itself. */
  readonly spot: number;
  /** Share of the tiles that go on at a noise half of them have: card, CPU. */
  readonly share: readonly [number, number];
  /** Part of the pixels whose path count is as the CPU says after two more paths in the tiles that go on. */
  readonly counted: number;
}

/** The card's layers, filter, mix and estimate against the CPU twins on the same sums. */
async function finish(request: RenderRequest, samples: number): Promise<FinishAnswer> {
  const none = { picture: 0, marked: 0, stops: 0, painted: 0 };
  const empty = {
    raw: 0,
    filtered: 0,
    sigma: 0,
    alike: none,
    marked: 0,
    noise: [0, 0],
    spot: 1,
    share: [0, 1],
    counted: 0,
  } as const;
  const opened = await openDevice();
  if (!opened.ok) return { ...empty, why: opened.why };
  const tracer = await createGpuTracer(opened.device);
  const finisher = await createGpuFinisher(opened.device);
  tracer.begin(packScene(parityScene()), request);
  for (let i = 0; i < samples; i += 4) await tracer.add(Math.min(4, samples - i));
  const { layers, guides } = await tracer.read();
  finisher.develop(tracer.card(), false);
  const raw = alikeLayers(await finisher.layers(), layers, 0.01);
  finisher.develop(tracer.card(), true);
  const own = layers.map((layer) => denoiseLayer(layer, guides));
  const card = await finisher.layers();
  const outputs = own.map((_, k) => 0.25 * (k + 1));
  const gains = own.map(({ lightId }, k) => {
    return { lightId, on: k !== 1, output: outputs[k] as number, tint: [1.1, 0.98, 0.8] as const };
  });
  const linear = mixLayers(own, gains, 1.5, -0.5);
  const { width, height } = request;
  const alike = { ...none };
  let marked = 0;
  for (const kind of ["picture", "marked", "stops"] as const) {
    const look: Look = { gains, referenceLxS: 1.5, cameraOffsetStops: -0.5, kind };
    const pixels = kind === "stops" ? falseColourPixels(linear, width) : encodePixels(linear);
    const plain = pixels.slice();
    if (kind === "marked") markPixels(linear, width, pixels);
    marked = Math.max(marked, 1 - alikePixels(plain, pixels));
    alike[kind] = alikePixels(await finisher.pixels(look), pixels);
    if (kind !== "picture") continue;
    // Drawn into, copied from: bits of the WebGPU specification, as below.
    const usage = 0x10 | 0x1;
    const texture = opened.device.createTexture({ size: [width, height], format: "rgba8unorm", usage });
    finisher.paint(texture, look);
    alike.painted = alikePixels(await pixelsOf(opened.device, texture), pixels);
  }
  const weights = gains.map(({ on, output }) => (on ? output / 1.5 : 0));
  const noise = [await finisher.noise(weights), mixNoise(own, weights)] as const;
  const at = await finisher.at(7, 9);
  const i = 3 * (9 * width + 7);
  const spot = Math.max(
    ...at.flatMap((rgb, k) => rgb.map((v, c) => Math.abs(v / (card[k]!.rgb[i + c] as number) - 1))),
  );
  const asked = 0.8 * noise[1];
  const over = tilesOver(own, weights, width, height, asked);
  const share = [
    await finisher.choose(tracer.card(), weights, asked),
    over.filter(Boolean).length / over.length,
  ] as const;
  await tracer.add(2, "chosen");
  const { paths } = await tracer.readGuides();
  const tileOf = (i: number): number => Math.ceil(width / 8) * Math.floor(i / width / 8) + Math.floor((i % width) / 8);
  const counted = paths.filter((n, i) => n === samples + (over[tileOf(i)] ? 2 : 0)).length / paths.length;
  opened.device.destroy();
  return {
    ...{ share, counted, why: null, raw, filtered: alikeLayers(card, own, 0.01), alike, marked, noise, spot },
    sigma: part(card, own, (a, b) => closeTo(a.sigma, b.sigma, 0.05)),
  };
}

/** Per tile of 8 × 8: whether more than 5 % of its pixels, 3 of 64, are noisier than asked. */
function tilesOver(
  layers: readonly Layer[],
  weights: readonly number[],
  width: number,
  height: number,
  noiseStops: number,
): readonly boolean[] {
  const across = Math.ceil(width / 8);
  const over = new Uint8Array(across * Math.ceil(height / 8));
  deviations(layers, weights, CARD).forEach((stops, i) => {
    if (stops > noiseStops) over[across * Math.floor(i / width / 8) + Math.floor((i % width) / 8)]!++;
  });
  return [...over].map((count) => count > 3);
}

/** Rows of 256 bytes: pictures 64 wide. */
async function pixelsOf(device: GPUDevice, texture: GPUTexture): Promise<Uint8ClampedArray> {
  const { width, height } = texture;
  const usage = 0x8 | 0x1;
  const buffer = device.createBuffer({ size: 4 * width * height, usage });
  const encoder = device.createCommandEncoder();
  encoder.copyTextureToBuffer({ texture }, { buffer, bytesPerRow: 4 * width }, [width, height]);
  device.queue.submit([encoder.finish()]);
  await buffer.mapAsync(1);
  return new Uint8ClampedArray(buffer.getMappedRange());
}

const alikeLayers = (a: readonly Layer[], b: readonly Layer[], within: number): number =>
  part(a, b, (one, other) => closeTo(one.rgb, other.rgb, within));

const part = (a: readonly Layer[], b: readonly Layer[], of: (one: Layer, other: Layer) => number): number =>
  Math.min(...a.map((layer, k) => of(layer, b[k] as Layer)));

const closeTo = (a: Float32Array, b: Float32Array, within: number): number =>
  a.filter((value, i) => Math.abs(value - (b[i] as number)) <= within * Math.abs(b[i] as number) + 1e-6).length /
  a.length;

function alikePixels(a: Uint8ClampedArray, b: Uint8ClampedArray): number {
  let alike = 0;
  for (let i = 0; i < a.length; i += 4) {
    const near = [0, 1, 2, 3].every((c) => Math.abs((a[i + c] as number) - (b[i + c] as number)) <= 1);
    if (near) alike++;
  }
  return (4 * alike) / a.length;
}

/** A hundred drags in a row of a picture that stays on the card: how each ended. */
async function dragOnCard(request: RenderRequest): Promise<string> {
  const opened = await openDevice();
  if (!opened.ok) return opened.why;
  const finisher = await createGpuFinisher(opened.device);
  const renderer = createCardRenderer(await createGpuTracer(opened.device), finisher);
  const scene = packScene(parityScene());
  const goal = { noiseStops: 0, mostSamples: 2 };
  const jobs = Array.from({ length: 100 }, (_, seed) => renderer.show(scene, { ...request, seed }, goal));
  const ends = await Promise.all(jobs);
  opened.device.destroy();
  return ends.map((end) => (end === null ? "-" : String(end.samples))).join("");
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

Object.assign(globalThis, { renderOnCard, loseDevice, drag, dragOnCard, finish, renderInWorker, ready: true });
