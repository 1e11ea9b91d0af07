/**
 * The picture's own thread: builds the scene, asks which layers a change leaves, traces the others pass after pass on
 * the graphics card or, without one, on worker threads, filters each layer, and answers the probe. A newer job
 * replaces the older at once; what is kept of a view stays for the next job.
 */

import { DeviceLostError } from "../../../../gpu/index.ts";
import {
  createFilter,
  type Layer,
  type LayerId,
  type PackedScene,
  packScene,
  renderLayers,
  usualRequest,
} from "../../../../picture/index.ts";
import { buildScene, newSceneCache, type Scene, sceneCamera } from "../../../../scene/index.ts";
import { frontOf, type Setup } from "../../../../setup/index.ts";
import type { Vec3 } from "../../../../units/index.ts";
import { gainsOf, lightKey, setupReference, sketchHair, stageKey, type TracedIn } from "../../../../work/index.ts";
import { type Engine, openEngine, type Pass, processorEngine } from "./engine.ts";
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
/** A free view that still turns is only looked at, ms. */
const REST_MS = 120;

const scope = self as unknown as {
  postMessage(message: FromPicture, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToPicture>) => void) | null;
};

interface Built {
  readonly key: string;
  readonly scene: Scene;
  readonly packed: PackedScene;
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
let built: Built | null = null;
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
    void engineNow();
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
      engine = told(Promise.resolve(processorEngine("the graphics card went away")));
      await guarded(goOn);
      return;
    }
    scope.postMessage({ kind: "failed", job: newest, why: cause instanceof Error ? cause.message : String(cause) });
  }
}

async function begin(wanted: Wanted): Promise<void> {
  const { job, setup, view } = wanted;
  const tracing = await engineNow();
  if (job !== newest) return taken(job);
  tracing.cancel();
  const standing = sceneOf(setup);
  const { scene, packed } = standing;
  const seen = seenThrough(standing, setup, view);
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
  else if (plan.stale.length === 0) tell(shown, 0, plan.trace.length === 0, []);
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
  if (plan.settle.length > 0 && isCurrent(own)) await settle(own, plan.settle);
}

const isCurrent = (own: Shown): boolean => own === shown && own.wanted.job === newest && !stopped;

async function trace(own: Shown, ids: readonly LayerId[]): Promise<void> {
  const tracing = await engineNow();
  if (!isCurrent(own)) return;
  const { kept, place } = own;
  const bases = kept.bases(ids);
  const weights = weightsOf(own.wanted.setup, own.ids);
  const hear = (pass: Pass): boolean => {
    if (!isCurrent(own)) return false;
    kept.add(pass.layers, bases, place, pass.guides);
    const hair = sketchHair(own.wanted.setup, kept.shown(own.ids), pass.guides);
    toSketch?.postMessage({ view: place.view, guides: pass.guides, hair } satisfies GuidesMessage);
    // A run's own estimate knows only what it traces: the mix may be calm long before.
    const done = pass.done || kept.noise(own.ids, weights) <= NOISE_STOPS;
    if (done) kept.finish(ids);
    tell(own, kept.get(ids[0] as LayerId)?.layer.samples ?? pass.samples, done, []);
    return done;
  };
  await tracing.run(own.packed, requestOf(own, ids), goalOf(own, ids, tracing), hear);
}

/** Traces layers once more and shows them only when they are through: they are right already but for a little bounce. */
async function settle(own: Shown, ids: readonly LayerId[]): Promise<void> {
  const tracing = await engineNow();
  if (!isCurrent(own)) return;
  tell(own, 0, true, ids);
  let last: Pass | null = null;
  const keep = (pass: Pass): boolean => {
    last = pass;
    return pass.done;
  };
  const through = await tracing.run(own.packed, requestOf(own, ids), goalOf(own, ids, tracing), keep);
  if (!through || last === null || !isCurrent(own)) return;
  const { layers, guides, samples } = last as Pass;
  own.kept.add(layers, new Map(), own.place, guides);
  own.kept.finish(ids);
  tell(own, samples, true, []);
}

const goalOf = (own: Shown, ids: readonly LayerId[], { mostSamples }: Engine) => ({
  ...{ noiseStops: NOISE_STOPS, mostSamples, weights: weightsOf(own.wanted.setup, ids) },
});

function requestOf(own: Shown, ids: readonly LayerId[]) {
  const { width, height } = own.wanted;
  const emitters = own.packed.lightIds.flatMap((id, i) => (ids.includes(id) ? [i] : []));
  return { ...usualRequest(width, height, emitters, ++runs), ambient: ids.includes("ambient") };
}

async function stop(): Promise<void> {
  stopped = true;
  if (engine !== null) (await engine).cancel();
  if (stopped && shown !== null) scope.postMessage({ kind: "stopped", job: shown.wanted.job });
}

/** The scene of what stands where; kept while only the view changes. */
function sceneOf(setup: Setup): Built {
  const key = JSON.stringify([stageKey(setup), setup.lights.map((light) => [light.id, lightKey(light)])]);
  if (built?.key === key) return built;
  const scene = buildScene(setup, { equipment: "hidden" }, cache);
  built = { key, scene, packed: packScene(scene) };
  return built;
}

/** The same scene through another lens; from the free view stands and shells are seen, and walls from inside only. */
function seenThrough(
  { scene, packed }: Built,
  setup: Setup,
  view: PictureView,
): { packed: PackedScene; shows: boolean } {
  if (view.kind === "camera")
    return { packed: { ...packed, camera: sceneCamera(setup, view.depthAv !== null) }, shows: false };
  const { camera } = view;
  return { packed: { ...packed, camera, hidden: wallsBetween(scene, camera.position), hasHidden: true }, shows: true };
}

/** Marks the walls whose outer side the eye sees: they would hide the set. */
function wallsBetween({ mesh, groups, hidden }: Scene, eye: Vec3): Uint8Array {
  const marks = new Uint8Array(hidden.length);
  const room = groups.find(({ kind }) => kind === "room");
  if (room === undefined) return marks;
  for (let t = room.firstTriangle; t < room.firstTriangle + room.triangleCount; t++) {
    const at = 3 * (mesh.indices[3 * t] as number);
    const corner = mesh.positions.subarray(at, at + 3);
    const inward = mesh.normals.subarray(at, at + 3);
    const side = eye.reduce((sum, value, k) => sum + (value - (corner[k] as number)) * (inward[k] as number), 0);
    marks[t] = side < 0 ? 1 : 0;
  }
  return marks;
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
  const filtered = free ? layers : layers.map(createFilter(guides));
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
  const layerOf = (id: string): Layer | undefined => kept.get(id)?.layer;
  const lights = probeSpot(packed, fronts, guides, layerOf, x, y, { receptor, aim });
  scope.postMessage({ kind: "probed", ask, x, y, lights });
}

function engineNow(): Promise<Engine> {
  engine ??= told(openEngine());
  return engine;
}

async function told(opening: Promise<Engine>): Promise<Engine> {
  const opened = await opening;
  scope.postMessage({ kind: "engine", engine: opened.name, why: opened.why });
  return opened;
}

function weightsOf(setup: Setup, ids: readonly string[]): readonly number[] {
  const gains = new Map(gainsOf(setup).map((gain) => [gain.lightId, gain.on ? gain.output : 0]));
  return ids.map((id) => (gains.get(id) ?? 0) / setupReference(setup));
}
