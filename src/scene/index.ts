/** The scene room's only door: a setup as triangles, materials, emitters and a camera. */

export { buildScene, newSceneCache, type SceneCache, sceneCamera } from "./build.ts";
export { buildBvh } from "./bvh.ts";
export { hairAbsorption, hairMaterial, skinColour, skinLuminous, skinMaterial } from "./materials.ts";
export { anyHit, closestHit, type Hit, newHit, newStack, type Traced, type WalkStack } from "./trace.ts";
export type {
  Bounds,
  Bvh,
  Group,
  GroupKind,
  HairCut,
  Material,
  Mesh,
  ObjectShape,
  Rgb,
  Scene,
  SceneCamera,
  SceneEmitter,
  SceneOptions,
  SkinClass,
} from "./types.ts";
