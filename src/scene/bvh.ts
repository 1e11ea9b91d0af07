/**
 * Bounding volume hierarchy over the triangles of a mesh: built by binned surface-area heuristic (Wald 2007,
 * "On fast construction of SAH-based bounding volume hierarchies"), kept in 32-byte nodes (`Bvh`), refitted
 * when parts move, and walked without allocations. Lengths in metres.
 */

import type { Bvh, Mesh } from "./types.ts";

type Triangles = Pick<Mesh, "positions" | "indices">;

const BINS = 16;
/** Cost of visiting a node against testing a triangle. */
const VISIT_COST = 1;
const MAX_LEAF = 4;
/** Deeper than any tree of `bestSplit`, which halves what it cannot split well. */
const MAX_DEPTH = 60;

/** Builds the tree. A mesh without triangles gives one leaf of none, which nothing hits. */
export function buildBvh(mesh: Triangles): Bvh {
  const count = mesh.indices.length / 3;
  const buffer = new ArrayBuffer(Math.max(2, 2 * count + 2) * 32);
  const state: Build = {
    ...boxesOf(mesh),
    order: Uint32Array.from({ length: count }, (_, i) => i),
    floats: new Float32Array(buffer),
    words: new Uint32Array(buffer),
    // Node 1 stays empty: pairs of children then begin at even numbers.
    nodeCount: 2,
    depth: 0,
  };
  split(state, count);
  const used = buffer.slice(0, state.nodeCount * 32);
  return {
    buffer: used,
    floats: new Float32Array(used),
    words: new Uint32Array(used),
    nodeCount: state.nodeCount,
    depth: state.depth,
    order: state.order,
  };
}

/** New boxes for the same tree after vertices moved. The order of triangles stays, so it only grows worse slowly. */
export function refitBvh(bvh: Bvh, mesh: Triangles): void {
  const { floats, words, order } = bvh;
  const { boxes } = boxesOf(mesh);
  // Children always come after their parent: walk backward.
  for (let node = bvh.nodeCount - 1; node >= 0; node--) {
    if (node === 1) continue;
    const at = node * 8;
    const first = words[at + 3]!;
    const count = words[at + 7]!;
    empty(floats, at);
    if (count > 0) for (let i = first; i < first + count; i++) grow(floats, at, boxes, order[i]! * 6);
    else if (node === 0 && first === 0) continue;
    else {
      growNode(floats, at, first * 8);
      growNode(floats, at, first * 8 + 8);
    }
  }
}

interface Build {
  /** Per triangle: min xyz, max xyz. */
  readonly boxes: Float32Array;
  readonly centres: Float32Array;
  readonly order: Uint32Array;
  readonly floats: Float32Array;
  readonly words: Uint32Array;
  nodeCount: number;
  depth: number;
}

function boxesOf({ positions, indices }: Triangles): Pick<Build, "boxes" | "centres"> {
  const count = indices.length / 3;
  const boxes = new Float32Array(count * 6);
  const centres = new Float32Array(count * 3);
  for (let t = 0; t < count; t++) {
    const a = indices[3 * t]! * 3;
    const b = indices[3 * t + 1]! * 3;
    const c = indices[3 * t + 2]! * 3;
    for (let k = 0; k < 3; k++) {
      const low = Math.min(positions[a + k]!, positions[b + k]!, positions[c + k]!);
      const high = Math.max(positions[a + k]!, positions[b + k]!, positions[c + k]!);
      boxes[6 * t + k] = low;
      boxes[6 * t + 3 + k] = high;
      centres[3 * t + k] = (low + high) / 2;
    }
  }
  return { boxes, centres };
}

function split(state: Build, total: number): void {
  // Explicit stack of node, first, count, depth.
  const stack: number[] = [0, 0, total, 0];
  while (stack.length > 0) {
    const depth = stack.pop()!;
    const count = stack.pop()!;
    const first = stack.pop()!;
    const node = stack.pop()!;
    const at = node * 8;
    empty(state.floats, at);
    for (let i = first; i < first + count; i++) grow(state.floats, at, state.boxes, state.order[i]! * 6);
    state.depth = Math.max(state.depth, depth);
    const left = count > 1 && depth < MAX_DEPTH ? partition(state, at, first, count) : 0;
    if (left === 0) {
      state.words[at + 3] = first;
      state.words[at + 7] = count;
      continue;
    }
    const child = state.nodeCount;
    state.nodeCount += 2;
    state.words[at + 3] = child;
    state.words[at + 7] = 0;
    stack.push(child + 1, first + left, count - left, depth + 1, child, first, left, depth + 1);
  }
}

// Scratch of one partition; building is not re-entrant.
const binCount = new Uint32Array(BINS);
const binBox = new Float32Array(BINS * 6);
const rightCost = new Float32Array(BINS);
const sweep = new Float32Array(8);

