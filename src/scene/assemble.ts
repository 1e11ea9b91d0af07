/**
 * Puts parts together: pieces become a block with a tree of its own, blocks become one scene whose tree has
 * theirs under its first nodes. A block that did not change is used again as it is. World axes, metres.
 */

import type { Id } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { buildBvh, fittedBvh } from "./bvh.ts";
import { joinBvhs } from "./join-bvhs.ts";
import type { Part } from "./part.ts";
import type { Bounds, Bvh, Group, GroupKind, Material, Mesh } from "./types.ts";

/** A part in world axes, and where it belongs. */
export interface Piece {
  readonly name: string;
  readonly kind: GroupKind;
  readonly ownerId: Id | null;
  readonly hiddenFromCamera?: boolean;
  readonly parts: readonly Part[];
}

/** Pieces that change together. Nothing in it is altered once it is made. */
export interface Block {
  /** Materials are numbers into `names`. */
  readonly mesh: Mesh;
  readonly names: readonly string[];
  readonly groups: readonly Group[];
  readonly hidden: Uint8Array;
  readonly bvh: Bvh;
}

export interface Assembly {
  readonly mesh: Mesh;
  readonly materials: readonly Material[];
  readonly groups: readonly Group[];
  readonly hidden: Uint8Array;
  readonly bounds: Bounds;
  readonly bvh: Bvh;
}

/** With `like`, a block of the same triangles elsewhere, its tree is taken over and fitted: much quicker than a new one. */
export function blockOf(pieces: readonly Piece[], like: Block | null = null): Block {
  const all = pieces.flatMap((piece) => piece.parts);
  const mesh = emptyMesh(
    all.reduce((n, part) => n + part.positions.length / 3, 0),
    all.reduce((n, part) => n + part.indices.length / 3, 0),
  );
  const hidden = new Uint8Array(mesh.materials.length);
  const numbers = new Map<string, number>();
  const groups: Group[] = [];
  let [vertex, triangle] = [0, 0];
  for (const { name, kind, ownerId, hiddenFromCamera = false, parts } of pieces) {
    const [firstVertex, firstTriangle] = [vertex, triangle];
    for (const part of parts) {
      const number = numbers.get(part.material) ?? numbers.size;
      numbers.set(part.material, number);
      mesh.positions.set(part.positions, 3 * vertex);
      mesh.normals.set(part.normals, 3 * vertex);
      if (part.tangents !== null) mesh.tangents.set(part.tangents, 3 * vertex);
      if (part.tints === null) mesh.tints.fill(1, 3 * vertex, 3 * vertex + part.positions.length);
      else mesh.tints.set(part.tints, 3 * vertex);
      addShifted(mesh.indices, part.indices, 3 * triangle, vertex);
      const count = part.indices.length / 3;
      mesh.materials.fill(number, triangle, triangle + count);
      vertex += part.positions.length / 3;
      triangle += count;
    }
    if (hiddenFromCamera) hidden.fill(1, firstTriangle, triangle);
    const [triangleCount, vertexCount] = [triangle - firstTriangle, vertex - firstVertex];
    groups.push({ name, kind, ownerId, firstTriangle, triangleCount, firstVertex, vertexCount, hiddenFromCamera });
  }
  return { mesh, names: [...numbers.keys()], groups, hidden, bvh: like ? fittedBvh(like.bvh, mesh) : buildBvh(mesh) };
}

/** Materials in the order of first use. @throws RangeError when a block names a material that `palette` lacks. */
export function joinBlocks(blocks: readonly Block[], palette: Readonly<Record<string, Material>>): Assembly {
  const mesh = emptyMesh(
    blocks.reduce((n, block) => n + block.mesh.positions.length / 3, 0),
    blocks.reduce((n, block) => n + block.mesh.materials.length, 0),
  );
  const hidden = new Uint8Array(mesh.materials.length);
  const materials: Material[] = [];
  const numbers = new Map<string, number>();
  const numberOf = (name: string): number => {
    const known = numbers.get(name);
    if (known !== undefined) return known;
    const material = palette[name];
    if (material === undefined) throw new RangeError(`no material "${name}"`);
    numbers.set(name, materials.length);
    return materials.push(material) - 1;
  };
  const groups: Group[] = [];
  let [vertex, triangle] = [0, 0];
  for (const block of blocks) {
    mesh.positions.set(block.mesh.positions, 3 * vertex);
    mesh.normals.set(block.mesh.normals, 3 * vertex);
    mesh.tangents.set(block.mesh.tangents, 3 * vertex);
    mesh.tints.set(block.mesh.tints, 3 * vertex);
    addShifted(mesh.indices, block.mesh.indices, 3 * triangle, vertex);
    const own = block.names.map(numberOf);
    block.mesh.materials.forEach((n, i) => {
      mesh.materials[triangle + i] = own[n]!;
    });
    hidden.set(block.hidden, triangle);
    for (const group of block.groups) {
      const [firstTriangle, firstVertex] = [group.firstTriangle + triangle, group.firstVertex + vertex];
      groups.push({ ...group, firstTriangle, firstVertex });
    }
    vertex += block.mesh.positions.length / 3;
    triangle += block.mesh.materials.length;
  }
  const bvh = joinBvhs(blocks.map((block) => block.bvh));
  return { mesh, materials, groups, hidden, bounds: boundsOf(bvh), bvh };
}

const emptyMesh = (vertices: number, triangles: number): Mesh => ({
  positions: new Float32Array(3 * vertices),
  normals: new Float32Array(3 * vertices),
  tangents: new Float32Array(3 * vertices),
  tints: new Float32Array(3 * vertices),
  indices: new Uint32Array(3 * triangles),
  materials: new Uint16Array(triangles),
});

function addShifted(into: Uint32Array, from: Uint32Array, at: number, shift: number): void {
  for (let i = 0; i < from.length; i++) into[at + i] = from[i]! + shift;
}

/** The root's box. */
function boundsOf({ floats }: Bvh): Bounds {
  const corner = (at: number): Vec3 => [floats[at]!, floats[at + 1]!, floats[at + 2]!];
  return { min: corner(0), max: corner(4) };
}
