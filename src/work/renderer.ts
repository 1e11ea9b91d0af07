/**
 * Renders a picture in passes on a few threads. One job at a time: a newer one replaces the older at once, whose
 * promise ends with null and whose tiles still under way are thrown away; so a hundred fast drags leave at most one
 * tile per thread to wait for, and no queue. Passes double: 1, 1, 2, 4… paths per pixel, until the asked noise; after
 * eight, only tiles where more than 5 % of the pixels are noisier than asked go on (with 95 % of every tile's pixels
 * within the goal, so are 95 % of the picture's). Stopping by an estimate favours tiles that happen to look calm; the
 * estimate is over all of a tile's pixels and never of fewer than eight paths, so that the lean stays far under the noise.
 * Memory: 48 bytes per pixel and layer and 56 per pixel here, and a tile of the same in each thread.
 */

import {
  addGuides,
  addTile,
  CARD,
  createFilter,
  deviations,
  GUIDE_STRIDE,
  layerIds,
  meanPaths,
  noiseLevel,
  type PackedScene,
  type RenderRequest,
  readGuides,
  readLayer,
  SUM_STRIDE,
  type Tile,
} from "../picture/index.ts";
import { openPort, processorCount } from "./ports.ts";
import type { FromWorker, Port, Progress, RenderGoal } from "./types.ts";

export interface Renderer {
  /**
   * Traces until the goal; `onPass` hears of every whole pass. Resolves with the last pass, or null when a newer job or
   * `cancel` took its place. Rejects when a thread fails.
   */
  render(
    scene: PackedScene,
    request: RenderRequest,
    goal: RenderGoal,
    onPass?: (progress: Progress) => void,
  ): Promise<Progress | null>;
  /** Drops the running job now. */
  cancel(): void;
  /** Tiles that threads still work on for nobody. */
  strays(): number;
  /** Ends the threads. */
  end(): void;
}

/** Pixels along a tile's side, paths per pixel and tile: some hundredths of a second's work. */
const TILE = 16;
const MOST_PER_TILE = 8;
/** Paths per pixel that every tile gets before its noise is judged. */
const LEAST_PATHS = 8;

/** A tile of the picture and how far it is. */
interface Spot {
  readonly tile: Tile;
  samples: number;
  /** Samples at which its pass is whole. */
  passEnd: number;
}

interface Piece {
  readonly tile: Tile;
  readonly first: number;
  readonly samples: number;
}

interface Job {
  readonly id: number;
  readonly scene: PackedScene;
  readonly request: RenderRequest;
  readonly goal: RenderGoal;
  readonly sums: readonly Float32Array[];
  readonly guides: Float32Array;
  readonly onPass: ((progress: Progress) => void) | undefined;
  readonly settle: (progress: Progress | null) => void;
  readonly fail: (error: Error) => void;
  readonly spots: readonly Spot[];
  pieces: Piece[];
  open: number;
  rays: number;
}

