/**
 * Opens a WebGPU device: the browser's, or in Node that of the optional package `webgpu` where it is installed. Asks for
 * buffers as large as the adapter has, because sums of a whole picture pass the default 128 MiB.
 */

/** Why there is no device, in words for the page. */
export type NoDevice = { readonly ok: false; readonly why: string };
export type OpenedDevice = { readonly ok: true; readonly device: GPUDevice; readonly name: string };

/** A device, or why not. Never throws. */
export async function openDevice(gpu: GPU | null = browserGpu()): Promise<OpenedDevice | NoDevice> {
  const entry = gpu ?? (await nodeGpu());
  if (!entry) return { ok: false, why: "no WebGPU here" };
  try {
    const adapter = await entry.requestAdapter({ powerPreference: "high-performance" });
    if (!adapter) return { ok: false, why: "WebGPU has no graphics adapter here" };
    const { maxStorageBufferBindingSize, maxBufferSize } = adapter.limits;
    const device = await adapter.requestDevice({ requiredLimits: { maxStorageBufferBindingSize, maxBufferSize } });
    return {
      ok: true,
      device,
      name: [adapter.info.vendor, adapter.info.architecture || adapter.info.device].filter(Boolean).join(" "),
    };
  } catch (error) {
    return { ok: false, why: error instanceof Error ? error.message : String(error) };
  }
}

function browserGpu(): GPU | null {
  return (globalThis as { navigator?: { gpu?: GPU } }).navigator?.gpu ?? null;
}

/** Kept for the life of the process: the package stops answering once its entry is collected. */
let kept: GPU | null = null;

/** The optional package, by a name that no bundler follows. */
async function nodeGpu(): Promise<GPU | null> {
  if (typeof (globalThis as { process?: unknown }).process === "undefined") return null;
  if (kept) return kept;
  const name = "webgpu";
  try {
    const module = (await import(/* @vite-ignore */ name)) as { create(flags: string[]): GPU; globals: object };
    Object.assign(globalThis, module.globals);
    kept = module.create([]);
    return kept;
  } catch {
    return null;
  }
}
