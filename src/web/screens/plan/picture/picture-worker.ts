/**
 * The picture's own thread: builds the scene, traces it pass after pass on the graphics card or, without one, on
 * worker threads, filters each layer, and answers the probe. A newer job replaces the older at once.
 */

import { createGpuRenderer, createGpuTracer, DeviceLostError, openDevice } from "../../../../gpu/index.ts";
import type { Front } from "../../../../photometry/index.ts";
import {
  denoiseLayer,
  type Guides,
  layerIds,
  type PackedScene,
  packScene,
  probeLights,
  renderLayers,
  spotUnder,
  usualRequest,
} from "../../../../picture/index.ts";
import { buildScene } from "../../../../scene/index.ts";
import { frontOf, type Setup } from "../../../../setup/index.ts";
import { createRenderer, gainsOf, type Progress, type Renderer, setupReference } from "../../../../work/index.ts";
import type { FromPicture, ToPicture } from "./messages.ts";

const NOISE_STOPS = 0.1;
/** Without a card the picture stops earlier: the machine has other work to do. */
const MOST_SAMPLES = { "graphics card": 1024, processor: 128 } as const;

const scope = self as unknown as {
  postMessage(message: FromPicture, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToPicture>) => void) | null;
};

interface Engine {
  readonly name: "graphics card" | "processor";
  readonly renderer: Pick<Renderer, "render">;
}

interface Shown {
  readonly job: number;
  readonly scene: PackedScene;
  readonly fronts: readonly Front[];
  guides: Guides | null;
}

let engine: Promise<Engine> | null = null;
let shown: Shown | null = null;

scope.onmessage = ({ data }) => {
  if (data.kind === "probe") answerProbe(data);
  else void render(data);
};

async function render({ job, setup, width, height }: Extract<ToPicture, { kind: "render" }>): Promise<void> {
  try {
    const { name, renderer } = await openEngine();
    const scene = packScene(buildScene(setup, { equipment: "hidden" }));
    shown = { job, scene, fronts: setup.lights.map((light) => frontOf(setup, light)), guides: null };
    const request = {
      ...usualRequest(
        width,
        height,
        scene.lightIds.map((_, i) => i),
        1,
      ),
      ambient: (setup.room.ambientLx ?? 0) > 0,
    };
    const goal = {
      noiseStops: NOISE_STOPS,
      mostSamples: MOST_SAMPLES[name],
      weights: weightsOf(setup, layerIds(scene, request)),
    };
    tellFirst(job, scene, width, height);
    await renderer.render(scene, request, goal, (progress) => tell(job, progress));
  } catch (cause) {
    if (cause instanceof DeviceLostError) {
      // The card went away: trace on without it, and say so.
      engine = processor("the graphics card went away");
      await render({ kind: "render", job, setup, width, height });
      return;
    }
    scope.postMessage({ kind: "failed", job, why: cause instanceof Error ? cause.message : String(cause) });
  }
}

/** The first answer to a move: a third of the size, two bounces, one path a pixel, at once and in this thread. */
function tellFirst(job: number, scene: PackedScene, width: number, height: number): void {
  const all = scene.lightIds.map((_, i) => i);
  const request = { ...usualRequest(Math.ceil(width / 3), Math.ceil(height / 3), all, 1), bounces: 2 };
  const { layers, guides } = renderLayers(scene, request, 1);
  const filtered = layers.map((layer) => denoiseLayer(layer, guides));
  scope.postMessage({
    kind: "pass",
    job,
    layers: filtered,
    samples: 0,
    noiseStops: Number.POSITIVE_INFINITY,
    done: false,
  });
}

function tell(job: number, progress: Progress): void {
  if (shown?.job === job) shown.guides = progress.guides;
  const layers = progress.layers.map((layer) => denoiseLayer(layer, progress.guides));
  const { samples, noiseStops, done } = progress;
  const transfer = layers.flatMap((layer) => [layer.rgb.buffer, layer.sigma.buffer]);
  scope.postMessage({ kind: "pass", job, layers, samples, noiseStops, done }, transfer as ArrayBuffer[]);
}

function answerProbe({ job, x, y }: Extract<ToPicture, { kind: "probe" }>): void {
  if (shown === null || shown.job !== job || shown.guides === null) return;
  const spot = spotUnder(shown.guides, x, y);
  const factors = spot === null ? null : probeLights(shown.scene, shown.fronts, spot, { kind: "dome" }, "camera");
  scope.postMessage({ kind: "probed", job, x, y, factors });
}

function openEngine(): Promise<Engine> {
  engine ??= chooseEngine();
  return engine;
}

async function chooseEngine(): Promise<Engine> {
  const opened = await openDevice();
  if (!opened.ok) return processor(opened.why);
  try {
    const renderer = createGpuRenderer(await createGpuTracer(opened.device));
    scope.postMessage({ kind: "engine", engine: "graphics card", why: opened.name });
    return { name: "graphics card", renderer };
  } catch (cause) {
    return processor(cause instanceof Error ? cause.message : String(cause));
  }
}

async function processor(why: string): Promise<Engine> {
  scope.postMessage({ kind: "engine", engine: "processor", why });
  return { name: "processor", renderer: createRenderer() };
}

function weightsOf(setup: Setup, ids: readonly string[]): readonly number[] {
  const gains = new Map(gainsOf(setup).map((gain) => [gain.lightId, gain.on ? gain.output : 0]));
  return ids.map((id) => (gains.get(id) ?? 0) / setupReference(setup));
}
