/** Puts parts together into one mesh with groups, materials in the order of first use. World axes, metres. */

import type { Id } from "../setup/index.ts";
import type { Part } from "./part.ts";
import type { Bounds, Group, GroupKind, Material, Mesh } from "./types.ts";

/** A part in world axes, and where it belongs. */
export interface Piece {
  readonly name: string;
  readonly kind: GroupKind;
  readonly ownerId: Id | null;
  readonly hiddenFromCamera?: boolean;
  readonly parts: readonly Part[];
}

export interface Assembly {
  readonly mesh: Mesh;
  readonly materials: readonly Material[];
  readonly groups: readonly Group[];
  readonly hidden: Uint8Array;
  readonly bounds: Bounds;
}

/** @throws RangeError when a part names a material that `palette` lacks. */
export function assemble(pieces: readonly Piece[], palette: Readonly<Record<string, Material>>): Assembly {
  const all = pieces.flatMap((piece) => piece.parts);
  const vertices = all.reduce((n, part) => n + part.positions.length / 3, 0);
  const triangles = all.reduce((n, part) => n + part.indices.length / 3, 0);
  const mesh = {
    positions: new Float32Array(3 * vertices),
    normals: new Float32Array(3 * vertices),
    tangents: new Float32Array(3 * vertices),
    tints: new Float32Array(3 * vertices).fill(1),
    indices: new Uint32Array(3 * triangles),
    materials: new Uint16Array(triangles),
  };
  const hidden = new Uint8Array(triangles);
  const materials: Material[] = [];
  const numbers = new Map<string, number>();
  const groups: Group[] = [];
  let vertex = 0;
  let triangle = 0;
  for (const { name, kind, ownerId, hiddenFromCamera = false, parts } of pieces) {
    const [firstVertex, firstTriangle] = [vertex, triangle];
    for (const part of parts) {
      let number = numbers.get(part.material);
      if (number === undefined) {
        const material = palette[part.material];
        if (material === undefined) throw new RangeError(`no material "${part.material}"`);
        number = materials.push(material) - 1;
        numbers.set(part.material, number);
      }
      mesh.positions.set(part.positions, 3 * vertex);
      mesh.normals.set(part.normals, 3 * vertex);
      if (part.tangents !== null) mesh.tangents.set(part.tangents, 3 * vertex);
      if (part.tints !== null) mesh.tints.set(part.tints, 3 * vertex);
      for (let i = 0; i < part.indices.length; i++) mesh.indices[3 * triangle + i] = part.indices[i]! + vertex;
      const count = part.indices.length / 3;
      mesh.materials.fill(number, triangle, triangle + count);
      vertex += part.positions.length / 3;
      triangle += count;
    }
    if (hiddenFromCamera) hidden.fill(1, firstTriangle, triangle);
    groups.push({
      name,
      kind,
      ownerId,
      firstTriangle,
      triangleCount: triangle - firstTriangle,
      firstVertex,
      vertexCount: vertex - firstVertex,
      hiddenFromCamera,
    });
  }
  return { mesh, materials, groups, hidden, bounds: boundsOf(mesh.positions) };
}

function boundsOf(positions: Float32Array): Bounds {
  const min = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const max = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = 0; i < positions.length; i++) {
    const k = i % 3;
    if (positions[i]! < min[k]!) min[k] = positions[i]!;
    if (positions[i]! > max[k]!) max[k] = positions[i]!;
  }
  return { min: [min[0]!, min[1]!, min[2]!], max: [max[0]!, max[1]!, max[2]!] };
}
