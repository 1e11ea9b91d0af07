/**
 * Threads to trace in: module workers in a browser, worker threads in Node, or this thread for tests and for places
 * without either. Node's modules are asked of the running process, not imported, so that the page can bundle this.
 */

import { traceWorker } from "./trace-job.ts";
import type { FromWorker, Port, ToWorker } from "./types.ts";

interface NodeWorker {
  postMessage(message: ToWorker): void;
  on(event: "message", hear: (message: FromWorker) => void): void;
  on(event: "error", hear: (error: Error) => void): void;
  terminate(): Promise<number>;
  unref(): void;
  ref(): void;
}

interface NodeProcess {
  getBuiltinModule(name: "node:worker_threads"): { Worker: new (url: URL) => NodeWorker };
  getBuiltinModule(name: "node:os"): { availableParallelism(): number };
}

const nodeProcess = (): NodeProcess | null => {
  const found = (globalThis as { process?: Partial<NodeProcess> }).process;
  return typeof found?.getBuiltinModule === "function" ? (found as NodeProcess) : null;
};

/** How many threads this machine runs at once. */
export function processorCount(): number {
  const node = nodeProcess();
  if (node) return node.getBuiltinModule("node:os").availableParallelism();
  return (globalThis as { navigator?: { hardwareConcurrency?: number } }).navigator?.hardwareConcurrency ?? 1;
}

/** One port of the best kind at hand. */
export function openPort(): Port {
  const node = nodeProcess();
  if (node) return nodePort(node);
  return typeof Worker === "undefined" ? localPort() : browserPort();
}

/** Traces in this thread, an answer at a time after the current task. */
export function localPort(): Port {
  let hear: (message: FromWorker) => void = () => {};
  let open = true;
  const answer = traceWorker((message) => hear(message));
  return {
    post: (message) => {
      setTimeout(() => open && answer(message), 0);
    },
    listen: (listener) => {
      hear = listener;
    },
    end: () => {
      open = false;
    },
  };
}

function nodePort(node: NodeProcess): Port {
  const { Worker: Thread } = node.getBuiltinModule("node:worker_threads");
  const worker = new Thread(new URL(import.meta.url.replace(/ports\.(\w+)$/, "node-worker.$1")));
  let hear: (message: FromWorker) => void = () => {};
  let asked = 0;
  worker.unref();
  worker.on("message", (message) => {
    // An idle thread must not keep the process alive.
    if (--asked === 0) worker.unref();
    hear(message);
  });
  worker.on("error", (error) => hear({ kind: "failed", jobId: -1, message: error.message }));
  return {
    post: (message) => {
      if (message.kind === "trace" && asked++ === 0) worker.ref();
      worker.postMessage(message);
    },
    listen: (listener) => {
      hear = listener;
    },
    end: () => {
      void worker.terminate();
    },
  };
}

function browserPort(): Port {
  const worker = new Worker(new URL("./browser-worker.ts", import.meta.url), { type: "module" });
  return {
    post: (message) => worker.postMessage(message),
    listen: (hear) => {
      worker.onmessage = (event: MessageEvent<FromWorker>) => hear(event.data);
      worker.onerror = (event) => hear({ kind: "failed", jobId: -1, message: event.message || "the worker stopped" });
    },
    end: () => worker.terminate(),
  };
}
