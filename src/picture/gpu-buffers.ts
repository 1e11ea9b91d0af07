/**
 * A packed scene and a request as the WGSL twin's buffers: the tree as it is, triangles in leaf
 * order, vertices as the mesh has them, all tables in one array, parameters as the module's `Params`. 60 bytes per
 * triangle, 48 per vertex.
 */

import type { PackedScene } from "./pack.ts";
import { sobolBytes } from "./random.ts";
import type { RenderRequest } from "./types.ts";

/** Where the vertex numbers begin among the words. */
export const INDICES_AT: number = sobolBytes.length;
/** Workgroups in a row of a dispatch over tiles. */
export const TILE_ROW = 256;

/** All tiles of a picture as the tracer's list: a dispatch's size, their count, their numbers. */
export function allTiles(width: number, height: number): Uint32Array<ArrayBuffer> {
  const count = Math.ceil(width / 8) * Math.ceil(height / 8);
  const list = new Uint32Array(4 + count);
  list.set([TILE_ROW, Math.ceil(count / TILE_ROW), 1, count]);
  for (let i = 0; i < count; i++) list[4 + i] = i;
  return list;
}

export interface SceneBuffers {
  /** 32 bytes a node, the scene's own. */
  readonly nodes: ArrayBuffer;
  /**
   * Corner, two edges, each with a word: material and marks (0x10000 hidden from the camera, 0x20000 wall), the
   * triangle's number in the mesh, nothing.
   */
  readonly triangles: Uint32Array<ArrayBuffer>;
  /** What each byte of a Sobol index gives (random.ts), then three vertex numbers per triangle of the mesh. */
  readonly words: Uint32Array<ArrayBuffer>;
  /** Normal, tangent, tint of a vertex and three spare numbers. */
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
  const [triangles, vertices] = [triangleWords(scene), vertexNumbers(scene)];
  const words = new Uint32Array(INDICES_AT + scene.mesh.indices.length);
  words.set(sobolBytes);
  words.set(scene.mesh.indices, INDICES_AT);
  return { nodes: scene.bvh.buffer, triangles, words, vertices, tables, places };
}

/** `samples` says how many paths, `row` and `rows` the band of the picture that the sums cover. */
export function paramsBuffer(
  scene: PackedScene,
  { places }: SceneBuffers,
  request: RenderRequest,
  part: { readonly samples: number; readonly row: number; readonly rows: number },
): ArrayBuffer {
  const buffer = new ArrayBuffer(160);
  const words = new Uint32Array(buffer);
  const floats = new Float32Array(buffer);
  const { camera } = scene;
  words.set([request.width, request.height, 0, part.samples, request.seed >>> 0, request.bounces]);
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

function triangleWords({ mesh, bvh, hidden, walls }: PackedScene): Uint32Array<ArrayBuffer> {
  const count = bvh.order.length;
  const words = new Uint32Array(12 * Math.max(1, count));
  const floats = new Float32Array(words.buffer);
  const { triangles, order } = bvh;
  for (let slot = 0; slot < count; slot++) {
    const t = order[slot] as number;
    for (let row = 0; row < 3; row++) {
      for (let k = 0; k < 3; k++) floats[12 * slot + 4 * row + k] = triangles[9 * slot + 3 * row + k] as number;
    }
    words[12 * slot + 3] = (mesh.materials[t] as number) | (hidden[t] ? 0x10000 : 0) | (walls[t] ? 0x20000 : 0);
    words[12 * slot + 7] = t;
  }
  return words;
}

function vertexNumbers({ mesh }: PackedScene): Float32Array<ArrayBuffer> {
  const count = mesh.positions.length / 3;
  const vertices = new Float32Array(12 * Math.max(1, count));
  const arrays = [mesh.normals, mesh.tangents, mesh.tints];
  arrays.forEach((array, part) => {
    for (let v = 0; v < count; v++) {
      for (let k = 0; k < 3; k++) vertices[12 * v + 3 * part + k] = array[3 * v + k] as number;
    }
  });
  return vertices;
}
