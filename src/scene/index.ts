/** The scene room's only door: a setup as triangles, materials, emitters and a camera. */

export { buildBvh, refitBvh } from "./bvh.ts";
export { anyHit, closestHit, type Hit, newHit, newStack, type Traced } from "./trace.ts";
export type * from "./types.ts";
