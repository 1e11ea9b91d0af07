/**
 * What traces: the graphics card, which filters what it traced before it hands it over, or threads of the processor,
 * between whose passes this thread filters. One run at a time; a newer one ends the older.
 */

import { createCardRenderer, createGpuFinisher, createGpuTracer, openDevice } from "../../../../gpu/index.ts";
import type { Guides, Layer, PackedScene, RenderRequest } from "../../../../picture/index.ts";
import { createRenderer, type RenderGoal } from "../../../../work/index.ts";

export interface Pass {
  /** Filtered. */
  readonly layers: readonly Layer[];
  readonly guides: Guides;
  readonly samples: number;
  /** The goal is reached. */
  readonly done: boolean;
}

export interface Engine {
  readonly name: "graphics card" | "processor";
  /** Why there is no card, or which it is. */
  readonly why: string;
  /** Paths per pixel at most. */
  readonly mostSamples: number;
  /**
   * Traces pass after pass until the goal, or until `hear` says that it is enough. True when it came to an end of its
   * own, false when a newer run or `cancel` ended it.
   */
  run(scene: PackedScene, request: RenderRequest, goal: RenderGoal, hear: (pass: Pass) => boolean): Promise<boolean>;
  cancel(): void;
}

/** The card where there is one. */
export async function openEngine(): Promise<Engine> {
  const opened = await openDevice();
  if (!opened.ok) return processorEngine(opened.why);
  try {
    return await cardEngine(opened.device, opened.name);
  } catch (cause) {
    return processorEngine(cause instanceof Error ? cause.message : String(cause));
  }
}

async function cardEngine(device: GPUDevice, why: string): Promise<Engine> {
  const tracer = await createGpuTracer(device);
  const finisher = await createGpuFinisher(device);
  const renderer = createCardRenderer(tracer, finisher);
  let current = 0;
  const cancel = (): void => {
    current++;
    renderer.cancel();
  };
  return {
    name: "graphics card",
    why,
    mostSamples: 1024,
    cancel,
    async run(scene, request, goal, hear) {
      const own = ++current;
      let enough = false;
      let guides: Guides | null = null;
      let told: Promise<void> = Promise.resolve();
      const last = await renderer.show(scene, request, goal, ({ samples, done }) => {
        // Asked for now, before the next pass is developed in their place.
        const layers = finisher.layers();
        told = told.then(async () => {
          const read = await layers;
          const seen = guides ?? (await tracer.readGuides());
          guides = seen;
          if (own !== current) return;
          enough = hear({ layers: read, guides: seen, samples, done }) || enough;
          if (enough && !done) renderer.cancel();
        });
      });
      await told;
      return own === current && (last !== null || enough);
    },
  };
}

/** Without a card the picture stops earlier: the machine has other work to do. */
export function processorEngine(why: string): Engine {
  const renderer = createRenderer();
  let current = 0;
  const cancel = (): void => {
    current++;
    renderer.cancel();
  };
  return {
    name: "processor",
    why,
    mostSamples: 128,
    cancel,
    async run(scene, request, goal, hear) {
      const own = ++current;
      let enough = false;
      const goalHere = { ...goal, filter: true };
      const last = await renderer.render(scene, request, goalHere, ({ layers, filtered, guides, samples, done }) => {
        enough = hear({ layers: filtered ?? layers, guides, samples, done });
        if (enough && !done) renderer.cancel();
      });
      return own === current && (last !== null || enough);
    },
  };
}
