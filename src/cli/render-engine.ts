/** What traces: the graphics card where the optional package `webgpu` and a driver are, the processor otherwise. */

import {
  createCardRenderer,
  createGpuFinisher,
  createGpuRenderer,
  createGpuTracer,
  type GpuFinisher,
  type GpuTracer,
  openDevice,
} from "../gpu/index.ts";
import { readGuides } from "../picture/index.ts";
import { processorCount, type Renderer } from "../work/index.ts";

export interface Engine {
  readonly kind: "card" | "processor";
  /** "graphics card (maker architecture)", "processor, 8 threads". */
  readonly words: string;
  /** Null: let the work room make its threads. */
  readonly renderer: Renderer | null;
  end(): void;
}

export const processorEngine = (): Engine => {
  const count = processorCount();
  const words = `processor, ${count} ${count === 1 ? "thread" : "threads"}`;
  return { kind: "processor", words, renderer: null, end: () => {} };
};

/** The card when it opens, else the processor. Never throws. */
export async function openEngine(): Promise<Engine> {
  const opened = await openDevice();
  if (!opened.ok) return processorEngine();
  const { device, name } = opened;
  // A driver that computes on the processor does so slower than our threads.
  if (device.adapterInfo?.isFallbackAdapter) {
    device.destroy();
    return processorEngine();
  }
  try {
    const renderer = cardRenderer(await createGpuTracer(device), await createGpuFinisher(device), () =>
      device.destroy(),
    );
    const words = `graphics card${name === "" ? "" : ` (${name})`}`;
    return { kind: "card", words, renderer, end: renderer.end };
  } catch {
    // A driver that opens and then cannot compile: nothing is lost, the processor does the same.
    device.destroy();
    return processorEngine();
  }
}

/**
 * The card under the work room's manners. A filtered picture is filtered and judged on the card, and its layers are read
 * back once, at the end: passes before that tell their numbers and carry no layers.
 */
function cardRenderer(tracer: GpuTracer, finisher: GpuFinisher, end: () => void): Renderer {
  const plain = createGpuRenderer(tracer);
  const filtering = createCardRenderer(tracer, finisher);
  return {
    async render(scene, request, goal, onPass) {
      if (goal.filter !== true) return plain.render(scene, request, goal, onPass);
      const none = { layers: [], guides: readGuides(new Float32Array(0), 0, 0) };
      const last = await filtering.show(scene, request, goal, (pass) => onPass?.({ ...pass, ...none }));
      if (last === null) return null;
      const layers = await finisher.layers();
      return { ...last, layers, filtered: layers, guides: await tracer.readGuides() };
    },
    cancel() {
      plain.cancel();
      filtering.cancel();
    },
    strays: () => 0,
    end,
  };
}
