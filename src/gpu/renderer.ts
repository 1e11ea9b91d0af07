/**
 * Passes on the card, with the manners of the work room's renderer: one job at a time, a newer one ends the older with
 * null, passes double until the asked noise. A dispatch adds at most four paths per pixel, so that cancelling waits
 * for one dispatch and no driver thinks the card hangs. A picture that stays on the card is estimated there, and after
 * a few paths only its noisy tiles go on; layers travel only where someone asks for them.
 */

import {
  layerIds,
  mixNoise,
  type PackedScene,
  type Progress,
  type RenderGoal,
  type RenderRequest,
} from "../picture/index.ts";
import type { GpuFinisher } from "./finisher.ts";
import type { GpuTracer } from "./tracer.ts";

/** A pass whose layers stay on the card, in the finisher: paint them, or read them there. */
export type CardProgress = Omit<Progress, "layers" | "guides">;

export interface GpuRenderer {
  /** Resolves with the last pass, or null when a newer job or `cancel` took its place. Rejects with DeviceLostError. */
  render(
    scene: PackedScene,
    request: RenderRequest,
    goal: RenderGoal,
    onPass?: (progress: Progress) => void,
  ): Promise<Progress | null>;
  cancel(): void;
}

const MOST_PER_DISPATCH = 4;

/** Layers and guides come with every pass, unfiltered: for those who work on with them off the card. */
export function createGpuRenderer(tracer: GpuTracer): GpuRenderer {
  const passes = createPasses(tracer);
  return {
    render: (scene, request, goal, onPass) =>
      passes.run(scene, request, goal, async (own) => {
        const { layers, guides } = await tracer.read();
        const noiseStops = goal.weights
          ? mixNoise(layers, goal.weights)
          : Math.max(0, ...layers.map(({ estimatedNoiseStops }) => estimatedNoiseStops));
        const progress = { ...own(noiseStops), layers, guides };
        return { progress, tell: () => onPass?.(progress) };
      }),
    cancel: passes.cancel,
  };
}

export interface CardRenderer {
  /**
   * The same for a picture that stays on the card: each pass is developed in the finisher before `onPass` hears of it.
   * The estimate is that of the developed layers, so that a filtered picture stops when the filtered picture is good.
   */
  show(
    scene: PackedScene,
    request: RenderRequest,
    goal: RenderGoal,
    onPass?: (progress: CardProgress) => void,
  ): Promise<CardProgress | null>;
  cancel(): void;
}

/** Paths everywhere before only noisy tiles go on: with fewer the estimate of a tile is a guess. */
const EVERYWHERE = 4;

export function createCardRenderer(tracer: GpuTracer, finisher: GpuFinisher, denoise = true): CardRenderer {
  const passes = createPasses(tracer);
  return {
    show: (scene, request, goal, onPass) =>
      passes.run(scene, request, goal, async (own) => {
        finisher.develop(tracer.card(), denoise);
        const progress = own(await finisher.noise(goal.weights));
        const narrows = goal.weights !== undefined && !progress.done && tracer.card().samples >= EVERYWHERE;
        const share = narrows ? await finisher.choose(tracer.card(), goal.weights, goal.noiseStops) : 1;
        // Every tile is within the goal though the whole seems not to be: that is what was asked.
        const last = share === 0 ? { ...progress, done: true } : progress;
        return { progress: last, tell: () => onPass?.(last), share };
      }),
    cancel: passes.cancel,
  };
}

interface Passes {
  run<P extends CardProgress>(
    scene: PackedScene,
    request: RenderRequest,
    goal: RenderGoal,
    endPass: (own: (noiseStops: number) => CardProgress) => Promise<{ progress: P; tell: () => void; share?: number }>,
  ): Promise<P | null>;
  cancel(): void;
}

function createPasses(tracer: GpuTracer): Passes {
  let current = 0;
  /** The card's work in order: a new picture begins when the old one's last dispatch has ended. */
  let tail: Promise<unknown> = Promise.resolve();
  const trace: (own: number, ...job: Parameters<Passes["run"]>) => Promise<CardProgress | null> = async (
    own,
    scene,
    request,
    goal,
    endPass,
  ) => {
    if (own !== current) return null;
    tracer.begin(scene, request);
    // Paths of the pixels that go on, and of the mean pixel.
    for (let [samples, mean, share] = [0, 0, 1]; ; ) {
      const passEnd = Math.min(goal.mostSamples, Math.max(1, 2 * samples));
      while (samples < passEnd) {
        const part = Math.min(MOST_PER_DISPATCH, passEnd - samples);
        await tracer.add(part, share === 1 ? "all" : "chosen");
        samples += part;
        mean += share * part;
        if (own !== current) return null;
      }
      const pass = await endPass((noiseStops) => stateOf(scene, request, goal, samples, mean, noiseStops));
      if (own !== current) return null;
      pass.tell();
      if (pass.progress.done || own !== current) return own === current ? pass.progress : null;
      share = pass.share ?? 1;
    }
  };
  return {
    run<P extends CardProgress>(...job: Parameters<Passes["run"]>) {
      const own = ++current;
      const done = tail.then(() => trace(own, ...job));
      tail = done.catch(() => {});
      return done as Promise<P | null>;
    },
    cancel() {
      current++;
    },
  };
}

function stateOf(
  scene: PackedScene,
  request: RenderRequest,
  goal: RenderGoal,
  samples: number,
  mean: number,
  noiseStops: number,
): CardProgress {
  const done = samples >= goal.mostSamples || noiseStops <= goal.noiseStops;
  // The card does not count its rays; a path casts at least one to the surface and one to each light.
  const rays = request.width * request.height * mean * (1 + layerIds(scene, request).length);
  return { samples: mean, noiseStops, rays, done };
}
