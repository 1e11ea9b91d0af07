/** A whole picture in this thread: for small pictures, tests and machines without workers. Pools are in work/. */

import type { Scene } from "../scene/index.ts";
import { addGuides, GUIDE_STRIDE, readGuides } from "./guides.ts";
import { type PackedScene, packScene } from "./pack.ts";
import { addTile, readLayer, SUM_STRIDE } from "./sums.ts";
import { createTracer } from "./trace.ts";
import type { Guides, Layer, LayerId, RenderRequest } from "./types.ts";

export interface Rendered {
  readonly layers: readonly Layer[];
  readonly guides: Guides;
  readonly rays: number;
}

/** Traces `samples` paths per pixel. `tileRows` cuts the picture into bands; the result does not depend on it. */
export function renderLayers(
  scene: Scene | PackedScene,
  request: RenderRequest,
  samples: number,
  tileRows: number = request.height,
): Rendered {
  const packed = "lightIds" in scene ? scene : packScene(scene);
  const { width, height } = request;
  const tracer = createTracer(packed, request);
  const ids = layerIds(packed, request);
  const sums = ids.map(() => new Float32Array(SUM_STRIDE * width * height));
  const flat = new Float32Array(GUIDE_STRIDE * width * height);
  for (let y = 0; y < height; y += tileRows) {
    const tile = { x: 0, y, width, height: Math.min(tileRows, height - y) };
    const part = ids.map(() => new Float32Array(SUM_STRIDE * tile.width * tile.height));
    const partGuides = new Float32Array(GUIDE_STRIDE * tile.width * tile.height);
    tracer.trace(tile, 0, samples, part, partGuides);
    part.forEach((own, i) => {
      addTile(sums[i] as Float32Array, width, own, tile);
    });
    addGuides(flat, width, partGuides, tile);
  }
  const guides = readGuides(flat, width, height);
  return {
    layers: ids.map((id, i) => readLayer(sums[i] as Float32Array, guides, id)),
    guides,
    rays: tracer.rays(),
  };
}

/** Names of a request's layers, in the order of its sums. */
export function layerIds(scene: PackedScene, request: RenderRequest): readonly LayerId[] {
  const lights = request.emitters.map((index) => scene.lightIds[index] as string);
  return request.ambient ? [...lights, "ambient"] : lights;
}