/** A renderer on `threads` threads (one less than the machine runs, at least one). Tests may bring their own ports. */
export function createRenderer(
  threads: number = Math.max(1, processorCount() - 1),
  makePort: () => Port = openPort,
): Renderer {
  let job: Job | null = null;
  let nextId = 1;
  let sceneIds = new WeakMap<PackedScene, number>();
  let nextScene = 1;
  const seats = Array.from({ length: threads }, () => ({ port: makePort(), busy: 0, scene: 0 }));
  type Seat = (typeof seats)[number];

  const feed = (seat: Seat): void => {
    if (job === null || seat.busy !== 0) return;
    const piece = job.pieces.pop();
    if (!piece) return;
    const sceneId = idOf(job.scene);
    if (seat.scene !== sceneId) seat.port.post({ kind: "scene", sceneId, scene: job.scene });
    seat.scene = sceneId;
    seat.busy = job.id;
    job.open++;
    seat.port.post({ kind: "trace", jobId: job.id, sceneId, request: job.request, ...piece });
  };
  const idOf = (scene: PackedScene): number => {
    const known = sceneIds.get(scene) ?? nextScene++;
    sceneIds.set(scene, known);
    return known;
  };
  const hear = (seat: Seat, message: FromWorker): void => {
    seat.busy = 0;
    const own = job;
    if (message.kind === "failed") {
      // −1: the thread itself, whatever it was at.
      if (message.jobId !== -1 && message.jobId !== own?.id) {
        feed(seat);
        return;
      }
      job = null;
      own?.fail(new Error(message.message));
      return;
    }
    if (own !== null && message.jobId === own.id) take(own, message);
    feed(seat);
  };
  const take = (own: Job, message: Extract<FromWorker, { kind: "traced" }>): void => {
    message.sums.forEach((part, i) => {
      addTile(own.sums[i] as Float32Array, own.request.width, part, message.tile);
    });
    addGuides(own.guides, own.request.width, message.guides, message.tile);
    own.rays += message.rays;
    own.open--;
    if (own.pieces.length === 0 && own.open === 0) endPass(own);
  };
  const endPass = (own: Job): void => {
    if (own.spots.some(({ samples, passEnd }) => samples < passEnd)) {
      startBatch(own);
      return;
    }
    const { progress, calm } = progressOf(own);
    own.onPass?.(progress);
    if (job !== own) return;
    if (progress.done) {
      job = null;
      own.settle(progress);
      return;
    }
    startPass(own, calm);
  };
  const startPass = (own: Job, calm: readonly boolean[]): void => {
    own.spots.forEach((spot, i) => {
      if (!calm[i]) spot.passEnd = Math.min(own.goal.mostSamples, Math.max(1, 2 * spot.samples));
    });
    startBatch(own);
  };
  /** A batch ends before the next begins: sums then add up in one order, whatever thread is first. */
  const startBatch = (own: Job): void => {
    const pieces = own.spots.flatMap((spot): Piece[] => {
      const { tile, samples: first } = spot;
      const samples = Math.min(MOST_PER_TILE, spot.passEnd - first);
      spot.samples += samples;
      return samples > 0 ? [{ tile, first, samples }] : [];
    });
    // They are taken from the end.
    own.pieces = pieces.reverse();
    for (const seat of seats) feed(seat);
  };
  const cancel = (): void => {
    const own = job;
    job = null;
    own?.settle(null);
  };
  for (const seat of seats) seat.port.listen((message) => hear(seat, message));

  return {
    render(scene, request, goal, onPass) {
      cancel();
      return new Promise((settle, fail) => {
        job = { ...newJob(nextId++, scene, request, goal), onPass, settle, fail };
        startPass(job, []);
      });
    },
    cancel,
    strays: () => seats.filter(({ busy }) => busy !== 0 && busy !== job?.id).length,
    end() {
      cancel();
      sceneIds = new WeakMap();
      for (const { port } of seats) port.end();
    },
  };
}

function newJob(id: number, scene: PackedScene, request: RenderRequest, goal: RenderGoal) {
  const { width, height } = request;
  const sums = layerIds(scene, request).map(() => new Float32Array(SUM_STRIDE * width * height));
  return {
    id,
    scene,
    request,
    goal,
    sums,
    guides: new Float32Array(GUIDE_STRIDE * width * height),
    spots: spotsOf(width, height),
    pieces: [],
    open: 0,
    rays: 0,
  };
}

/** The pass that ended, and which tiles have reached the goal. */
function progressOf(job: Job): { progress: Progress; calm: readonly boolean[] } {
  const { width, height } = job.request;
  const { noiseStops: wanted, mostSamples, weights, filter } = job.goal;
  const ids = layerIds(job.scene, job.request);
  const guides = readGuides(job.guides, width, height);
  const layers = job.sums.map((sums, i) => readLayer(sums, guides, ids[i] as string));
  const filtered = filter ? { filtered: layers.map(createFilter(guides)) } : {};
  const judged = filtered.filtered ?? layers;
  const fields = weights
    ? [deviations(judged, weights, CARD)]
    : judged.map((layer) => deviations([layer], [1], Number.POSITIVE_INFINITY));
  const noiseStops = Math.max(0, ...fields.map(noiseLevel));
  const calm = job.spots.map(
    ({ tile, samples }) =>
      samples >= mostSamples || (samples >= LEAST_PATHS && fields.every((field) => isCalm(field, width, tile, wanted))),
  );
  const done = noiseStops <= wanted || calm.every(Boolean);
  const progress = { layers, ...filtered, guides, samples: meanPaths(guides), noiseStops, rays: job.rays, done };
  return { progress, calm };
}

/** Whether at most 5 % of a tile's pixels that matter deviate more than wanted. */
function isCalm(field: Float32Array, width: number, tile: Tile, wanted: number): boolean {
  let [asked, over] = [0, 0];
  for (let y = tile.y; y < tile.y + tile.height; y++) {
    for (let x = tile.x; x < tile.x + tile.width; x++) {
      const stops = field[y * width + x] as number;
      if (stops >= 0) asked++;
      if (stops > wanted) over++;
    }
  }
  return over <= 0.05 * asked;
}

function spotsOf(width: number, height: number): Spot[] {
  const spots: Spot[] = [];
  for (let y = 0; y < height; y += TILE) {
    for (let x = 0; x < width; x += TILE) {
      const tile = { x, y, width: Math.min(TILE, width - x), height: Math.min(TILE, height - y) };
      spots.push({ tile, samples: 0, passEnd: 0 });
    }
  }
  return spots;
}
