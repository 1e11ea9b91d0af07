/**
 * Trees joined into one: blocks of a scene keep their own trees, and a few nodes on top make them one tree, so that
 * a block that changes costs only its own. Layout as in bvh.ts.
 */

import { area, buildBvh, growNode } from "./bvh.ts";
import type { Bvh } from "./types.ts";

/**
 * One tree over trees whose triangles are numbered one tree after the other: theirs are copied unchanged under a
 * few new nodes, the two with the least common surface first. Trees without triangles are left out.
 */
export function joinBvhs(trees: readonly Bvh[]): Bvh {
  let offset = 0;
  const order = new Uint32Array(trees.reduce((n, tree) => n + tree.order.length, 0));
  const triangles = new Float32Array(9 * order.length);
  const leaves = trees.map((tree): Joint => {
    const first = offset;
    for (let i = 0; i < tree.order.length; i++) order[first + i] = tree.order[i]! + first;
    triangles.set(tree.triangles, 9 * first);
    offset += tree.order.length;
    return { box: tree.floats.slice(0, 8), tree, first, pair: null };
  });
  const root = jointOf(leaves.filter(({ tree }) => tree!.order.length > 0));
  if (root === null) return buildBvh({ positions: new Float32Array(0), indices: new Uint32Array(0) });
  const nodes = trees.reduce((n, tree) => n + tree.nodeCount, 2) + 2 * trees.length;
  const buffer = new ArrayBuffer(32 * nodes);
  const into: Joined = { floats: new Float32Array(buffer), words: new Uint32Array(buffer), nodeCount: 2, depth: 0 };
  place(into, root, 0, 0);
  const used = buffer.slice(0, 32 * into.nodeCount);
  const { nodeCount, depth } = into;
  const [floats, words] = [new Float32Array(used), new Uint32Array(used)];
  return { buffer: used, floats, words, nodeCount, depth, order, triangles };
}

interface Joint {
  /** As a node: min xyz, unused, max xyz, unused. */
  readonly box: Float32Array;
  /** A whole tree with the number of its first triangle, or a pair of joints. */
  readonly tree: Bvh | null;
  readonly first: number;
  readonly pair: readonly [Joint, Joint] | null;
}

interface Joined {
  readonly floats: Float32Array;
  readonly words: Uint32Array;
  nodeCount: number;
  depth: number;
}

/** Pairs joints until one is left. */
function jointOf(joints: readonly Joint[]): Joint | null {
  const left = [...joints];
  while (left.length > 1) {
    let best: { a: number; b: number; box: Float32Array; cost: number } | null = null;
    for (let a = 0; a < left.length; a++) {
      for (let b = a + 1; b < left.length; b++) {
        const box = left[a]!.box.slice();
        growNode(box, 0, left[b]!.box, 0);
        const cost = area(box, 0);
        if (best === null || cost < best.cost) best = { a, b, box, cost };
      }
    }
    const { a, b, box } = best!;
    const [second] = left.splice(b, 1);
    left[a] = { box, tree: null, first: 0, pair: [left[a]!, second!] };
  }
  return left[0] ?? null;
}

/** Writes a joint at a node, what is under it at the end. */
function place(into: Joined, joint: Joint, node: number, depth: number): void {
  const { floats, words } = into;
  const at = 8 * node;
  const child = into.nodeCount;
  if (joint.tree === null) {
    floats.set(joint.box, at);
    words[at + 3] = child;
    words[at + 7] = 0;
    into.nodeCount += 2;
    joint.pair!.forEach((each, k) => {
      place(into, each, child + k, depth + 1);
    });
    return;
  }
  const { tree, first } = joint;
  // The tree's root comes here, its other nodes from 2 on after all nodes so far.
  floats.set(tree.floats.subarray(0, 8), at);
  floats.set(tree.floats.subarray(16, 8 * tree.nodeCount), 8 * child);
  renumber(words, at, child - 2, first);
  for (let n = child; n < child + tree.nodeCount - 2; n++) renumber(words, 8 * n, child - 2, first);
  into.nodeCount += tree.nodeCount - 2;
  into.depth = Math.max(into.depth, depth + tree.depth);
}

function renumber(words: Uint32Array, at: number, nodes: number, triangles: number): void {
  words[at + 3]! += words[at + 7]! > 0 ? triangles : nodes;
}
