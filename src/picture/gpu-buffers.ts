/**
 * A packed scene and a request as the WGSL twin's buffers: the tree as it is, triangles and their vertices in leaf
 * order, all tables in one array, parameters as the module's `Params`. 48 + 192 bytes per triangle.
 */

import type { PackedScene } from "./pack.ts";
import type { RenderRequest } from "./types.ts";

export interface SceneBuffers {
  /** 32 bytes a node, the scene's own. */
  readonly nodes: ArrayBuffer;
  /** Corner, two edges; w of the first holds material and marks: 0x10000 hidden from the camera, 0x20000 wall. */
  readonly triangles: Float32Array<ArrayBuffer>;
  /** Three times position, normal, tangent, tint as vec4. */
  readonly vertices: Float32Array<ArrayBuffer>;
  /** Materials, coats, emitters, beams, then room for the request's emitters. */
  readonly tables: Float32Array<ArrayBuffer>;
  readonly places: {
    readonly materials: number;
    readonly coats: number;
    readonly emitters: number;
    readonly webs: number;
    readonly request: number;
  };
}

export function sceneBuffers(scene: PackedScene): SceneBuffers {
  const { materials, coats, emitters } = scene;
  const places = {
    materials: 0,
    coats: materials.length,
    emitters: materials.length + coats.length,
    webs: materials.length + coats.length + emitters.data.length,
    request: materials.length + coats.length + emitters.data.length + emitters.webs.length,
  };
  const tables = new Float32Array(places.request + Math.max(1, emitters.count));
  tables.set(materials, places.materials);
  tables.set(coats, places.coats);
  tables.set(emitters.data, places.emitters);
  tables.set(emitters.webs, places.webs);
  return { nodes: scene.bvh.buffer, ...triangleBuffers(scene), tables, places };
}

/** `first` and `samples` choose the paths, `row` and `rows` the band of the picture that the sums cover. */
export function paramsBuffer(
  scene: PackedScene,
  { places }: SceneBuffers,
  request: RenderRequest,
  part: { readonly first: number; readonly samples: number; readonly row: number; readonly rows: number },
): ArrayBuffer {
  const buffer = new ArrayBuffer(160);
  const words = new Uint32Array(buffer);
  const floats = new Float32Array(buffer);
  const { camera } = scene;
  words.set([request.width, request.height, part.first, part.samples, request.seed >>> 0, request.bounces]);
  words.set([Number(request.shadows), request.emitters.length, Number(request.ambient), Number(scene.hasGlass)], 6);
  words.set([Number(scene.hasHidden), part.row, part.rows, places.materials, places.coats, places.emitters], 10);
  words.set([places.webs, places.request, scene.emitters.count], 16);
  [camera.position, camera.forward, camera.right, camera.up].forEach((v, i) => {
    floats.set(v, 20 + 4 * i);
  });
  const tangent = Math.tan((camera.fovYDeg * Math.PI) / 360);
  floats.set([camera.lensRadiusM, camera.focusM, tangent, camera.aspect], 36);
  return buffer;
}

function triangleBuffers(scene: PackedScene): Pick<SceneBuffers, "triangles" | "vertices"> {
  const { mesh, bvh, hidden, walls } = scene;
  const count = bvh.order.length;
  const triangles = new Float32Array(12 * Math.max(1, count));
  const words = new Uint32Array(triangles.buffer);
  const vertices = new Float32Array(48 * Math.max(1, count));
  const arrays = [mesh.positions, mesh.normals, mesh.tangents, mesh.tints];
  bvh.order.forEach((t, slot) => {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * (mesh.indices[3 * t + k] as number)) as [number, number, number];
    for (let k = 0; k < 3; k++) {
      const p = mesh.positions[a + k] as number;
      triangles[12 * slot + k] = p;
      triangles[12 * slot + 4 + k] = (mesh.positions[b + k] as number) - p;
      triangles[12 * slot + 8 + k] = (mesh.positions[c + k] as number) - p;
    }
    words[12 * slot + 3] = (mesh.materials[t] as number) | (hidden[t] ? 0x10000 : 0) | (walls[t] ? 0x20000 : 0);
    [a, b, c].forEach((v, corner) => {
      arrays.forEach((array, part) => {
        vertices.set(array.subarray(v, v + 3), 48 * slot + 16 * corner + 4 * part);
      });
    });
  });
  return { triangles, vertices };
}
