/**
 * The picture of an open setup: which scene it shows, the layers so far, how far it is. A change of geometry asks
 * for a sketch at once and for new passes when the hand pauses; a dial, a gel, a switch or the aperture only mixes the
 * layers anew. At most one job is with the worker and one waits: a hundred fast drags leave no queue.
 */

import type { Layer, LayerId } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import { lightKey, movedLights, type StaleLayer, stageKey } from "../../../../work/index.ts";
import {
  type FromPicture,
  type FromSketch,
  type Held,
  type PictureView,
  type ToPicture,
  type ToSketch,
  viewKey,
  type Wanted,
} from "./messages.ts";

export type Probed = Extract<FromPicture, { kind: "probed" }>;

export interface PictureState {
  readonly layers: readonly Layer[];
  readonly samples: number;
  readonly noiseStops: number;
  readonly done: boolean;
  /** The layers are of an older scene: shown dimmed until the first new pass. */
  readonly stale: boolean;
  /** Lights that are shown without shadows, as a sketch. */
  readonly sketched: readonly LayerId[];
  /** What is traced after a light's move, and why; empty when everything is. */
  readonly trace: readonly StaleLayer[];
  readonly settling: readonly LayerId[];
  /** The passes were ended by hand. */
  readonly stopped: boolean;
  /** What traces; null until it is known. */
  readonly engine: "graphics card" | "processor" | null;
  readonly probe: Probed | null;
  readonly failed: string | null;
}

const EMPTY: PictureState = {
  layers: [],
  samples: 0,
  noiseStops: Number.POSITIVE_INFINITY,
  done: false,
  stale: true,
  sketched: [],
  trace: [],
  settling: [],
  stopped: false,
  engine: null,
  probe: null,
  failed: null,
};

/** A light that still moves is only sketched; passes begin when it has rested so long, ms. */
const REST_MS = 90;
/** Name of the measure in the browser's performance timeline: from a move to its sketch. */
const MEASURE = "stopwise-sketch";

export class PictureJob {
  readonly #worker = new Worker(new URL("./picture-worker.ts", import.meta.url), { type: "module" });
  readonly #sketcher = new Worker(new URL("./sketch-worker.ts", import.meta.url), { type: "module" });
  readonly #listeners = new Set<() => void>();
  #state: PictureState = EMPTY;
  #wanted: Wanted | null = null;
  /** Lights as the layers on the page show them: id to how it stands. */
  #shownAs = new Map<string, string>();
  /** The job with the worker has not been taken yet; the newest waits. */
  #asked = false;
  #next: Wanted | null = null;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #sketching: { readonly wanted: Wanted; readonly since: number } | null = null;
  #sketchNext: { readonly wanted: Wanted; readonly since: number } | null = null;
  #probing: { readonly x: number; readonly y: number; readonly held: Held } | null = null;
  #probeAsks = 0;
  #probeOpen = false;
  #probeAgain = false;

