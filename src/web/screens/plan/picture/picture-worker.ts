/**
 * The picture's own thread: builds the scene, asks which layers a change leaves, traces the others pass after pass on
 * the graphics card or, without one, on worker threads, filters each layer, and answers the probe. A newer job
 * replaces the older at once; what is kept of a view stays for the next job.
 */

import { createGpuRenderer, createGpuTracer, DeviceLostError, openDevice } from "../../../../gpu/index.ts";
import {
  denoiseLayer,
  type Layer,
  type LayerId,
  type PackedScene,
  packScene,
  renderLayers,
  usualRequest,
} from "../../../../picture/index.ts";
import { buildScene, newSceneCache, type Scene, sceneCamera } from "../../../../scene/index.ts";
import { frontOf, type Setup } from "../../../../setup/index.ts";
import {
  createRenderer,
  gainsOf,
  lightKey,
  type Progress,
  type Renderer,
  setupReference,
  stageKey,
  type TracedIn,
} from "../../../../work/index.ts";
import { KeptLayers } from "./kept-layers.ts";
import {
  type FromPicture,
  type GuidesMessage,
  type PictureView,
  type ToPicture,
  viewKey,
  type Wanted,
} from "./messages.ts";
import { probeSpot } from "./probe-spot.ts";

const NOISE_STOPS = 0.1;
/** Without a card the picture stops earlier: the machine has other work to do. */
const MOST_SAMPLES = { "graphics card": 1024, processor: 128 } as const;
/** A free view that still turns is only looked at, ms. */
const REST_MS = 120;

const scope = self as unknown as {
  postMessage(message: FromPicture, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToPicture>) => void) | null;
};

interface Engine {
  readonly name: "graphics card" | "processor";
  readonly renderer: Pick<Renderer, "render" | "cancel">;
}

/** One job under way or shown. */
interface Shown {
  readonly wanted: Wanted;
  readonly packed: PackedScene;
  readonly place: TracedIn;
  readonly ids: readonly LayerId[];
  readonly kept: KeptLayers;
  /** What the page holds already. */
  readonly sent: Map<LayerId, Layer>;
}

let engine: Promise<Engine> | null = null;
/** One set of layers for the camera, one for the free view: going back is at once. */
const keptBy: Record<PictureView["kind"], KeptLayers> = { camera: new KeptLayers(), free: new KeptLayers() };
const cache = newSceneCache();
let built: { readonly key: string; readonly scene: Scene; readonly packed: PackedScene } | null = null;
let newest = 0;
let shown: Shown | null = null;
let stopped = false;
/** Every run of passes has a seed of its own, so that runs add up. */
let runs = 0;
let toSketch: MessagePort | null = null;

scope.onmessage = ({ data }) => {
  if (data.kind === "port") {
    toSketch = data.port;
    // The page asks for a size that suits what traces.
    void openEngine();
  } else if (data.kind === "probe") answerProbe(data);
  else if (data.kind === "stop") void stop();
  else if (data.kind === "go on") void guarded(goOn);
  else {
    newest = data.job;
    stopped = false;
    void guarded(() => begin(data));
  }
};

async function guarded(work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (cause) {
    if (cause instanceof DeviceLostError && shown !== null) {
      // The card went away: trace on without it, and say so.
      engine = processor("the graphics card went away");
      await guarded(goOn);
      return;
    }
    scope.postMessage({ kind: "failed", job: newest, why: cause instanceof Error ? cause.message : String(cause) });
  }
}

async function begin(wanted: Wanted): Promise<void> {
  const { job, setup, view } = wanted;
  const { renderer } = await openEngine();
  if (job !== newest) return taken(job);
  renderer.cancel();
  const { scene, packed } = sceneOf(setup);
  const seen = seenThrough(packed, setup, view);
  const key = viewKey(view, wanted.width, wanted.height);
  const place: TracedIn = {
    setup,
    scene: seen.shows ? shownScene(scene) : scene,
    eye: seen.packed.camera.position,
    view: key,
  };
  const ids: readonly LayerId[] = [
    ...packed.lightIds,
    ...((setup.room.ambientLx ?? 0) > 0 ? ["ambient" as const] : []),
  ];
  shown = { wanted, packed: seen.packed, place, ids, kept: keptBy[view.kind], sent: new Map() };
  const plan = shown.kept.plan(place, ids);
  const anew = plan.stale.length === ids.length && plan.stale.every(({ why }) => why === "everything" || why === "new");
  if (anew) tellFirst(shown);
  scope.postMessage({ kind: "taken", job, trace: anew ? [] : plan.stale });
  if (view.kind === "free" && anew) await new Promise((done) => setTimeout(done, REST_MS));
  if (job === newest) await goOn();
}

const taken = (job: number): void => scope.postMessage({ kind: "taken", job, trace: [] });

/** Traces what is missing, then what another light's move has left a little behind. */
async function goOn(): Promise<void> {
  if (shown === null) return;
  const own = shown;
  stopped = false;
  const plan = own.kept.plan(own.place, own.ids);
  if (plan.trace.length > 0) await trace(own, plan.trace);
  else tell(own, 0, true, plan.settle);
  if (plan.settle.length > 0 && isCurrent(own)) await settle(own, plan.settle);
}

const isCurrent = (own: Shown): boolean => own === shown && own.wanted.job === newest && !stopped;

