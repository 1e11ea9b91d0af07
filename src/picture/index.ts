/** The picture room's only door: layers of light, their mix, false colour, the probe. */

export { cameraRay, newRay, type Ray } from "./camera-rays.ts";
export { chooseBuffer, chooseWgsl, emptyTiles } from "./choose.wgsl.ts";
export { createFilter, denoiseLayer } from "./denoise.ts";
export {
  CRUSHED,
  falseColourPixels,
  type LegendEntry,
  markPixels,
  stopColour,
  stopsLegend,
  type ToneMark,
  toneMark,
  toneStops,
} from "./false-colour.ts";
export {
  FILTER_GROUP,
  FILTER_STEPS,
  filterParams,
  filterWgsl,
  resolveWgsl,
  thinWgsl,
} from "./filter.wgsl.ts";
export { allTiles, paramsBuffer, type SceneBuffers, sceneBuffers } from "./gpu-buffers.ts";
export { addGuides, GUIDE_STRIDE, readGuides } from "./guides.ts";
export {
  encodePixels,
  encodePixels16,
  type LayerGain,
  lightTint,
  mixLayers,
  referenceExposure,
  soloGains,
} from "./mix.ts";
export { type Look, type LookKind, lookBuffer, mixWgsl, paintWgsl } from "./mix.wgsl.ts";
export { type PackedScene, packScene } from "./pack.ts";
export {
  type ProbeAim,
  type ProbeReading,
  type ProbeSpot,
  probeLights,
  spotUnder,
  toneAt,
} from "./probe.ts";
export { layerIds, type Rendered, renderLayers } from "./render.ts";
export {
  addTile,
  CARD,
  deviations,
  luminanceOf,
  meanPaths,
  mixNoise,
  noiseLevel,
  noiseOf,
  readLayer,
  SUM_STRIDE,
} from "./sums.ts";
export { createTracer, type Tracer } from "./trace.ts";
export { traceWgsl } from "./trace.wgsl.ts";
export * from "./types.ts";