  constructor() {
    const guides = new MessageChannel();
    this.#worker.onmessage = (event: MessageEvent<FromPicture>) => this.#hear(event.data);
    this.#worker.onerror = (event) => this.#set({ failed: event.message });
    this.#sketcher.onmessage = (event: MessageEvent<FromSketch>) => this.#hearSketch(event.data);
    this.#worker.postMessage({ kind: "port", port: guides.port1 } satisfies ToPicture, [guides.port1]);
    this.#sketcher.postMessage({ kind: "port", port: guides.port2 } satisfies ToSketch, [guides.port2]);
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  state = (): PictureState => this.#state;

  /** Shows a setup through a view at a size; traces only when what stands where has changed. */
  show(setup: Setup, width: number, height: number, view: PictureView): void {
    const was = this.#wanted;
    const job = (was?.job ?? 0) + 1;
    const wanted: Wanted = { job, setup, width, height, view };
    const sameView =
      was !== null &&
      viewKey(was.view, was.width, was.height) === viewKey(view, width, height) &&
      stageKey(was.setup) === stageKey(setup);
    if (sameView && movedLights(was.setup, setup).length === 0) return;
    this.#wanted = wanted;
    this.#set({ stale: true, done: false, failed: null, stopped: false, settling: [] });
    // Another frame: the old picture does not fit it.
    if (was !== null && (was.width !== width || was.height !== height))
      this.#set({ layers: [], sketched: [], trace: [] });
    if (sameView) this.#sketch(wanted);
    clearTimeout(this.#timer);
    if (sameView) this.#timer = setTimeout(() => this.#ask(wanted), REST_MS);
    else this.#ask(wanted);
  }

  /** Ends the passes at once; the picture stays as it is. */
  stop(): void {
    this.#post({ kind: "stop" });
  }

  goOn(): void {
    this.#set({ stopped: false });
    this.#post({ kind: "go on" });
  }

  /** Asks for the reading at a pixel; the answer comes into the state, and again with every pass. */
  probe(x: number, y: number, held: Held): void {
    this.#probing = { x, y, held };
    this.#askProbe();
  }

  endProbe(): void {
    this.#probing = null;
    this.#set({ probe: null });
  }

  end(): void {
    clearTimeout(this.#timer);
    this.#worker.terminate();
    this.#sketcher.terminate();
  }

  #ask(wanted: Wanted): void {
    if (this.#asked) {
      this.#next = wanted;
      return;
    }
    this.#asked = true;
    this.#post({ kind: "render", ...wanted });
  }

  #hear(message: FromPicture): void {
    if (message.kind === "engine") this.#set({ engine: message.engine });
    else if (message.kind === "taken") this.#taken(message);
    else if (message.kind === "probed") this.#probed(message);
    else if (message.kind === "stopped") this.#set({ stopped: true });
    else if (message.job !== this.#wanted?.job) return;
    else if (message.kind === "failed") this.#set({ failed: message.why });
    else this.#pass(message);
  }

  #taken(message: Extract<FromPicture, { kind: "taken" }>): void {
    this.#asked = false;
    if (message.job === this.#wanted?.job) this.#set({ trace: message.trace });
    const next = this.#next;
    this.#next = null;
    if (next !== null) this.#ask(next);
  }

  #pass({ layers, ids, samples, noiseStops, done, settling }: Extract<FromPicture, { kind: "pass" }>): void {
    const fresh = new Map(layers.map((layer) => [layer.lightId, layer]));
    const size = layers[0]?.rgb.length;
    const fits = (layer: Layer): boolean => size === undefined || layer.rgb.length === size;
    const old = this.#state.layers.filter(fits);
    const all = ids.flatMap((id) => fresh.get(id) ?? old.find(({ lightId }) => lightId === id) ?? []);
    const sketched = this.#state.sketched.filter((id) => !fresh.has(id));
    for (const light of this.#wanted?.setup.lights ?? []) {
      if (fresh.has(light.id)) this.#shownAs.set(light.id, lightKey(light));
    }
    this.#set({ layers: all, samples, noiseStops, done, settling, sketched, stale: false });
    if (this.#probing !== null) this.#askProbe();
  }

  #sketch(wanted: Wanted, since: number = performance.now()): void {
    const one = { wanted, since };
    if (this.#sketching !== null) {
      this.#sketchNext = one;
      return;
    }
    this.#sketching = one;
    const { job, setup, view, width, height } = wanted;
    const lightIds = setup.lights
      .filter((light) => this.#shownAs.get(light.id) !== lightKey(light))
      .map(({ id }) => id);
    const message: ToSketch = { kind: "sketch", job, setup, lightIds, view: viewKey(view, width, height) };
    this.#sketcher.postMessage(message);
  }

  #hearSketch({ layers }: FromSketch): void {
    const own = this.#sketching;
    this.#sketching = null;
    const next = this.#sketchNext;
    this.#sketchNext = null;
    if (own !== null && layers !== null) this.#showSketch(own.wanted, layers, own.since);
    if (next !== null) this.#sketch(next.wanted, next.since);
  }

  #showSketch({ setup, view }: Wanted, layers: readonly Layer[], since: number): void {
    const now = this.#wanted;
    // Passes that came meanwhile are truer; a sketch of a step before the last still shows where it goes.
    if (now === null || !this.#state.stale || now.view !== view || layers.length === 0) return;
    const size = layers[0]?.rgb.length;
    const standing = this.#state.layers.filter(({ rgb }) => rgb.length === size);
    if (standing.length !== this.#state.layers.length) return;
    const ids = layers.map(({ lightId }) => lightId);
    for (const light of setup.lights) if (ids.includes(light.id)) this.#shownAs.set(light.id, lightKey(light));
    const all = setup.lights.flatMap(
      ({ id }) => layers.find((l) => l.lightId === id) ?? standing.find((l) => l.lightId === id) ?? [],
    );
    const ambient = standing.filter(({ lightId }) => lightId === "ambient");
    const sketched = [...new Set([...this.#state.sketched, ...ids])];
    this.#set({ layers: [...all, ...ambient], sketched, stale: false });
    requestAnimationFrame(() => performance.measure(MEASURE, { start: since, end: performance.now() }));
  }

  #askProbe(): void {
    if (this.#probing === null) return;
    if (this.#probeOpen) {
      this.#probeAgain = true;
      return;
    }
    this.#probeOpen = true;
    const { x, y, held } = this.#probing;
    this.#post({ kind: "probe", ask: ++this.#probeAsks, x, y, ...held });
  }

  #probed(message: Probed): void {
    this.#probeOpen = false;
    if (this.#probing !== null) this.#set({ probe: message });
    if (!this.#probeAgain) return;
    this.#probeAgain = false;
    this.#askProbe();
  }

  #post(message: ToPicture): void {
    this.#worker.postMessage(message);
  }

  #set(change: Partial<PictureState>): void {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }
}
