/** The worker's side: keeps the newest scene and one tracer, traces tiles as told. */

import {
  createTracer,
  GUIDE_STRIDE,
  type PackedScene,
  type RenderRequest,
  SUM_STRIDE,
  type Tracer,
} from "../picture/index.ts";
import type { FromWorker, ToWorker } from "./types.ts";

/** Answers messages; `say` posts an answer and the buffers to hand over. */
export function traceWorker(say: (message: FromWorker, transfer: ArrayBuffer[]) => void): (message: ToWorker) => void {
  let scene: PackedScene | null = null;
  let tracer: Tracer | null = null;
  let request: string | null = null;
  let rays = 0;
  const tracerFor = (wanted: RenderRequest): Tracer => {
    const text = JSON.stringify(wanted);
    if (tracer === null || request !== text) {
      tracer = createTracer(scene as PackedScene, wanted);
      request = text;
      rays = 0;
    }
    return tracer;
  };
  return (message) => {
    if (message.kind === "scene") {
      scene = message.scene;
      tracer = null;
      return;
    }
    const { jobId, tile, first, samples } = message;
    try {
      const layers = message.request.emitters.length + (message.request.ambient ? 1 : 0);
      const count = tile.width * tile.height;
      const sums = Array.from({ length: layers }, () => new Float32Array(SUM_STRIDE * count));
      const guides = new Float32Array(GUIDE_STRIDE * count);
      const own = tracerFor(message.request);
      own.trace(tile, first, samples, sums, guides);
      const before = rays;
      rays = own.rays();
      const buffers = [...sums, guides];
      const answer: FromWorker = { kind: "traced", jobId, tile, sums, guides, rays: rays - before };
      say(
        answer,
        buffers.map(({ buffer }) => buffer as ArrayBuffer),
      );
    } catch (error) {
      say({ kind: "failed", jobId, message: error instanceof Error ? error.message : String(error) }, []);
    }
  };
}
