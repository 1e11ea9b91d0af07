/** Buffers of a device: their uses, and reading one back. */

// Bits of the WebGPU specification; the names live on globals that Node does not have.
export const MAP_READ = 0x1;
export const COPY_SRC = 0x4;
export const COPY_DST = 0x8;
export const UNIFORM = 0x40;
export const STORAGE = 0x80;
export const INDIRECT = 0x100;

/** A buffer with data in it; at least 16 bytes, since bindings are never empty. */
export function uploaded(
  device: GPUDevice,
  data: ArrayBuffer | ArrayBufferView<ArrayBuffer>,
  usage: number = STORAGE,
): GPUBuffer {
  const buffer = device.createBuffer({ size: Math.max(16, data.byteLength), usage: usage | COPY_DST });
  device.queue.writeBuffer(buffer, 0, data);
  return buffer;
}

/** A copy of `size` bytes from `offset` on, after everything submitted before. */
export async function readBack(
  device: GPUDevice,
  from: GPUBuffer,
  size: number = from.size,
  offset = 0,
): Promise<ArrayBuffer> {
  const staging = device.createBuffer({ size, usage: MAP_READ | COPY_DST });
  const encoder = device.createCommandEncoder();
  encoder.copyBufferToBuffer(from, offset, staging, 0, size);
  device.queue.submit([encoder.finish()]);
  try {
    await staging.mapAsync(1);
    return staging.getMappedRange().slice(0);
  } finally {
    staging.destroy();
  }
}

/** A module; throws with its messages when the compiler has any error. */
export async function compiled(device: GPUDevice, code: string): Promise<GPUShaderModule> {
  const module = device.createShaderModule({ code });
  const { messages } = await module.getCompilationInfo();
  const errors = messages.filter(({ type }) => type === "error");
  if (errors.length > 0) throw new Error(errors.map((m) => `${m.lineNum}:${m.linePos} ${m.message}`).join("\n"));
  return module;
}
