/**
 * Which lights a frame shows, by the pictures predicted for its setup: correlation of logarithms, so that level does not
 * count.
 */

import { gridOf, lightOf, lightsOf } from "./grid.ts";
import type { Assignment, LinearFrame, NamedLight, Shows } from "./types.ts";

/** A predicted picture: display-linear rgb of one light alone without the room's, of all, or of the room; on one scale. */
export interface Predicted {
  readonly shows: Shows;
  readonly width: number;
  readonly height: number;
  readonly rgb: Float32Array;
}

/** With predicted pictures, one per light and, where known, of all and of the room. */
export function assignByPrediction(
  frames: readonly LinearFrame[],
  predicted: readonly Predicted[],
  lights: readonly NamedLight[],
): readonly Assignment[] {
  const room = predicted.find(({ shows }) => shows.kind === "ambient");
  const scores = frames.map((frame) => {
    const grid = gridOf(frame);
    const seen = lookOf(lightsOf(grid), grid.width);
    return predicted.map((picture) => likeness(seen, resampled(asShot(picture, room), seen.width, seen.height)));
  });
  const free = new Set(frames.keys());
  const open = new Set(predicted.keys());
  const out = new Map<number, Assignment>();
  while (free.size > 0 && open.size > 0) {
    const [i, j] = best(scores, free, open);
    const [frame, picture] = [frames[i] as LinearFrame, predicted[j] as Predicted];
    const score = scores[i]?.[j] as number;
    const second = Math.max(-1, ...[...open].filter((k) => k !== j).map((k) => scores[i]?.[k] as number));
    const confidence = Math.min(0.95, Math.max(0, score) * (0.6 + 2 * Math.max(0, score - second)));
    const why = `like the predicted ${wordsOf(picture.shows, lights)}: ${score.toFixed(2)} of 1, the next ${second.toFixed(2)}`;
    out.set(i, { frameId: frame.id, name: frame.name, shows: picture.shows, confidence, by: "looking", why });
    free.delete(i);
    open.delete(j);
  }
  return frames.map((frame, i): Assignment => {
    const none = { shows: { kind: "session" }, confidence: 0.4, by: "looking", why: "every place is taken" } as const;
    return out.get(i) ?? { frameId: frame.id, name: frame.name, ...none };
  });
}

interface Look {
  readonly width: number;
  readonly height: number;
  readonly log: Float32Array;
}

/** Logarithm of light, held at seven stops under the brightest hundredth, so that noise in the black does not count. */
function lookOf(light: Float32Array, width: number): Look {
  const sorted = Float32Array.from(light).sort();
  const top = Math.max(1e-6, sorted[Math.floor(0.99 * (sorted.length - 1))] as number);
  const log = light.map((value) => Math.max(-7, Math.log2(Math.max(1e-9, value) / top)));
  return { width, height: light.length / width, log };
}

/** What a camera sees of one light: the room's own light is in its frame too. */
function asShot(picture: Predicted, room: Predicted | undefined): Predicted {
  if (picture.shows.kind !== "light" || room?.rgb.length !== picture.rgb.length) return picture;
  return { ...picture, rgb: picture.rgb.map((value, i) => value + (room.rgb[i] as number)) };
}

/** A predicted picture on another grid: means over the pixels under each patch, or the nearest pixel. */
function resampled({ width, height, rgb }: Predicted, columns: number, rows: number): Look {
  const light = new Float32Array(columns * rows);
  for (let y = 0; y < rows; y++) {
    const [y0, y1] = span(y, rows, height);
    for (let x = 0; x < columns; x++) {
      const [x0, x1] = span(x, columns, width);
      let sum = 0;
      for (let v = y0; v < y1; v++) for (let u = x0; u < x1; u++) sum += lightOf(rgb, v * width + u);
      light[y * columns + x] = sum / ((x1 - x0) * (y1 - y0));
    }
  }
  return lookOf(light, columns);
}

function span(i: number, count: number, size: number): readonly [number, number] {
  const from = Math.min(size - 1, Math.floor((i * size) / count));
  return [from, Math.max(from + 1, Math.floor(((i + 1) * size) / count))];
}

/** Correlation of two looks of one size, −1…1. */
function likeness(a: Look, b: Look): number {
  const n = a.log.length;
  const mean = (log: Float32Array): number => log.reduce((sum, value) => sum + value, 0) / n;
  const [ma, mb] = [mean(a.log), mean(b.log)];
  let [ab, aa, bb] = [0, 0, 0];
  for (let i = 0; i < n; i++) {
    const [x, y] = [(a.log[i] as number) - ma, (b.log[i] as number) - mb];
    ab += x * y;
    aa += x * x;
    bb += y * y;
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0;
}

function best(
  scores: readonly (readonly number[])[],
  free: ReadonlySet<number>,
  open: ReadonlySet<number>,
): readonly [number, number] {
  let found: readonly [number, number] = [0, 0];
  let most = Number.NEGATIVE_INFINITY;
  for (const i of free) {
    for (const j of open) {
      const score = scores[i]?.[j] as number;
      if (score > most) [found, most] = [[i, j], score];
    }
  }
  return found;
}

function wordsOf(shows: Shows, lights: readonly NamedLight[]): string {
  if (shows.kind === "light") return lights.find(({ id }) => id === shows.lightId)?.tag ?? shows.lightId;
  return shows.kind === "together" ? "frame of all" : "room";
}
