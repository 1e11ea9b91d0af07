/**
 * Layers of one view as the picture worker keeps them: filtered, with the setup each was traced in and whether it is
 * calm enough. A job asks what it must trace, adds passes, and never loses what another move left right.
 */

import { type Guides, type Layer, type LayerId, mixNoise } from "../../../../picture/index.ts";
import { addSamples, type StaleLayer, staleLayers, type TracedIn } from "../../../../work/index.ts";

export interface KeptLayer {
  readonly layer: Layer;
  readonly place: TracedIn;
  /** The asked noise was reached with it. */
  readonly done: boolean;
}

export interface Plan {
  readonly stale: readonly StaleLayer[];
  /** To trace now: what is stale, and what was left unfinished, which goes on from where it was. */
  readonly trace: readonly LayerId[];
  /** To trace when the hand rests. */
  readonly settle: readonly LayerId[];
}

export class KeptLayers {
  readonly #layers = new Map<LayerId, KeptLayer>();
  guides: Guides | null = null;

  plan(now: TracedIn, wanted: readonly LayerId[]): Plan {
    const places = new Map([...this.#layers].map(([id, { place }]) => [id, place]));
    const { trace, settle } = staleLayers(places, now, wanted, this.guides);
    for (const { lightId } of trace) this.#layers.delete(lightId);
    const stale = new Set(trace.map(({ lightId }) => lightId));
    return {
      stale: trace,
      trace: wanted.filter((id) => stale.has(id) || this.#layers.get(id)?.done === false),
      settle,
    };
  }

  get(id: LayerId): KeptLayer | undefined {
    return this.#layers.get(id);
  }

  /** What there is of these layers now: what passes to come are added to. */
  bases(ids: readonly LayerId[]): ReadonlyMap<LayerId, KeptLayer> {
    return new Map(ids.flatMap((id) => (this.#layers.has(id) ? [[id, this.#layers.get(id) as KeptLayer]] : [])));
  }

  /** Puts what a pass brought on top of its base. A layer that goes on stays in the place it was begun in. */
  add(layers: readonly Layer[], bases: ReadonlyMap<LayerId, KeptLayer>, place: TracedIn, guides: Guides): void {
    this.guides = guides;
    for (const layer of layers) {
      const base = bases.get(layer.lightId);
      const whole = base === undefined ? layer : addSamples(base.layer, layer);
      this.#layers.set(layer.lightId, { layer: whole, place: base?.place ?? place, done: false });
    }
  }

  /** The layers that are there, in the order wanted. */
  shown(wanted: readonly LayerId[]): readonly Layer[] {
    return wanted.flatMap((id) => this.#layers.get(id)?.layer ?? []);
  }

  /** Of the mix; infinite while a layer is missing. `weights` in the order wanted. */
  noise(wanted: readonly LayerId[], weights: readonly number[]): number {
    const layers = this.shown(wanted);
    return layers.length < wanted.length ? Number.POSITIVE_INFINITY : mixNoise(layers, weights);
  }

  /** Nothing more is needed of these. */
  finish(ids: readonly LayerId[]): void {
    for (const id of ids) {
      const kept = this.#layers.get(id);
      if (kept !== undefined) this.#layers.set(id, { ...kept, done: true });
    }
  }
}
