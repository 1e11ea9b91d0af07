export { mccamy, nearestPlanckian, robertson } from "./cct.ts";
export * from "./chromaticity.ts";
export * from "./gel.ts";
export * from "./hues.ts";
export { daylightXy, planckianFitXy, planckianUv, planckianXy, xyOfWhite } from "./locus.ts";
export * from "./match.ts";
export * from "./mired.ts";
export * from "./mix.ts";
export * from "./srgb.ts";
