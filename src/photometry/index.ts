/** Photometry's only door. */

export * from "./bounce.ts";
export * from "./closed-forms.ts";
export * from "./density.ts";
export * from "./exposure.ts";
export * from "./files/index.ts";
export * from "./flash.ts";
export * from "./front.ts";
export * from "./irradiance.ts";
export type { Weighting } from "./kernel.ts";
export type { ShadeDetail } from "./occlusion.ts";
export { clip, fluxAlong, isInside, solidAngleOf } from "./planar.ts";
export * from "./polygon.ts";
export { gaussLegendre } from "./quadrature.ts";
export * from "./ratios.ts";
export { isBlocked } from "./ray-tests.ts";
export * from "./room.ts";
export * from "./shutter.ts";
export * from "./sums.ts";
export * from "./tolerance.ts";
export type * from "./types.ts";
