/**
 * Bounding volume hierarchy over the triangles of a mesh: built by binned surface-area heuristic (Wald 2007,
 * "On fast construction of SAH-based bounding volume hierarchies"), kept in 32-byte nodes (`Bvh`), refitted
 * when parts move, and walked without allocations. Lengths in metres.
 */

import type { Bvh, Mesh } from "./types.ts";

type Triangles = Pick<Mesh, "positions" | "indices">;

const BINS = 12;
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
    triangles: writeTriangles(new Float32Array(9 * count), state.order, mesh),
  };
}

/** A copy of the tree, fitted to the same triangles where they are now; the given one stays as it is. */
export function fittedBvh(bvh: Bvh, mesh: Triangles): Bvh {
  const buffer = bvh.buffer.slice(0);
  const [floats, words] = [new Float32Array(buffer), new Uint32Array(buffer)];
  const fitted = { ...bvh, buffer, floats, words, triangles: new Float32Array(bvh.triangles.length) };
  refitBvh(fitted, mesh);
  return fitted;
}

/** New boxes for the same tree after vertices moved. The order of triangles stays, so it only grows worse slowly. */
export function refitBvh(bvh: Bvh, mesh: Triangles): void {
  const { floats, words, order } = bvh;
  const { boxes } = boxesOf(mesh);
  writeTriangles(bvh.triangles, order, mesh);
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
      growNode(floats, at, floats, first * 8);
      growNode(floats, at, floats, first * 8 + 8);
    }
  }
}

