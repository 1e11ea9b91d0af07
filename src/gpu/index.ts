/** The gpu room's only door: a WebGPU device, the picture's WGSL twin on it, and its layers as a picture. */

export { type NoDevice, type OpenedDevice, openDevice } from "./device.ts";
export { type CardSums, createGpuFinisher, type GpuFinisher } from "./finisher.ts";
export {
  type CardProgress,
  type CardRenderer,
  createCardRenderer,
  createGpuRenderer,
  type GpuRenderer,
} from "./renderer.ts";
export { createGpuTracer, DeviceLostError, type GpuTracer } from "./tracer.ts";
