/**
 * The picture of an open setup: which scene it shows, the layers so far, how far it is. A change of geometry asks
 * for a new scene; a dial, a gel, a switch or the aperture only mixes the layers anew.
 */

import type { Layer } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import type { FromPicture, ToPicture } from "./messages.ts";

export interface PictureState {
  readonly layers: readonly Layer[];
  readonly samples: number;
  readonly noiseStops: number;
  readonly done: boolean;
  /** The layers are of an older scene: shown dimmed until the first new pass. */
  readonly stale: boolean;
  readonly engine: string;
  readonly probe: Extract<FromPicture, { kind: "probed" }> | null;
  readonly failed: string | null;
}

const EMPTY: PictureState = {
  layers: [],
  samples: 0,
  noiseStops: Number.POSITIVE_INFINITY,
  done: false,
  stale: true,
  engine: "",
  probe: null,
  failed: null,
};

export class PictureJob {
  readonly #worker = new Worker(new URL("./picture-worker.ts", import.meta.url), { type: "module" });
  readonly #listeners = new Set<() => void>();
  #state: PictureState = EMPTY;
  #job = 0;
  #key = "";

  constructor() {
    this.#worker.onmessage = (event: MessageEvent<FromPicture>) => this.#hear(event.data);
    this.#worker.onerror = (event) => this.#set({ failed: event.message });
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  state = (): PictureState => this.#state;

  /** Shows a setup at a size; traces only when what stands where has changed. */
  show(setup: Setup, width: number, height: number): void {
    const key = `${width} ${height} ${sceneKey(setup)}`;
    if (key === this.#key) return;
    this.#key = key;
    this.#job += 1;
    this.#set({ stale: true, done: false, probe: null, failed: null });
    this.#post({ kind: "render", job: this.#job, setup, width, height });
  }

  /** Asks for the reading at a pixel; the answer comes into the state. */
  probe(x: number, y: number): void {
    this.#post({ kind: "probe", job: this.#job, x, y });
  }

  end(): void {
    this.#worker.terminate();
  }

  #hear(message: FromPicture): void {
    if (message.kind === "engine") {
      this.#set({ engine: message.engine });
      return;
    }
    if (message.job !== this.#job) return;
    if (message.kind === "pass") {
      const { layers, samples, noiseStops, done } = message;
      this.#set({ layers, samples, noiseStops, done, stale: false });
    } else if (message.kind === "probed") this.#set({ probe: message });
    else this.#set({ failed: message.why });
  }

  #post(message: ToPicture): void {
    this.#worker.postMessage(message);
  }

  #set(change: Partial<PictureState>): void {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }
}

/** Everything that a ray can meet or that decides how a front sends its light; dials and readings are not in it. */
function sceneKey(setup: Setup): string {
  const { room, backdrop, subject, camera, panels } = setup;
  const lights = setup.lights.map(({ id, place, aim, rollDeg, modifier, support, rig }) => ({
    id,
    place,
    aim,
    rollDeg,
    modifier,
    support,
    rig,
  }));
  const lens = { ...camera, meterOffsetStops: null };
  return JSON.stringify([room, backdrop, subject, lens, panels, lights]);
}
