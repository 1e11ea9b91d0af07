/**
 * Runs the WGSL twin: keeps a scene on the card, adds passes to sums that stay there, reads layers back. One tracer per
 * device; a lost device makes every later call reject with `DeviceLostError`, and the owner opens a new one.
 * Memory on the card: 60 bytes per triangle, 48 per vertex, the tree; 48 per pixel and layer, 56 per pixel for guides.
 */

import {
  allTiles,
  GUIDE_STRIDE,
  type Guides,
  type Layer,
  type LayerId,
  layerIds,
  type PackedScene,
  paramsBuffer,
  type RenderRequest,
  readGuides,
  readLayer,
  type SceneBuffers,
  SUM_STRIDE,
  sceneBuffers,
  traceWgsl,
} from "../picture/index.ts";
import { COPY_DST, COPY_SRC, compiled, INDIRECT, readBack, STORAGE, UNIFORM, uploaded } from "./buffers.ts";
import type { CardSums } from "./finisher.ts";

/** The card went away: driver reset, sleep, another program. Nothing is wrong with the scene. */
export class DeviceLostError extends Error {
  override readonly name = "DeviceLostError";
}

export interface GpuTracer {
  /** Puts a scene on the card and starts a picture: sums at zero. */
  begin(scene: PackedScene, request: RenderRequest): void;
  /** Adds paths per pixel, everywhere or in the tiles that a finisher chose; resolves when the card is done with them. */
  add(samples: number, where?: "all" | "chosen"): Promise<void>;
  /** Layers and guides so far. */
  read(): Promise<{ layers: readonly Layer[]; guides: Guides; samples: number }>;
  /** What a finisher works on: nothing is copied. */
  card(): CardSums;
  /** The guides alone. */
  readGuides(): Promise<Guides>;
  /** Bytes that it holds on the card. */
  bytes(): number;
  /** Frees everything on the card but the device. */
  end(): void;
}

interface OnCard {
  readonly scene: PackedScene;
  readonly tables: SceneBuffers;
  readonly buffers: readonly GPUBuffer[];
}

interface Picture {
  readonly scene: PackedScene;
  readonly tables: SceneBuffers;
  readonly request: RenderRequest;
  readonly ids: readonly LayerId[];
  readonly params: GPUBuffer;
  readonly sums: GPUBuffer;
  readonly guides: GPUBuffer;
  readonly tiles: Readonly<Record<"all" | "chosen", GPUBuffer>>;
  readonly groups: Readonly<Record<"all" | "chosen", GPUBindGroup>>;
  samples: number;
}

