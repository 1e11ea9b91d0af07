/**
 * Runs the WGSL twin: keeps a scene on the card, adds passes to sums that stay there, reads layers back. One tracer per
 * device; a lost device makes every later call reject with `DeviceLostError`, and the owner opens a new one.
 * Memory on the card: 240 bytes per triangle and the tree, 48 per pixel and layer, 56 per pixel for guides.
 */

import {
  GUIDE_STRIDE,
  type Guides,
  type Layer,
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

/** The card went away: driver reset, sleep, another program. Nothing is wrong with the scene. */
export class DeviceLostError extends Error {
  override readonly name = "DeviceLostError";
}

export interface GpuTracer {
  /** Puts a scene on the card and starts a picture: sums at zero. */
  begin(scene: PackedScene, request: RenderRequest): void;
  /** Adds paths per pixel; resolves when the card is done with them. */
  add(samples: number): Promise<void>;
  /** Layers and guides so far. */
  read(): Promise<{ layers: readonly Layer[]; guides: Guides; samples: number }>;
  /** Frees everything on the card but the device. */
  end(): void;
}

interface Picture {
  readonly scene: PackedScene;
  readonly tables: SceneBuffers;
  readonly request: RenderRequest;
  readonly params: GPUBuffer;
  readonly sums: GPUBuffer;
  readonly guides: GPUBuffer;
  readonly group: GPUBindGroup;
  samples: number;
}

/** Compiles the module; rejects with its messages when the compiler has any error. */
export async function createGpuTracer(device: GPUDevice): Promise<GpuTracer> {
  let lost: string | null = null;
  void device.lost.then((info) => {
    lost = info.message || "the graphics card went away";
  });
  const module = device.createShaderModule({ code: traceWgsl });
  const { messages } = await module.getCompilationInfo();
  const errors = messages.filter(({ type }) => type === "error");
  if (errors.length > 0) throw new Error(errors.map((m) => `${m.lineNum}:${m.linePos} ${m.message}`).join("\n"));
  const pipeline = await device.createComputePipelineAsync({
    layout: "auto",
    compute: { module, entryPoint: "trace" },
  });
  let kept: { scene: PackedScene; tables: SceneBuffers; buffers: readonly GPUBuffer[] } | null = null;
  let picture: Picture | null = null;

  const alive = (): Picture => {
    if (lost !== null) throw new DeviceLostError(lost);
    if (!picture) throw new RangeError("no picture was begun");
    return picture;
  };
  const storage = (data: ArrayBuffer | ArrayBufferView<ArrayBuffer>): GPUBuffer => {
    const buffer = device.createBuffer({ size: Math.max(16, data.byteLength), usage: STORAGE | COPY_DST });
    device.queue.writeBuffer(buffer, 0, data);
    return buffer;
  };
  const load = (scene: PackedScene) => {
    if (kept?.scene === scene) return kept;
    kept?.buffers.forEach((buffer) => {
      buffer.destroy();
    });
    const tables = sceneBuffers(scene);
    const buffers = [tables.nodes, tables.triangles, tables.vertices, tables.tables].map(storage);
    kept = { scene, tables, buffers };
    return kept;
  };
  const drop = (): void => {
    for (const buffer of [picture?.params, picture?.sums, picture?.guides]) buffer?.destroy();
    picture = null;
  };

  return {
    begin(scene, request) {
      if (lost !== null) throw new DeviceLostError(lost);
      drop();
      const { tables, buffers } = load(scene);
      const pixels = request.width * request.height;
      const layers = layerIds(scene, request).length;
      device.queue.writeBuffer(buffers[3] as GPUBuffer, 4 * tables.places.request, Float32Array.from(request.emitters));
      const params = device.createBuffer({ size: 160, usage: UNIFORM | COPY_DST });
      const sums = device.createBuffer({
        size: 4 * SUM_STRIDE * pixels * Math.max(1, layers),
        usage: STORAGE | COPY_SRC,
      });
      const guides = device.createBuffer({ size: 4 * GUIDE_STRIDE * pixels, usage: STORAGE | COPY_SRC });
      const entries = [params, ...buffers, sums, guides].map((buffer, binding) => ({ binding, resource: { buffer } }));
      const group = device.createBindGroup({ layout: pipeline.getBindGroupLayout(0), entries });
      picture = { scene, tables, request, params, sums, guides, group, samples: 0 };
    },
    async add(samples) {
      const own = alive();
      const { width, height } = own.request;
      const part = { first: own.samples, samples, row: 0, rows: height };
      device.queue.writeBuffer(own.params, 0, paramsBuffer(own.scene, own.tables, own.request, part));
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      pass.setPipeline(pipeline);
      pass.setBindGroup(0, own.group);
      pass.dispatchWorkgroups(Math.ceil(width / 8), Math.ceil(height / 8));
      pass.end();
      device.queue.submit([encoder.finish()]);
      own.samples += samples;
      await device.queue.onSubmittedWorkDone();
      if (lost !== null) throw new DeviceLostError(lost);
    },
    async read() {
      const own = alive();
      const { scene, request, samples } = own;
      const { width, height } = request;
      const [sums, flat] = await Promise.all([readBack(device, own.sums), readBack(device, own.guides)]);
      if (lost !== null) throw new DeviceLostError(lost);
      const guides = readGuides(flat, width, height);
      const size = SUM_STRIDE * width * height;
      const layers = layerIds(scene, request).map((id, i) =>
        readLayer(sums.subarray(size * i, size * (i + 1)), guides, id),
      );
      return { layers, guides, samples };
    },
    end() {
      drop();
      kept?.buffers.forEach((buffer) => {
        buffer.destroy();
      });
      kept = null;
    },
  };
}

// Bits of the WebGPU specification; the names live on globals that Node does not have.
const [MAP_READ, COPY_SRC, COPY_DST, UNIFORM, STORAGE] = [0x1, 0x4, 0x8, 0x40, 0x80] as const;

async function readBack(device: GPUDevice, from: GPUBuffer): Promise<Float32Array> {
  const staging = device.createBuffer({ size: from.size, usage: MAP_READ | COPY_DST });
  const encoder = device.createCommandEncoder();
  encoder.copyBufferToBuffer(from, 0, staging, 0, from.size);
  device.queue.submit([encoder.finish()]);
  try {
    await staging.mapAsync(1);
    return new Float32Array(staging.getMappedRange().slice(0));
  } finally {
    staging.destroy();
  }
}
