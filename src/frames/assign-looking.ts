/**
 * Which lights a frame shows, by looking at it. Without a setup, frames are held against each other: light adds, so the
 * frame that others add up to shows them together, the one that lies under all others shows the room, one that is
 * another times a number repeats it; masks, other sizes and other subjects are set aside with a reason. With a setup,
 * frames are held against the pictures predicted for it: correlation of logarithms, so that level does not count.
 */

import { byNumbers } from "./assign-words.ts";
import { fitGains, gainBetween } from "./gains.ts";
import { darkLimit, gridOf, lightOf, lightsOf, meanLight } from "./grid.ts";
import { withoutAmbient } from "./linear.ts";
import { logGradient } from "./register.ts";
import type { Assignment, Id, LinearFrame, NamedLight, Shows } from "./types.ts";

/** A predicted picture: display-linear rgb of one light alone without the room's, of all, or of the room; on one scale. */
export interface Predicted {
  readonly shows: Shows;
  readonly width: number;
  readonly height: number;
  readonly rgb: Float32Array;
}

/** Part of a frame's light that its explanation may leave, for a sum and for a repeat. */
const SUM_LEFT = 0.12;
/** A repeat's patches lie within so many deviations, all but two in a hundred. */
const REPEAT_TAIL = 4;
/** A light is in a sum when its gain there is at least this, and a sum's lights stand within these of 1. */
const IN_SUM = 0.3;
const AS_SHOT = [0.5, 2] as const;
/** Patches that must lie under another frame, within noise, for the frame to count as under it. */
const UNDER_PART = 0.998;
/** Edges of a frame lie on another's: mean rank of the other's gradients there; 0.5 is chance. */
const EDGES_AGREE = 0.62;