function writeTriangles(out: Float32Array, order: Uint32Array, { positions, indices }: Triangles): Float32Array {
  for (let slot = 0; slot < order.length; slot++) {
    const t = 3 * order[slot]!;
    const [a, b, c] = [3 * indices[t]!, 3 * indices[t + 1]!, 3 * indices[t + 2]!];
    for (let k = 0; k < 3; k++) {
      const corner = positions[a + k]!;
      out[9 * slot + k] = corner;
      out[9 * slot + 3 + k] = positions[b + k]! - corner;
      out[9 * slot + 6 + k] = positions[c + k]! - corner;
    }
  }
  return out;
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
    measure(state, at, first, count);
    state.depth = Math.max(state.depth, depth);
    const left = count > 2 && depth < MAX_DEPTH ? partition(state, at, first, count) : 0;
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
/** Least and greatest centre, xyz each. */
const spread = new Float32Array(6);
const binCount = new Uint32Array(3 * BINS);
const binBox = new Float32Array(3 * BINS * 6);
const rightCost = new Float32Array(BINS);
const scale = new Float32Array(3);
const sweep = new Float32Array(8);

/** Box of the node's triangles, and of their centres into `spread`. Unrolled: this and `fillBins` are the build. */
function measure({ boxes, centres, order, floats }: Build, at: number, first: number, count: number): void {
  let x0 = Number.POSITIVE_INFINITY;
  let y0 = x0;
  let z0 = x0;
  let x1 = Number.NEGATIVE_INFINITY;
  let y1 = x1;
  let z1 = x1;
  let [cx0, cy0, cz0, cx1, cy1, cz1] = [x0, x0, x0, x1, x1, x1];
  for (let i = first; i < first + count; i++) {
    const t = order[i]!;
    const b = 6 * t;
    if (boxes[b]! < x0) x0 = boxes[b]!;
    if (boxes[b + 1]! < y0) y0 = boxes[b + 1]!;
    if (boxes[b + 2]! < z0) z0 = boxes[b + 2]!;
    if (boxes[b + 3]! > x1) x1 = boxes[b + 3]!;
    if (boxes[b + 4]! > y1) y1 = boxes[b + 4]!;
    if (boxes[b + 5]! > z1) z1 = boxes[b + 5]!;
    const cx = centres[3 * t]!;
    const cy = centres[3 * t + 1]!;
    const cz = centres[3 * t + 2]!;
    if (cx < cx0) cx0 = cx;
    if (cx > cx1) cx1 = cx;
    if (cy < cy0) cy0 = cy;
    if (cy > cy1) cy1 = cy;
    if (cz < cz0) cz0 = cz;
    if (cz > cz1) cz1 = cz;
  }
  floats[at] = x0;
  floats[at + 1] = y0;
  floats[at + 2] = z0;
  floats[at + 4] = x1;
  floats[at + 5] = y1;
  floats[at + 6] = z1;
  spread[0] = cx0;
  spread[1] = cy0;
  spread[2] = cz0;
  spread[3] = cx1;
  spread[4] = cy1;
  spread[5] = cz1;
}

/** Sorts the node's triangles into two runs and returns the size of the first; 0 keeps it a leaf. */
function partition(state: Build, at: number, first: number, count: number): number {
  const { order, centres, floats } = state;
  // Few triangles need few bins.
  const bins = count > 24 ? BINS : BINS / 2;
  for (let axis = 0; axis < 3; axis++) {
    const width = spread[3 + axis]! - spread[axis]!;
    scale[axis] = width > 1e-9 ? (bins * (1 - 1e-5)) / width : 0;
  }
  fillBins(state, first, count, bins);
  let best = Number.POSITIVE_INFINITY;
  let bestAxis = -1;
  let bestBin = 0;
  for (let axis = 0; axis < 3; axis++) {
    if (scale[axis] === 0) continue;
    const bin = bestOfAxis(axis, count, bins);
    if (axisCost < best) [best, bestAxis, bestBin] = [axisCost, axis, bin];
  }
  if (bestAxis < 0) return count > MAX_LEAF ? count >> 1 : 0;
  if (count <= MAX_LEAF && best / area(floats, at) + VISIT_COST >= count) return 0;
  const low = spread[bestAxis]!;
  const step = scale[bestAxis]!;
  let i = first;
  let j = first + count - 1;
  while (i <= j) {
    const bin = ((centres[order[i]! * 3 + bestAxis]! - low) * step) | 0;
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

/** Counts and boxes of all three axes' bins in one walk over the triangles. */
function fillBins({ order, centres, boxes }: Build, first: number, count: number, bins: number): void {
  for (let axis = 0; axis < 3; axis++) {
    for (let b = axis * BINS; b < axis * BINS + bins; b++) {
      binCount[b] = 0;
      const at = b * 6;
      binBox[at] = Number.POSITIVE_INFINITY;
      binBox[at + 1] = Number.POSITIVE_INFINITY;
      binBox[at + 2] = Number.POSITIVE_INFINITY;
      binBox[at + 3] = Number.NEGATIVE_INFINITY;
      binBox[at + 4] = Number.NEGATIVE_INFINITY;
      binBox[at + 5] = Number.NEGATIVE_INFINITY;
    }
  }
  for (let i = first; i < first + count; i++) {
    const t = order[i]!;
    const c = 3 * t;
    for (let axis = 0; axis < 3; axis++) {
      const b = axis * BINS + (((centres[c + axis]! - spread[axis]!) * scale[axis]!) | 0);
      binCount[b]! += 1;
      growBox(b * 6, boxes, 6 * t);
    }
  }
}

/** Cost of the plane that `bestOfAxis` chose. */
let axisCost = 0;

/** The bin after which to cut: least area times triangles, both sides. Leaves the cost in `axisCost`. */
function bestOfAxis(axis: number, count: number, bins: number): number {
  const base = axis * BINS;
  empty(sweep, 0);
  let seen = 0;
  for (let b = bins - 1; b > 0; b--) {
    seen += binCount[base + b]!;
    if (binCount[base + b]! > 0) grow(sweep, 0, binBox, (base + b) * 6);
    rightCost[b] = seen === 0 ? 0 : seen * area(sweep, 0);
  }
  axisCost = Number.POSITIVE_INFINITY;
  let bestBin = 0;
  empty(sweep, 0);
  seen = 0;
  for (let b = 0; b < bins - 1; b++) {
    seen += binCount[base + b]!;
    if (binCount[base + b]! > 0) grow(sweep, 0, binBox, (base + b) * 6);
    if (seen === 0 || seen === count) continue;
    const cost = seen * area(sweep, 0) + rightCost[b + 1]!;
    if (cost < axisCost) {
      axisCost = cost;
      bestBin = b;
    }
  }
  return bestBin;
}

function empty(floats: Float32Array, at: number): void {
  for (let k = 0; k < 3; k++) {
    floats[at + k] = Number.POSITIVE_INFINITY;
    floats[at + 4 + k] = Number.NEGATIVE_INFINITY;
  }
}

/** Node box (stride 8) takes in a box of stride 6. */
function grow(floats: Float32Array, at: number, boxes: Float32Array, box: number): void {
  if (boxes[box]! < floats[at]!) floats[at] = boxes[box]!;
  if (boxes[box + 1]! < floats[at + 1]!) floats[at + 1] = boxes[box + 1]!;
  if (boxes[box + 2]! < floats[at + 2]!) floats[at + 2] = boxes[box + 2]!;
  if (boxes[box + 3]! > floats[at + 4]!) floats[at + 4] = boxes[box + 3]!;
  if (boxes[box + 4]! > floats[at + 5]!) floats[at + 5] = boxes[box + 4]!;
  if (boxes[box + 5]! > floats[at + 6]!) floats[at + 6] = boxes[box + 5]!;
}

/** A bin's box takes in a triangle's. */
function growBox(at: number, boxes: Float32Array, box: number): void {
  if (boxes[box]! < binBox[at]!) binBox[at] = boxes[box]!;
  if (boxes[box + 1]! < binBox[at + 1]!) binBox[at + 1] = boxes[box + 1]!;
  if (boxes[box + 2]! < binBox[at + 2]!) binBox[at + 2] = boxes[box + 2]!;
  if (boxes[box + 3]! > binBox[at + 3]!) binBox[at + 3] = boxes[box + 3]!;
  if (boxes[box + 4]! > binBox[at + 4]!) binBox[at + 4] = boxes[box + 4]!;
  if (boxes[box + 5]! > binBox[at + 5]!) binBox[at + 5] = boxes[box + 5]!;
}

/** Box of stride 8 takes in another of stride 8. */
export function growNode(floats: Float32Array, at: number, from: Float32Array, child: number): void {
  for (let k = 0; k < 3; k++) {
    floats[at + k] = Math.min(floats[at + k]!, from[child + k]!);
    floats[at + 4 + k] = Math.max(floats[at + 4 + k]!, from[child + 4 + k]!);
  }
}

/** Half the surface of a node's box. */
export function area(floats: Float32Array, at: number): number {
  const x = floats[at + 4]! - floats[at]!;
  const y = floats[at + 5]! - floats[at + 1]!;
  const z = floats[at + 6]! - floats[at + 2]!;
  return x * y + y * z + z * x;
}
