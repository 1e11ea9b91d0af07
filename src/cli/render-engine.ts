/** What traces: the graphics card where the optional package `webgpu` and a driver are, the processor otherwise. */

import { createGpuRenderer, createGpuTracer, openDevice } from "../gpu/index.ts";
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
    const card = createGpuRenderer(await createGpuTracer(device));
    const end = (): void => device.destroy();
    const renderer: Renderer = { ...card, strays: () => 0, end };
    return { kind: "card", words: `graphics card${name === "" ? "" : ` (${name})`}`, renderer, end };
  } catch {
    // A driver that opens and then cannot compile: nothing is lost, the processor does the same.
    device.destroy();
    return processorEngine();
  }
}