async function trace(own: Shown, ids: readonly LayerId[]): Promise<void> {
  const { name, renderer } = await openEngine();
  if (!isCurrent(own)) return;
  const { kept, place } = own;
  const bases = kept.bases(ids);
  const weights = weightsOf(own.wanted.setup, own.ids);
  const goal = { noiseStops: NOISE_STOPS, mostSamples: MOST_SAMPLES[name], weights: weightsOf(own.wanted.setup, ids) };
  let quietUntil = 0;
  const onPass = (progress: Progress): void => {
    const began = performance.now();
    // Filtering takes this thread: a pass that comes soon after the last waits for the next, which has it in it.
    if (!isCurrent(own) || (!progress.done && began < quietUntil)) return;
    kept.add(progress.layers, bases, place, progress.guides);
    toSketch?.postMessage({ view: place.view, guides: progress.guides } satisfies GuidesMessage);
    const samples = kept.get(ids[0] as LayerId)?.raw.samples ?? progress.samples;
    // The passes' own estimate knows only what is traced now: the mix may be calm long before.
    const done = progress.done || kept.noise(own.ids, weights) <= NOISE_STOPS;
    if (done) kept.finish(ids);
    tell(own, samples, done, []);
    quietUntil = performance.now() + 2 * (performance.now() - began);
    if (done && !progress.done) renderer.cancel();
  };
  await renderer.render(own.packed, requestOf(own, ids), goal, onPass);
}

/** Traces layers once more and shows them only when they are through: they are right already but for a little bounce. */
async function settle(own: Shown, ids: readonly LayerId[]): Promise<void> {
  const { name, renderer } = await openEngine();
  if (!isCurrent(own)) return;
  tell(own, 0, true, ids);
  const goal = { noiseStops: NOISE_STOPS, mostSamples: MOST_SAMPLES[name], weights: weightsOf(own.wanted.setup, ids) };
  const through = await renderer.render(own.packed, requestOf(own, ids), goal);
  if (through === null || !isCurrent(own)) return;
  own.kept.add(through.layers, new Map(), own.place, through.guides);
  own.kept.finish(ids);
  tell(own, through.samples, true, []);
}

function requestOf(own: Shown, ids: readonly LayerId[]) {
  const { width, height } = own.wanted;
  const emitters = own.packed.lightIds.flatMap((id, i) => (ids.includes(id) ? [i] : []));
  return { ...usualRequest(width, height, emitters, ++runs), ambient: ids.includes("ambient") };
}

async function stop(): Promise<void> {
  stopped = true;
  if (engine !== null) (await engine).renderer.cancel();
  if (stopped && shown !== null) scope.postMessage({ kind: "stopped", job: shown.wanted.job });
}

/** The scene of what stands where; kept while only the view changes. */
function sceneOf(setup: Setup): { readonly scene: Scene; readonly packed: PackedScene } {
  const key = JSON.stringify([stageKey(setup), setup.lights.map((light) => [light.id, lightKey(light)])]);
  if (built?.key === key) return built;
  const scene = buildScene(setup, { equipment: "hidden" }, cache);
  built = { key, scene, packed: packScene(scene) };
  return built;
}

/** The same scene through another lens; from the free view stands and shells are seen. */
function seenThrough(packed: PackedScene, setup: Setup, view: PictureView): { packed: PackedScene; shows: boolean } {
  if (view.kind === "camera")
    return { packed: { ...packed, camera: sceneCamera(setup, view.depthAv !== null) }, shows: false };
  return {
    packed: { ...packed, camera: view.camera, hidden: nothingHidden(packed.hidden.length), hasHidden: false },
    shows: true,
  };
}

let none = new Uint8Array(0);

function nothingHidden(count: number): Uint8Array {
  if (none.length !== count) none = new Uint8Array(count);
  return none;
}

const shownScene = (scene: Scene): Scene => ({
  ...scene,
  groups: scene.groups.map((group) => ({ ...group, hiddenFromCamera: false })),
});

/** The first answer to a new scene or view: a third of the size, one path a pixel, at once and in this thread. */
function tellFirst({ wanted, packed, ids }: Shown): void {
  const all = packed.lightIds.map((_, i) => i);
  const free = wanted.view.kind === "free";
  const part = free ? 4 : 3;
  const size = [Math.ceil(wanted.width / part), Math.ceil(wanted.height / part)] as const;
  const request = { ...usualRequest(...size, all, 1), ambient: ids.includes("ambient"), bounces: free ? 0 : 2 };
  const { layers, guides } = renderLayers(packed, request, 1);
  const filtered = free ? layers : layers.map((layer) => denoiseLayer(layer, guides));
  const { job } = wanted;
  const noiseStops = Number.POSITIVE_INFINITY;
  scope.postMessage({ kind: "pass", job, layers: filtered, ids, samples: 0, noiseStops, done: false, settling: [] });
}

function tell(own: Shown, samples: number, done: boolean, settling: readonly LayerId[]): void {
  const { kept, ids, sent, wanted } = own;
  const layers = kept.shown(ids).filter((layer) => sent.get(layer.lightId) !== layer);
  for (const layer of layers) sent.set(layer.lightId, layer);
  const noiseStops = kept.noise(ids, weightsOf(wanted.setup, ids));
  const most = samples || Math.min(...kept.shown(ids).map((layer) => layer.samples));
  scope.postMessage({ kind: "pass", job: wanted.job, layers, ids, samples: most, noiseStops, done, settling });
}

function answerProbe({ ask, x, y, receptor, aim }: Extract<ToPicture, { kind: "probe" }>): void {
  const guides = shown?.kept.guides ?? null;
  if (shown === null || guides === null) {
    scope.postMessage({ kind: "probed", ask, x, y, lights: null });
    return;
  }
  const { packed, kept, wanted } = shown;
  const fronts = wanted.setup.lights.map((light) => frontOf(wanted.setup, light));
  const layerOf = (id: string): Layer | undefined => kept.get(id)?.shown;
  const lights = probeSpot(packed, fronts, guides, layerOf, x, y, { receptor, aim });
  scope.postMessage({ kind: "probed", ask, x, y, lights });
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
