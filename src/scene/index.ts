/** The scene room's only door: a setup as triangles, materials, emitters and a camera. */

export type * from "./types.ts";