/** Sorts the node's triangles into two runs and returns the size of the first; 0 keeps it a leaf. */
function partition(state: Build, at: number, first: number, count: number): number {
  const { order, centres, floats } = state;
  let best = Number.POSITIVE_INFINITY;
  let bestAxis = -1;
  let bestBin = 0;
  const low = [0, 0, 0];
  const scale = [0, 0, 0];
  for (let axis = 0; axis < 3; axis++) {
    let min = Number.POSITIVE_INFINITY;
    let max = Number.NEGATIVE_INFINITY;
    for (let i = first; i < first + count; i++) {
      const c = centres[order[i]! * 3 + axis]!;
      if (c < min) min = c;
      if (c > max) max = c;
    }
    if (!(max - min > 1e-9)) continue;
    low[axis] = min;
    scale[axis] = (BINS * (1 - 1e-6)) / (max - min);
    const [cost, bin] = bestOfAxis(state, first, count, axis, min, scale[axis]!);
    if (cost < best) [best, bestAxis, bestBin] = [cost, axis, bin];
  }
  if (bestAxis < 0) return count > MAX_LEAF ? count >> 1 : 0;
  if (count <= MAX_LEAF && best / area(floats, at) + VISIT_COST >= count) return 0;
  let i = first;
  let j = first + count - 1;
  while (i <= j) {
    const bin = ((centres[order[i]! * 3 + bestAxis]! - low[bestAxis]!) * scale[bestAxis]!) | 0;
    if (bin <= bestBin) i++;
    else {
      const held = order[i]!;
      order[i] = order[j]!;
      order[j] = held;
      j--;
    }
  }
  return i - first;
}

/** Least cost (area times triangles, both sides) over the planes between bins. */
function bestOfAxis(
  state: Build,
  first: number,
  count: number,
  axis: number,
  low: number,
  scale: number,
): [number, number] {
  const { order, centres, boxes } = state;
  binCount.fill(0);
  for (let b = 0; b < BINS; b++) emptyBox(binBox, b * 6);
  for (let i = first; i < first + count; i++) {
    const t = order[i]!;
    const bin = ((centres[3 * t + axis]! - low) * scale) | 0;
    binCount[bin]! += 1;
    growBox(binBox, bin * 6, boxes, 6 * t);
  }
  empty(sweep, 0);
  let seen = 0;
  for (let b = BINS - 1; b > 0; b--) {
    seen += binCount[b]!;
    if (binCount[b]! > 0) grow(sweep, 0, binBox, b * 6);
    rightCost[b] = seen === 0 ? 0 : seen * area(sweep, 0);
  }
  let best = Number.POSITIVE_INFINITY;
  let bestBin = 0;
  empty(sweep, 0);
  seen = 0;
  for (let b = 0; b < BINS - 1; b++) {
    seen += binCount[b]!;
    if (binCount[b]! > 0) grow(sweep, 0, binBox, b * 6);
    if (seen === 0 || seen === count) continue;
    const cost = seen * area(sweep, 0) + rightCost[b + 1]!;
    if (cost < best) [best, bestBin] = [cost, b];
  }
  return [best, bestBin];
}

function empty(floats: Float32Array, at: number): void {
  for (let k = 0; k < 3; k++) {
    floats[at + k] = Number.POSITIVE_INFINITY;
    floats[at + 4 + k] = Number.NEGATIVE_INFINITY;
  }
}

function emptyBox(boxes: Float32Array, at: number): void {
  for (let k = 0; k < 3; k++) {
    boxes[at + k] = Number.POSITIVE_INFINITY;
    boxes[at + 3 + k] = Number.NEGATIVE_INFINITY;
  }
}

/** Node box (stride 8) takes in a triangle's box (stride 6). */
function grow(floats: Float32Array, at: number, boxes: Float32Array, box: number): void {
  for (let k = 0; k < 3; k++) {
    if (boxes[box + k]! < floats[at + k]!) floats[at + k] = boxes[box + k]!;
    if (boxes[box + 3 + k]! > floats[at + 4 + k]!) floats[at + 4 + k] = boxes[box + 3 + k]!;
  }
}

function growBox(into: Float32Array, at: number, boxes: Float32Array, box: number): void {
  for (let k = 0; k < 3; k++) {
    if (boxes[box + k]! < into[at + k]!) into[at + k] = boxes[box + k]!;
    if (boxes[box + 3 + k]! > into[at + 3 + k]!) into[at + 3 + k] = boxes[box + 3 + k]!;
  }
}

function growNode(floats: Float32Array, at: number, child: number): void {
  for (let k = 0; k < 3; k++) {
    floats[at + k] = Math.min(floats[at + k]!, floats[child + k]!);
    floats[at + 4 + k] = Math.max(floats[at + 4 + k]!, floats[child + 4 + k]!);
  }
}

function area(floats: Float32Array, at: number): number {
  const x = floats[at + 4]! - floats[at]!;
  const y = floats[at + 5]! - floats[at + 1]!;
  const z = floats[at + 6]! - floats[at + 2]!;
  return x * y + y * z + z * x;
}
