/**
 * The four-light demo cut down to what any path tracer has: every surface matt (hair too, glass left out), every light
 * a plain rectangle of 0.6 × 0.9 m where its front is, no grids, lips, stands or ambient. For comparing tracers fairly.
 */

import { rectangleFront } from "../src/photometry/index.ts";
import {
  buildBvh,
  buildScene,
  type Material,
  type Mesh,
  type Rgb,
  type Scene,
  type SceneEmitter,
} from "../src/scene/index.ts";
import { frontOf, type Setup } from "../src/setup/index.ts";

const [FRONT_WIDTH, FRONT_HEIGHT] = [0.6, 0.9];
const HAIR: Rgb = [0.08, 0.06, 0.04];

export function diffuseScene(setup: Setup): Scene {
  const full = buildScene(setup, { equipment: "absent", detail: "low" });
  const kept = keptTriangles(full);
  const materials: Material[] = full.materials.map(({ name, ...material }) => {
    const reflectance = "reflectance" in material ? material.reflectance : HAIR;
    return { kind: "diffuse", name, reflectance };
  });
  const { positions, normals } = full.mesh;
  const corners: number[] = [];
  const facing: number[] = [];
  const indices = kept.flatMap((t) => [...full.mesh.indices.subarray(3 * t, 3 * t + 3)]);
  const kinds = kept.map((t) => full.mesh.materials[t] as number);
  const emitters = setup.lights.map((light, i): SceneEmitter => {
    const { centre, normal, up } = frontOf(setup, light);
    const front = rectangleFront({ centre, normal, up }, FRONT_WIDTH, FRONT_HEIGHT);
    materials.push({ kind: "emitter", name: light.tag, emitterIndex: i });
    const first = (positions.length + corners.length) / 3;
    corners.push(...front.outline.flat());
    facing.push(...front.outline.flatMap(() => front.normal));
    const firstTriangle = kinds.length;
    indices.push(first, first + 1, first + 2, first, first + 2, first + 3);
    kinds.push(materials.length - 1, materials.length - 1);
    return {
      ...{ lightId: light.id, tag: light.tag, front, firstTriangle, triangleCount: 2, radiusM: 0 },
      ...{ outline: Float32Array.from(front.outline.flat()), areaM2: front.areaM2 },
    };
  });
  const mesh: Mesh = {
    positions: Float32Array.from([...positions, ...corners]),
    normals: Float32Array.from([...normals, ...facing]),
    tangents: new Float32Array(positions.length + corners.length),
    tints: new Float32Array(positions.length + corners.length).fill(1),
    indices: Uint32Array.from(indices),
    materials: Uint16Array.from(kinds),
  };
  return { ...full, mesh, materials, emitters, groups: [], hidden: new Uint8Array(kinds.length), bvh: buildBvh(mesh) };
}

/** All but glass and fronts. */
function keptTriangles({ mesh, materials }: Scene): readonly number[] {
  return Array.from(mesh.materials, (m, t) => ({ t, kind: (materials[m] as Material).kind }))
    .filter(({ kind }) => kind !== "glass" && kind !== "emitter")
    .map(({ t }) => t);
}
