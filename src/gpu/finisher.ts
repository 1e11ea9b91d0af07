/**
 * From sums on the card to a picture, without reading them back: layers, the filter, the noise estimate, the mix as
 * pixels or on a canvas. A dial, a gel, a switch or the aperture is one `paint` or `pixels`: a few bytes up, one
 * dispatch. Memory on the card per pixel: 16 bytes a layer, 192 for the filter's planes, 48 for surfaces, 4 for pixels.
 */

import {
  CARD,
  chooseBuffer,
  chooseWgsl,
  emptyTiles,
  FILTER_GROUP,
  FILTER_STEPS,
  filterParams,
  filterWgsl,
  type Layer,
  type LayerId,
  type Look,
  lookBuffer,
  mixNoise,
  mixWgsl,
  noiseOf,
  paintWgsl,
  resolveWgsl,
  thinWgsl,
} from "../picture/index.ts";
import { COPY_DST, COPY_SRC, compiled, readBack, STORAGE, UNIFORM, uploaded } from "./buffers.ts";

/** What a tracer has on the card. */
export interface CardSums {
  readonly width: number;
  readonly height: number;
  readonly ids: readonly LayerId[];
  readonly samples: number;
  readonly sums: GPUBuffer;
  readonly guides: GPUBuffer;
  /** The list of tiles that go on. */
  readonly chosen: GPUBuffer;
}

export interface GpuFinisher {
  /** Makes layers of the sums as they are now, filtered or as they fell. The mix shows them from then on. */
  develop(sums: CardSums, denoise: boolean): void;
  /** Estimated noise in stops: of the mix by `weights` (output over H_ref), else of the noisiest layer. */
  noise(weights?: readonly number[]): Promise<number>;
  /**
   * Lists the tiles that are noisier than asked, over tones within 6 stops under the card, for the tracer's next paths;
   * resolves with their share of the picture.
   */
  choose(sums: CardSums, weights: readonly number[], noiseStops: number): Promise<number>;
  /** The mix as RGBA, for those without a canvas. */
  pixels(look: Look): Promise<Uint8ClampedArray<ArrayBuffer>>;
  /** Draws the mix into a texture of the picture's size: a canvas's current one. */
  paint(texture: GPUTexture, look: Look): void;
  /** Each layer's linear rgb at a pixel. */
  at(x: number, y: number): Promise<readonly (readonly [number, number, number])[]>;
  /** The layers, read back whole. */
  layers(): Promise<readonly Layer[]>;
  /** Bytes that it holds on the card. */
  bytes(): number;
  end(): void;
}

/** At most so many pixels are asked for the noise. */
const ASKED = 20000;
/** Uniform buffers may be bound at multiples of this in any adapter. */
const SLOT = 256;

interface Developed {
  readonly width: number;
  readonly height: number;
  readonly ids: readonly LayerId[];
  readonly layers: GPUBuffer;
  readonly surfaces: GPUBuffer;
  readonly planes: readonly [GPUBuffer, GPUBuffer];
  readonly hints: GPUBuffer;
  readonly params: GPUBuffer;
  readonly pixels: GPUBuffer;
  readonly look: GPUBuffer;
  samples: number;
}

