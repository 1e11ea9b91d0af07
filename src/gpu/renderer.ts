/**
 * Passes on the card, with the manners of the work room's renderer: one job at a time, a newer one ends the older with
 * null, passes double until the asked noise. A dispatch adds at most four paths per pixel, so that cancelling waits
 * for one dispatch and no driver thinks the card hangs.
 */

import {
  layerIds,
  mixNoise,
  type PackedScene,
  type Progress,
  type RenderGoal,
  type RenderRequest,
} from "../picture/index.ts";
import type { GpuTracer } from "./tracer.ts";

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

export function createGpuRenderer(tracer: GpuTracer): GpuRenderer {
  let current = 0;
  /** The card's work in order: a new picture begins when the old one's last dispatch has ended. */
  let tail: Promise<unknown> = Promise.resolve();
  const run = async (
    own: number,
    scene: PackedScene,
    request: RenderRequest,
    goal: RenderGoal,
    onPass?: (progress: Progress) => void,
  ): Promise<Progress | null> => {
    if (own !== current) return null;
    tracer.begin(scene, request);
    for (let samples = 0; ; ) {
      const passEnd = Math.min(goal.mostSamples, Math.max(1, 2 * samples));
      while (samples < passEnd) {
        const part = Math.min(MOST_PER_DISPATCH, passEnd - samples);
        await tracer.add(part);
        samples += part;
        if (own !== current) return null;
      }
      const progress = await progressOf(tracer, scene, request, goal);
      if (own !== current) return null;
      onPass?.(progress);
      if (progress.done || own !== current) return own === current ? progress : null;
    }
  };
  return {
    render(scene, request, goal, onPass) {
      const own = ++current;
      const job = tail.then(() => run(own, scene, request, goal, onPass));
      tail = job.catch(() => {});
      return job;
    },
    cancel() {
      current++;
    },
  };
}

async function progressOf(
  tracer: GpuTracer,
  scene: PackedScene,
  request: RenderRequest,
  goal: RenderGoal,
): Promise<Progress> {
  const { layers, guides, samples } = await tracer.read();
  const noiseStops = goal.weights
    ? mixNoise(layers, goal.weights)
    : Math.max(0, ...layers.map(({ estimatedNoiseStops }) => estimatedNoiseStops));
  const done = samples >= goal.mostSamples || noiseStops <= goal.noiseStops;
  // The card does not count its rays; a path casts at least one to the surface and one to each light.
  const rays = request.width * request.height * samples * (1 + layerIds(scene, request).length);
  return { layers, guides, samples, noiseStops, rays, done };
}
