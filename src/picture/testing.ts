/** Small scenes for tests: quadrilaterals, spheres and fronts, with the scene room's own tree. Not for production. */

import type { Front } from "../photometry/index.ts";
import type { Group, Material, Scene, SceneCamera, SceneEmitter } from "../scene/index.ts";
import { buildBvh } from "../scene/index.ts";
import { add, addScaled, cross, normalize, subtract, type Vec3 } from "../units/index.ts";
import { luminanceOf } from "./sums.ts";
import type { Layer } from "./types.ts";

/** Collects triangles of named materials. */
export interface MeshMaker {
  /** Corners counter-clockwise seen from outside. */
  quad(a: Vec3, b: Vec3, c: Vec3, d: Vec3, material: number, tangent?: Vec3): void;
  sphere(centre: Vec3, radius: number, material: number, rows?: number): void;
  /** Box seen from within: walls of a room, materials min x, max x, min y, max y, min z, max z. */
  room(min: Vec3, max: Vec3, materials: readonly number[]): void;
  build(materials: readonly Material[], fronts: readonly Front[], camera: SceneCamera): Scene;
}

export function meshMaker(): MeshMaker {
  const positions: number[] = [];
  const normals: number[] = [];
  const tangents: number[] = [];
  const indices: number[] = [];
  const kinds: number[] = [];
  const groups: Group[] = [];
  const vertex = (p: Vec3, n: Vec3, t: Vec3): number => {
    positions.push(...p);
    normals.push(...n);
    tangents.push(...t);
    return positions.length / 3 - 1;
  };
  const triangle = (a: number, b: number, c: number, material: number): void => {
    indices.push(a, b, c);
    kinds.push(material);
  };
  const quad: MeshMaker["quad"] = (a, b, c, d, material, tangent = [0, 0, 0]) => {
    const n = normalize(cross(subtract(b, a), subtract(d, a)));
    const [i, j, k, l] = [a, b, c, d].map((p) => vertex(p, n, tangent)) as [number, number, number, number];
    triangle(i, j, k, material);
    triangle(i, k, l, material);
  };
  const sphere: MeshMaker["sphere"] = (centre, radius, material, rows = 24) => {
    const at = (i: number, j: number): number => {
      const [theta, phi] = [(Math.PI * i) / rows, (Math.PI * j) / rows];
      const n: Vec3 = [Math.sin(theta) * Math.cos(phi), Math.cos(theta), Math.sin(theta) * Math.sin(phi)];
      return vertex(addScaled(centre, n, radius), n, [0, 0, 0]);
    };
    for (let i = 0; i < rows; i++) {
      for (let j = 0; j < 2 * rows; j++) {
        const [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
        if (i > 0) triangle(a, b, c, material);
        if (i < rows - 1) triangle(a, c, d, material);
      }
    }
  };
  const room: MeshMaker["room"] = ([x0, y0, z0], [x1, y1, z1], m) => {
    const corner = (x: number, y: number, z: number): Vec3 => [x ? x1 : x0, y ? y1 : y0, z ? z1 : z0];
    const firstTriangle = kinds.length;
    quad(corner(0, 0, 0), corner(0, 1, 0), corner(0, 1, 1), corner(0, 0, 1), m[0] as number);
    quad(corner(1, 0, 0), corner(1, 0, 1), corner(1, 1, 1), corner(1, 1, 0), m[1] as number);
    quad(corner(0, 0, 0), corner(0, 0, 1), corner(1, 0, 1), corner(1, 0, 0), m[2] as number);
    quad(corner(0, 1, 0), corner(1, 1, 0), corner(1, 1, 1), corner(0, 1, 1), m[3] as number);
    quad(corner(0, 0, 0), corner(1, 0, 0), corner(1, 1, 0), corner(0, 1, 0), m[4] as number);
    quad(corner(0, 0, 1), corner(0, 1, 1), corner(1, 1, 1), corner(1, 0, 1), m[5] as number);
    groups.push({
      ...{ name: "room", kind: "room", ownerId: null, firstTriangle, triangleCount: 12, hiddenFromCamera: false },
      ...{ firstVertex: positions.length / 3 - 24, vertexCount: 24 },
    });
  };
  const build: MeshMaker["build"] = (materials, fronts, camera) => {
    const all: Material[] = [...materials];
    const emitters = fronts.map((front, i): SceneEmitter => {
      all.push({ kind: "emitter", name: `front ${i}`, emitterIndex: i });
      const firstTriangle = kinds.length;
      const corners = front.outline.map((p) => vertex(p, front.normal, [0, 0, 0]));
      for (let k = 2; k < corners.length; k++) {
        triangle(corners[0] as number, corners[k - 1] as number, corners[k] as number, all.length - 1);
      }
      return {
        ...{ lightId: `light-${i}`, tag: String(i), front, firstTriangle, triangleCount: kinds.length - firstTriangle },
        ...{ outline: Float32Array.from(front.outline.flat()), areaM2: front.areaM2, radiusM: 0 },
      };
    });
    const mesh = {
      positions: Float32Array.from(positions),
      normals: Float32Array.from(normals),
      tangents: Float32Array.from(tangents),
      tints: new Float32Array(positions.length).fill(1),
      indices: Uint32Array.from(indices),
      materials: Uint16Array.from(kinds),
    };
    return {
      ...{ mesh, materials: all, emitters, camera, groups, hidden: new Uint8Array(kinds.length) },
      ...{ bounds: { min: [-10, -10, -10], max: [10, 10, 10] }, bvh: buildBvh(mesh) },
    };
  };
  return { quad, sphere, room, build };
}

/** A camera at a point that looks at another, so narrow that a small patch fills the frame. */
export function testCamera(position: Vec3, target: Vec3, fovYDeg: number): SceneCamera {
  const forward = normalize(subtract(target, position));
  const right = normalize(cross(forward, Math.abs(forward[1]) > 0.99 ? [0, 0, -1] : [0, 1, 0]));
  return { ...{ position, forward, right, up: cross(right, forward), fovYDeg, aspect: 1, lensRadiusM: 0, focusM: 1 } };
}

/** A square patch about a point, facing along a normal. */
export function patchCorners(centre: Vec3, normal: Vec3, side: number): [Vec3, Vec3, Vec3, Vec3] {
  const n = normalize(normal);
  const u = normalize(cross(Math.abs(n[1]) > 0.9 ? [1, 0, 0] : [0, 1, 0], n));
  const v = cross(n, u);
  const at = (a: number, b: number): Vec3 =>
    add(addScaled(addScaled([0, 0, 0], u, (a * side) / 2), v, (b * side) / 2), centre);
  return [at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)];
}

/**
 * How far a picture is from a converged one, stops: the deviation of the mixed luminance that `part` of the pixels
 * keep within, over pixels within 6 stops under the card in the reference. `weights` as the goal's (types.ts).
 */
export function trueDeviation(
  layers: readonly Pick<Layer, "rgb">[],
  reference: readonly Pick<Layer, "rgb">[],
  weights: readonly number[],
  part = 0.95,
): number {
  const count = (reference[0] as Pick<Layer, "rgb">).rgb.length / 3;
  const mixed = (from: readonly Pick<Layer, "rgb">[], i: number): number =>
    from.reduce((sum, { rgb }, k) => {
      const [r, g, b] = rgb.subarray(3 * i, 3 * i + 3) as unknown as [number, number, number];
      return sum + (weights[k] ?? 0) * luminanceOf(r, g, b);
    }, 0);
  const stops: number[] = [];
  for (let i = 0; i < count; i++) {
    const want = mixed(reference, i);
    if (want >= 0.18 / 64) stops.push(Math.abs(Math.log2(mixed(layers, i) / want)));
  }
  stops.sort((a, b) => a - b);
  return stops[Math.floor(part * (stops.length - 1))] as number;
}