/** Compiles the module; rejects with its messages when the compiler has any error. */
export async function createGpuTracer(device: GPUDevice): Promise<GpuTracer> {
  let lost: string | null = null;
  void device.lost.then((info) => {
    lost = info.message || "the graphics card went away";
  });
  const module = await compiled(device, traceWgsl);
  const pipeline = await device.createComputePipelineAsync({
    layout: "auto",
    compute: { module, entryPoint: "trace" },
  });
  let kept: OnCard | null = null;
  let picture: Picture | null = null;

  const alive = (): Picture => {
    if (lost !== null) throw new DeviceLostError(lost);
    if (!picture) throw new RangeError("no picture was begun");
    return picture;
  };
  const load = (scene: PackedScene): OnCard => {
    if (kept && sameOnCard(kept.scene, scene)) kept = { ...kept, scene };
    else {
      destroyAll(kept?.buffers ?? []);
      const tables = sceneBuffers(scene);
      const data = [tables.nodes, tables.triangles, tables.vertices, tables.tables, tables.words];
      kept = { scene, tables, buffers: data.map((each) => uploaded(device, each)) };
    }
    return kept;
  };
  /** Sums and guides for a picture: the last one's, emptied, where they are as large. */
  const sheets = (
    width: number,
    height: number,
    layers: number,
  ): Pick<Picture, "params" | "sums" | "guides" | "tiles"> => {
    const pixels = width * height;
    const sizes = { sums: 4 * SUM_STRIDE * pixels * Math.max(1, layers), guides: 4 * GUIDE_STRIDE * pixels };
    if (picture?.sums.size === sizes.sums && picture.request.width === width && picture.request.height === height) {
      const encoder = device.createCommandEncoder();
      encoder.clearBuffer(picture.sums);
      encoder.clearBuffer(picture.guides);
      device.queue.submit([encoder.finish()]);
      return picture;
    }
    const most = Math.min(device.limits.maxStorageBufferBindingSize, device.limits.maxBufferSize);
    if (sizes.sums > most) {
      const [asked, limit] = [sizes.sums, most].map((bytes) => Math.ceil(bytes / 2 ** 20));
      throw new RangeError(`the picture needs ${asked} MiB in one buffer, this graphics card has ${limit}`);
    }
    drop();
    const usage = STORAGE | COPY_SRC | COPY_DST;
    return {
      params: device.createBuffer({ size: 160, usage: UNIFORM | COPY_DST }),
      sums: device.createBuffer({ size: sizes.sums, usage }),
      guides: device.createBuffer({ size: sizes.guides, usage }),
      tiles: {
        all: uploaded(device, allTiles(width, height), STORAGE | INDIRECT),
        chosen: uploaded(device, allTiles(width, height), STORAGE | INDIRECT | COPY_SRC),
      },
    };
  };
  const drop = (): void => {
    if (picture) destroyAll([picture.params, picture.sums, picture.guides, picture.tiles.all, picture.tiles.chosen]);
    picture = null;
  };

  return {
    begin(scene, request) {
      if (lost !== null) throw new DeviceLostError(lost);
      const { tables, buffers } = load(scene);
      const ids = layerIds(scene, request);
      const { params, sums, guides, tiles } = sheets(request.width, request.height, ids.length);
      device.queue.writeBuffer(buffers[3] as GPUBuffer, 4 * tables.places.request, Float32Array.from(request.emitters));
      const [nodes, triangles, vertices, numbers, words] = buffers;
      const groupOver = (list: GPUBuffer): GPUBindGroup => {
        const all = [params, nodes, triangles, vertices, numbers, sums, guides, words, list];
        const entries = all.map((buffer, binding) => ({ binding, resource: { buffer: buffer as GPUBuffer } }));
        return device.createBindGroup({ layout: pipeline.getBindGroupLayout(0), entries });
      };
      const groups = { all: groupOver(tiles.all), chosen: groupOver(tiles.chosen) };
      picture = { scene, tables, request, ids, params, sums, guides, tiles, groups, samples: 0 };
    },
    async add(samples, where = "all") {
      const own = alive();
      const part = { samples, row: 0, rows: own.request.height };
      device.queue.writeBuffer(own.params, 0, paramsBuffer(own.scene, own.tables, own.request, part));
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      pass.setPipeline(pipeline);
      pass.setBindGroup(0, own.groups[where]);
      pass.dispatchWorkgroupsIndirect(own.tiles[where], 0);
      pass.end();
      device.queue.submit([encoder.finish()]);
      if (where === "all") own.samples += samples;
      await device.queue.onSubmittedWorkDone();
      if (lost !== null) throw new DeviceLostError(lost);
    },
    card() {
      const { request, ids, samples, sums, guides, tiles } = alive();
      return { width: request.width, height: request.height, ids, samples, sums, guides, chosen: tiles.chosen };
    },
    async read() {
      const { request, ids, samples, ...own } = alive();
      const { width, height } = request;
      const [sums, flat] = await Promise.all([readBack(device, own.sums), readBack(device, own.guides)]);
      if (lost !== null) throw new DeviceLostError(lost);
      const guides = readGuides(new Float32Array(flat), width, height);
      const size = SUM_STRIDE * width * height;
      const all = new Float32Array(sums);
      const layers = ids.map((id, i) => readLayer(all.subarray(size * i, size * (i + 1)), guides, id));
      return { layers, guides, samples };
    },
    async readGuides() {
      const { request, guides } = alive();
      return readGuides(new Float32Array(await readBack(device, guides)), request.width, request.height);
    },
    bytes() {
      const own = picture
        ? [picture.sums, picture.guides, picture.params, picture.tiles.all, picture.tiles.chosen]
        : [];
      return [...own, ...(kept?.buffers ?? [])].reduce((sum, { size }) => sum + size, 0);
    },
    end() {
      drop();
      destroyAll(kept?.buffers ?? []);
      kept = null;
    },
  };
}

/** Whether what lies on the card serves another scene: a camera alone travels in the parameters. */
const sameOnCard = (a: PackedScene, b: PackedScene): boolean =>
  a.mesh === b.mesh &&
  a.bvh === b.bvh &&
  a.hidden === b.hidden &&
  a.materials === b.materials &&
  a.coats === b.coats &&
  a.emitters === b.emitters;

function destroyAll(buffers: readonly GPUBuffer[]): void {
  for (const buffer of buffers) buffer.destroy();
}
