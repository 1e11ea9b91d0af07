/**
 * A scene made ready for tracing: its materials as flat numbers with their coat tables, its emitters packed.
 * Positions, tree and order are the scene's own arrays, shared, not copied.
 */

import type { Bvh, Material, Mesh, Scene, SceneCamera } from "../scene/index.ts";
import { COAT_STEPS, coatTable, LEAST_ROUGHNESS } from "./coat.ts";
import { diffusionLength } from "./diffusion.ts";
import { type PackedEmitters, packEmitters } from "./emitter-pack.ts";
import { makeFibre } from "./fibre.ts";
import { fibreTable } from "./fibre-table.ts";

/** Numbers per material: kind, rgb, roughness, ior, place of the coat's or the fibre's table, Ē, extra, absorption (skin: diffusion) rgb, βM, βN, tilt, spare. */
export const MATERIAL_STRIDE = 16;

export const DIFFUSE = 0;
export const COATED = 1;
export const HAIR = 2;
export const GLASS = 3;
export const MIRROR = 4;
export const EMITTER = 5;

/** Everything a tracer reads; plain data, so that it travels to a worker as it is. */
export interface PackedScene {
  readonly mesh: Mesh;
  readonly bvh: Bvh;
  readonly hidden: Uint8Array;
  readonly camera: SceneCamera;
  readonly materials: Float32Array;
  /** Tables of coats (coat.ts) and of fibres (fibre-table.ts). */
  readonly coats: Float32Array;
  readonly emitters: PackedEmitters;
  readonly lightIds: readonly string[];
  /** Whether shadow rays can meet glass, and camera rays hidden triangles: most scenes skip the test. */
  readonly hasGlass: boolean;
  readonly hasHidden: boolean;
  /** Per triangle: 1 where it is wall, floor or ceiling; the ambient layer shines from there. */
  readonly walls: Uint8Array;
}

/** Packs a scene; tens of milliseconds at most. */
export function packScene(scene: Scene): PackedScene {
  const materials = new Float32Array(MATERIAL_STRIDE * scene.materials.length);
  const coats = new TableStore();
  scene.materials.forEach((material, i) => {
    materials.set(packMaterial(material, coats), MATERIAL_STRIDE * i);
  });
  return {
    mesh: scene.mesh,
    bvh: scene.bvh,
    hidden: scene.hidden,
    camera: scene.camera,
    materials,
    coats: coats.flat(),
    emitters: packEmitters(scene.emitters),
    lightIds: scene.emitters.map(({ lightId }) => lightId),
    hasGlass: scene.materials.some(({ kind }) => kind === "glass"),
    hasHidden: scene.hidden.some((flag) => flag !== 0),
    walls: wallsOf(scene),
  };
}

function wallsOf(scene: Scene): Uint8Array {
  const walls = new Uint8Array(scene.mesh.indices.length / 3);
  for (const { kind, firstTriangle, triangleCount } of scene.groups) {
    if (kind === "room") walls.fill(1, firstTriangle, firstTriangle + triangleCount);
  }
  return walls;
}

/** Tables by what they are made from: a moved light packs its scene anew, with the same materials. */
const kept = new Map<string, Float32Array>();
const MOST_KEPT = 64;

function keptTable(name: string, make: () => Float32Array): Float32Array {
  const known = kept.get(name);
  if (known) return known;
  if (kept.size >= MOST_KEPT) kept.clear();
  const table = make();
  kept.set(name, table);
  return table;
}

/** Tables of materials, one after the other. */
class TableStore {
  readonly #tables: Float32Array[] = [];
  #length = 0;

  /** Takes a table and gives its place. */
  add(table: Float32Array): number {
    const at = this.#length;
    this.#tables.push(table);
    this.#length += table.length;
    return at;
  }

  flat(): Float32Array {
    const all = new Float32Array(this.#length);
    let at = 0;
    for (const table of this.#tables) {
      all.set(table, at);
      at += table.length;
    }
    return all;
  }
}

/** How far light spreads under the coat, m per channel; nothing where it does not. */
function lengthsOf(material: Material): readonly number[] {
  if (material.kind !== "skin") return [];
  return material.scatterM.map((path, c) => diffusionLength(path, material.reflectance[c] as number));
}

function packMaterial(material: Material, coats: TableStore): number[] {
  switch (material.kind) {
    case "diffuse":
      return [DIFFUSE, ...material.reflectance, 0, 1, -1, 0, 0];
    case "glossy":
    case "skin": {
      const alpha = Math.max(LEAST_ROUGHNESS, material.roughness);
      const coat = keptTable(`coat ${alpha} ${material.ior}`, () => coatTable(alpha, material.ior));
      return [
        COATED,
        ...material.reflectance,
        alpha,
        material.ior,
        coats.add(coat),
        coat[COAT_STEPS] as number,
        0,
        ...lengthsOf(material),
      ];
    }
    case "hair": {
      const { absorption, betaM, betaN, tiltDeg, ior } = material;
      const name = `fibre ${absorption} ${betaM} ${betaN} ${tiltDeg} ${ior}`;
      const table = keptTable(name, () => fibreTable(makeFibre(absorption, betaM, betaN, tiltDeg, ior)));
      return [HAIR, 1, 1, 1, 0, ior, coats.add(table), 0, 0, ...absorption, betaM, betaN, tiltDeg];
    }
    case "glass":
      return [GLASS, ...material.tint, 0, material.ior, -1, 0, material.thin ? 1 : 0];
    case "mirror":
      return [MIRROR, ...material.reflectance, 0, 1, -1, 0, 0];
    case "emitter":
      return [EMITTER, 0, 0, 0, 0, 1, -1, 0, material.emitterIndex];
  }
}