/** Compiles the small modules; rejects with the compiler's messages when one has an error. */
export async function createGpuFinisher(device: GPUDevice): Promise<GpuFinisher> {
  const pipelines = await compileAll(device);
  const painters = new Map<GPUTextureFormat, GPURenderPipeline>();
  const paintModule = await compiled(device, paintWgsl);
  let own: Developed | null = null;

  const shown = (): Developed => {
    if (!own) throw new RangeError("nothing was developed");
    return own;
  };
  const room = (sums: CardSums): Developed => {
    const { width, height, ids } = sums;
    if (own?.width === width && own.height === height && own.ids.length === ids.length) return { ...own, ids };
    drop(own);
    return roomFor(device, width, height, ids);
  };
  const begin = (look: Look): Developed => {
    const picture = shown();
    device.queue.writeBuffer(picture.look, 0, lookBuffer(picture.ids, picture.width, picture.height, look));
    return picture;
  };
  const painterOf = (format: GPUTextureFormat): GPURenderPipeline => {
    const known = painters.get(format);
    if (known) return known;
    const made = device.createRenderPipeline({
      layout: "auto",
      vertex: { module: paintModule, entryPoint: "paintVertex" },
      fragment: { module: paintModule, entryPoint: "paintFragment", targets: [{ format }] },
    });
    painters.set(format, made);
    return made;
  };

  return {
    develop(sums, denoise) {
      own = room(sums);
      own.samples = sums.samples;
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      for (const step of stepsOf(device, own, sums, denoise)) {
        pass.setPipeline(pipelines[step.entry]);
        pass.setBindGroup(0, groupOf(device, pipelines[step.entry], step.buffers));
        pass.dispatchWorkgroups(Math.ceil(own.width / 8), Math.ceil(own.height / 8), step.layers);
      }
      pass.end();
      device.queue.submit([encoder.finish()]);
    },
    async noise(weights) {
      const { samples } = shown();
      if (samples < 2) return Number.POSITIVE_INFINITY;
      const thin = await thinLayers(device, pipelines.thin, shown());
      if (weights) return mixNoise(thin, weights);
      return Math.max(0, ...thin.map(({ estimatedNoiseStops }) => estimatedNoiseStops));
    },
    async choose(sums, weights, noiseStops) {
      const { width, height, layers } = shown();
      const goal = uploaded(device, chooseBuffer(width, height, weights, noiseStops, CARD / 64));
      device.queue.writeBuffer(sums.chosen, 0, emptyTiles);
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      pass.setPipeline(pipelines.choose);
      pass.setBindGroup(0, groupOf(device, pipelines.choose, { 0: goal, 1: layers, 2: sums.chosen }));
      pass.dispatchWorkgroups(Math.ceil(width / 8), Math.ceil(height / 8));
      pass.end();
      device.queue.submit([encoder.finish()]);
      const [, , , count] = new Uint32Array(await readBack(device, sums.chosen, 16));
      goal.destroy();
      return (count as number) / (Math.ceil(width / 8) * Math.ceil(height / 8));
    },
    async pixels(look) {
      const picture = begin(look);
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      pass.setPipeline(pipelines.mixPixels);
      const buffers = { 0: picture.look, 1: picture.layers, 2: picture.pixels };
      pass.setBindGroup(0, groupOf(device, pipelines.mixPixels, buffers));
      pass.dispatchWorkgroups(Math.ceil(picture.width / 8), Math.ceil(picture.height / 8));
      pass.end();
      device.queue.submit([encoder.finish()]);
      return new Uint8ClampedArray(await readBack(device, picture.pixels));
    },
    paint(texture, look) {
      const picture = begin(look);
      const painter = painterOf(texture.format);
      const encoder = device.createCommandEncoder();
      const attachment = { view: texture.createView(), loadOp: "clear", storeOp: "store" } as const;
      const pass = encoder.beginRenderPass({ colorAttachments: [attachment] });
      pass.setPipeline(painter);
      pass.setBindGroup(0, groupOf(device, painter, { 0: picture.look, 1: picture.layers }));
      pass.draw(3);
      pass.end();
      device.queue.submit([encoder.finish()]);
    },
    async at(x, y) {
      const { width, height, ids, layers } = shown();
      const places = ids.map((_, layer) => 16 * ((layer * height + y) * width + x));
      const values = await Promise.all(places.map((place) => readBack(device, layers, 16, place)));
      return values.map((value) => [...new Float32Array(value).subarray(0, 3)] as [number, number, number]);
    },
    async layers() {
      const { width, height, ids, layers, samples } = shown();
      const values = new Float32Array(await readBack(device, layers));
      const size = 4 * width * height;
      return ids.map((id, k) => layerOf(values.subarray(size * k, size * (k + 1)), id, width, height, samples));
    },
    bytes: () => (own === null ? 0 : buffersOf(own).reduce((sum, { size }) => sum + size, 0)),
    end() {
      drop(own);
      own = null;
    },
  };
}

const ENTRIES = {
  resolve: resolveWgsl,
  settle: filterWgsl,
  divide: filterWgsl,
  steady: filterWgsl,
  smoothPlanes: filterWgsl,
  join: filterWgsl,
  thin: thinWgsl,
  mixPixels: mixWgsl,
  choose: chooseWgsl,
} as const;
type Entry = keyof typeof ENTRIES;

async function compileAll(device: GPUDevice): Promise<Readonly<Record<Entry, GPUComputePipeline>>> {
  const modules = new Map<string, Promise<GPUShaderModule>>();
  const made = Object.entries(ENTRIES).map(async ([entryPoint, code]) => {
    const known = modules.get(code) ?? compiled(device, code);
    modules.set(code, known);
    const compute = { module: await known, entryPoint };
    return [entryPoint, device.createComputePipeline({ layout: "auto", compute })] as const;
  });
  return Object.fromEntries(await Promise.all(made)) as Record<Entry, GPUComputePipeline>;
}

/** One dispatch: which entry, its buffers by binding, how many layers deep. */
interface Step {
  readonly entry: Entry;
  readonly buffers: Readonly<Record<number, GPUBuffer | GPUBufferBinding>>;
  readonly layers: number;
}

