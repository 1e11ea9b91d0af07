/** What the main thread and a tracing worker say to each other, and what a renderer reports. */

import type { PackedScene, RenderRequest, Tile } from "../picture/index.ts";

/** To the worker. A scene is sent once and kept until the next one. */
export type ToWorker =
  | { readonly kind: "scene"; readonly sceneId: number; readonly scene: PackedScene }
  | {
      readonly kind: "trace";
      readonly jobId: number;
      readonly sceneId: number;
      readonly request: RenderRequest;
      readonly tile: Tile;
      readonly first: number;
      readonly samples: number;
    };

/** From the worker. */
export type FromWorker =
  | {
      readonly kind: "traced";
      readonly jobId: number;
      readonly tile: Tile;
      readonly sums: readonly Float32Array[];
      readonly guides: Float32Array;
      readonly rays: number;
    }
  | { readonly kind: "failed"; readonly jobId: number; readonly message: string };

/** A thread that traces: a browser's module worker, a Node worker thread, or this very thread. */
export interface Port {
  post(message: ToWorker): void;
  listen(hear: (message: FromWorker) => void): void;
  end(): void;
}

export type { Progress, RenderGoal } from "../picture/index.ts";