/** Without a setup. Frames may be of any size; lights are named "light-1"… in the order of the names. */
export function assignByLooking(frames: readonly LinearFrame[]): readonly Assignment[] {
  const asides = new Map<Id, Assignment>();
  const put = (frame: LinearFrame, shows: Shows, confidence: number, why: string): void => {
    asides.set(frame.id, { frameId: frame.id, name: frame.name, shows, confidence, by: "looking", why });
  };
  const ordered = [...frames].sort((a, b) => byNumbers(a.name, b.name));
  setAside(ordered, put);
  const grids = ordered.filter(({ id }) => !asides.has(id)).map(gridOf);
  const repeat = ({ frame, of, stops }: Repeat): void => {
    const why = `${of.name} times ${(2 ** stops).toFixed(2)} (${stops.toFixed(2)} stop)`;
    put(frame, { kind: "repeat", ofFrameId: of.id, stops }, 0.8, why);
  };
  const early = repeatsOf(grids, null);
  early.forEach(repeat);
  // A frame that is another times a number is of lights, not of the room.
  const ambient = darkest(grids, (grid) => !early.some(({ frame, of }) => grid === frame || grid === of));
  if (ambient) put(ambient.frame, { kind: "ambient" }, ambient.confidence, ambient.why);
  const room = ambient?.frame ?? null;
  if (room)
    repeatsOf(
      grids.filter(({ id }) => !asides.has(id)),
      room,
    ).forEach(repeat);
  const single = grids.filter(({ id }) => !asides.has(id));
  const sums = sumsOf(single, room);
  const alone = strangersOut(single, sums, put);
  const idOf = new Map(alone.map(({ id }, i) => [id, `light-${i + 1}`]));
  for (const { frame, parts, left } of sums) {
    const lightIds = parts.flatMap(({ id }) => idOf.get(id) ?? []);
    const why = `${parts.map(({ name }) => name).join(" + ")} leave ${(100 * left).toFixed(1)} % of it`;
    put(frame, { kind: "together", lightIds }, 1 - left / (2 * SUM_LEFT), why);
  }
  for (const frame of alone) {
    const lightId = idOf.get(frame.id) as string;
    const inSum = sums.some(({ parts }) => parts.includes(frame));
    const why = inSum ? "part of a sum" : "no sum of others, none of the others times a number";
    put(frame, { kind: "light", lightId }, inSum ? 0.85 : ambient ? 0.6 : 0.4, why);
  }
  return frames.map(({ id }) => asides.get(id) as Assignment);
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

type Put = (frame: LinearFrame, shows: Shows, confidence: number, why: string) => void;

/** Masks, frames that clip throughout, sizes and subjects that are not the set's. */
function setAside(frames: readonly LinearFrame[], put: Put): void {
  const masks = new Set(frames.filter(isMask));
  for (const frame of masks) put(frame, { kind: "aside" }, 0.9, "only black and white: a mask");
  const rest = frames.filter((frame) => !masks.has(frame));
  const sizes = new Map<string, LinearFrame[]>();
  for (const frame of rest) {
    const size = `${frame.width} x ${frame.height}`;
    sizes.set(size, [...(sizes.get(size) ?? []), frame]);
  }
  const [usual] = [...sizes].sort((a, b) => b[1].length - a[1].length)[0] ?? [""];
  for (const [size, others] of sizes) {
    if (size === usual) continue;
    for (const frame of others) put(frame, { kind: "aside" }, 0.9, `${size} pixels, the others ${usual}`);
  }
}

/** Frames of single lights; one that is in no sum and whose edges lie on no other frame's is set aside. */
function strangersOut(single: readonly LinearFrame[], sums: readonly FoundSum[], put: Put): readonly LinearFrame[] {
  const edges = new Map(single.map((frame) => [frame, logGradient(frame)]));
  return single.filter((frame) => {
    if (sums.some((sum) => sum.frame === frame)) return false;
    const others = single.filter((other) => other !== frame);
    if (others.length < 2 || sums.some(({ parts }) => parts.includes(frame))) return true;
    const own = edges.get(frame) as Float32Array;
    const rank = Math.max(...others.map((other) => edgeRank(own, edges.get(other) as Float32Array)));
    if (rank > EDGES_AGREE) return true;
    put(
      frame,
      { kind: "aside" },
      0.6,
      `its edges lie on no other frame's (${rank.toFixed(2)}; chance 0.5): another subject`,
    );
    return false;
  });
}

/** Mean rank 0…1, in the other frame, of the gradients where this frame has its strongest twentieth. */
function edgeRank(own: Float32Array, other: Float32Array): number {
  const count = own.length;
  const rank = new Float32Array(count);
  [...other.keys()]
    .sort((a, b) => (other[a] as number) - (other[b] as number))
    .forEach((i, place) => {
      rank[i] = place / count;
    });
  const strongest = [...own.keys()]
    .sort((a, b) => (own[b] as number) - (own[a] as number))
    .slice(0, Math.ceil(count / 20));
  return strongest.reduce((sum, i) => sum + (rank[i] as number), 0) / strongest.length;
}

/** Nearly every pixel is black or clipped, and both are there. */
function isMask({ rgb, clipped }: LinearFrame): boolean {
  let [black, white] = [0, 0];
  for (let i = 0; i < clipped.length; i++) {
    if (clipped[i]) white++;
    else if (lightOf(rgb, i) < 1e-3) black++;
  }
  return black + white > 0.97 * clipped.length && white > 0.005 * clipped.length;
}

/** The frame that lies under all others everywhere, within noise. */
function darkest(
  grids: readonly LinearFrame[],
  mayBe: (grid: LinearFrame) => boolean,
): { readonly frame: LinearFrame; readonly confidence: number; readonly why: string } | null {
  const [low, ...others] = [...grids].sort((a, b) => meanLight(a) - meanLight(b));
  if (!low || others.length < 2 || !mayBe(low)) return null;
  const mine = lightsOf(low);
  const part = Math.min(
    ...others.map((other) => {
      const slack = darkLimit(low) + darkLimit(other);
      const theirs = lightsOf(other);
      let under = 0;
      for (let i = 0; i < mine.length; i++) if ((mine[i] as number) <= 1.03 * (theirs[i] as number) + slack) under++;
      return under / mine.length;
    }),
  );
  if (part < UNDER_PART) return null;
  const [next] = others;
  const below = Math.log2(Math.max(1e-6, meanLight(next as LinearFrame)) / Math.max(1e-6, meanLight(low)));
  if (below < 0.5) return null;
  const why = `under every other frame everywhere, ${below.toFixed(1)} stop under the next`;
  return { frame: low, confidence: Math.min(0.95, 0.55 + 0.1 * below), why };
}

interface Repeat {
  readonly frame: LinearFrame;
  readonly of: LinearFrame;
  readonly stops: number;
}

/** Frames that are an earlier one times a number. */
function repeatsOf(grids: readonly LinearFrame[], ambient: LinearFrame | null): readonly Repeat[] {
  const found: Repeat[] = [];
  grids.forEach((frame, i) => {
    for (const of of grids.slice(0, i)) {
      if (found.some((repeat) => repeat.frame === of)) continue;
      const gain = gainBetween(withoutAmbient(of, ambient), withoutAmbient(frame, ambient)) ?? gainBetween(of, frame);
      if (gain === null || gain.tail > REPEAT_TAIL) continue;
      found.push({ frame, of, stops: gain.stops });
      return;
    }
  });
  return found;
}

interface FoundSum {
  readonly frame: LinearFrame;
  readonly parts: readonly LinearFrame[];
  readonly left: number;
}

/** Frames that two or more others add up to, brightest first; a sum explains no other frame. */
function sumsOf(grids: readonly LinearFrame[], ambient: LinearFrame | null): readonly FoundSum[] {
  const sums: FoundSum[] = [];
  for (const frame of [...grids].sort((a, b) => meanLight(b) - meanLight(a))) {
    const others = grids.filter((other) => other !== frame && !sums.some((sum) => sum.frame === other));
    if (others.length < 2) break;
    const alones = others.map((other) => ({ lightId: other.id, frame: other }));
    const { linear } = fitGains(frame, alones, ambient);
    const parts = others.filter((_, j) => (linear[j] as number) > IN_SUM);
    const asShot = others.every((_, j) => {
      const gain = linear[j] as number;
      return gain <= IN_SUM || (gain > AS_SHOT[0] && gain < AS_SHOT[1]);
    });
    const left = leftOver(frame, others, linear, ambient);
    if (parts.length >= 2 && asShot && left < SUM_LEFT) sums.push({ frame, parts, left });
  }
  return sums;
}

/** Median of what the fit leaves at a patch, part of the patch, over patches that are not dark. */
function leftOver(
  frame: LinearFrame,
  others: readonly LinearFrame[],
  gains: ArrayLike<number>,
  ambient: LinearFrame | null,
): number {
  const target = lightsOf(withoutAmbient(frame, ambient));
  const columns = others.map((other) => lightsOf(withoutAmbient(other, ambient)));
  const dark = 2 * darkLimit(frame);
  const left: number[] = [];
  target.forEach((value, i) => {
    if (value <= dark || frame.clipped[i] || others.some(({ clipped }) => clipped[i])) return;
    const sum = columns.reduce((all, column, j) => all + (gains[j] as number) * (column[i] as number), 0);
    left.push(Math.abs(value - sum) / value);
  });
  left.sort((a, b) => a - b);
  // Three quarters of the patches must fit: a frame of one light can be mimicked in half of the picture.
  return left.length < 30 ? 1 : (left[Math.floor(0.75 * left.length)] as number);
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