/** The dispatches of a development, in order; writes their parameters. */
function stepsOf(device: GPUDevice, own: Developed, sums: CardSums, denoise: boolean): readonly Step[] {
  const { width, height, ids, guides } = sums;
  let slots = 0;
  const params = (firstLayer: number, layers: number, step: number): GPUBufferBinding => {
    const offset = SLOT * slots++;
    device.queue.writeBuffer(own.params, offset, filterParams(width, height, { firstLayer, layers, step }));
    return { buffer: own.params, offset, size: 32 };
  };
  const all = params(0, ids.length, 1);
  const { layers, surfaces, hints } = own;
  if (!denoise)
    return [{ entry: "resolve", buffers: { 0: all, 1: sums.sums, 2: guides, 3: layers }, layers: ids.length }];
  const steps: Step[] = [{ entry: "settle", buffers: { 0: all, 2: guides, 4: surfaces }, layers: 1 }];
  for (let first = 0; first < ids.length; first += FILTER_GROUP) {
    const count = Math.min(FILTER_GROUP, ids.length - first);
    let [source, target] = own.planes;
    const group = params(first, count, 1);
    const pass = (entry: Entry, buffers: Step["buffers"]): void => {
      steps.push({ entry, buffers: { 4: surfaces, 5: source, 6: target, 7: hints, ...buffers }, layers: 1 });
      [source, target] = [target, source];
    };
    steps.push({ entry: "divide", buffers: { 0: group, 1: sums.sums, 4: surfaces, 6: source }, layers: count });
    pass("steady", { 0: group });
    for (const reach of FILTER_STEPS) pass("smoothPlanes", { 0: params(first, count, reach) });
    const buffers = { 0: group, 1: sums.sums, 3: layers, 4: surfaces, 5: source, 7: hints };
    steps.push({ entry: "join", buffers, layers: count });
  }
  return steps;
}

function groupOf(device: GPUDevice, pipeline: GPUPipelineBase, buffers: Step["buffers"]): GPUBindGroup {
  const entries = Object.entries(buffers).map(([binding, buffer]) => ({
    binding: Number(binding),
    resource: "buffer" in buffer ? buffer : { buffer },
  }));
  return device.createBindGroup({ layout: pipeline.getBindGroupLayout(0), entries });
}

function roomFor(device: GPUDevice, width: number, height: number, ids: readonly LayerId[]): Developed {
  const pixels = width * height;
  const storage = (size: number): GPUBuffer =>
    device.createBuffer({ size: Math.max(16, size), usage: STORAGE | COPY_SRC | COPY_DST });
  const group = Math.min(FILTER_GROUP, Math.max(1, ids.length));
  const slots = 1 + (1 + FILTER_STEPS.length) * Math.ceil(ids.length / FILTER_GROUP);
  return {
    ...{ width, height, ids, samples: 0 },
    layers: storage(16 * pixels * ids.length),
    surfaces: storage(48 * pixels),
    planes: [storage(32 * pixels * group), storage(32 * pixels * group)],
    hints: storage(32 * pixels * group),
    params: device.createBuffer({ size: SLOT * (slots + 1), usage: UNIFORM | COPY_DST }),
    pixels: storage(4 * pixels),
    look: storage(16 + 16 * Math.max(1, ids.length)),
  };
}

const buffersOf = ({ layers, surfaces, planes, hints, params, pixels, look }: Developed): readonly GPUBuffer[] => [
  ...[layers, surfaces, ...planes],
  ...[hints, params, pixels, look],
];

function drop(own: Developed | null): void {
  if (own) for (const buffer of buffersOf(own)) buffer.destroy();
}

/** Every so manieth pixel of each layer, as layers of their own: the estimates of sums.ts take them as they are. */
async function thinLayers(device: GPUDevice, pipeline: GPUComputePipeline, own: Developed): Promise<readonly Layer[]> {
  const { width, height, ids, samples } = own;
  const step = Math.max(1, Math.ceil((width * height) / ASKED));
  const each = Math.ceil((width * height) / step);
  const params = uploaded(device, filterParams(width, height, { firstLayer: 0, layers: ids.length, step }), UNIFORM);
  const chosen = device.createBuffer({ size: Math.max(16, 16 * each * ids.length), usage: STORAGE | COPY_SRC });
  const encoder = device.createCommandEncoder();
  const pass = encoder.beginComputePass();
  pass.setPipeline(pipeline);
  pass.setBindGroup(0, groupOf(device, pipeline, { 0: params, 1: own.layers, 2: chosen }));
  pass.dispatchWorkgroups(Math.ceil(each / 64), 1, ids.length);
  pass.end();
  device.queue.submit([encoder.finish()]);
  const values = new Float32Array(await readBack(device, chosen));
  params.destroy();
  chosen.destroy();
  return ids.map((id, k) => layerOf(values.subarray(4 * each * k, 4 * each * (k + 1)), id, each, 1, samples));
}

function layerOf(values: Float32Array, lightId: LayerId, width: number, height: number, samples: number): Layer {
  const rgb = new Float32Array(3 * width * height);
  const sigma = new Float32Array(width * height);
  for (let i = 0; i < sigma.length; i++) {
    for (let c = 0; c < 3; c++) rgb[3 * i + c] = values[4 * i + c] as number;
    sigma[i] = samples > 1 ? (values[4 * i + 3] as number) : Number.NaN;
  }
  return { lightId, width, height, rgb, sigma, samples, estimatedNoiseStops: noiseOf(rgb, sigma) };
}
