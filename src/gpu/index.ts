/** The gpu room's only door: a WebGPU device and the picture's WGSL twin on it. */

export { type NoDevice, type OpenedDevice, openDevice } from "./device.ts";
export { createGpuRenderer, type GpuRenderer } from "./renderer.ts";
export { createGpuTracer, DeviceLostError, type GpuTracer } from "./tracer.ts";
