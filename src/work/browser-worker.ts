/** A tracing worker in a browser's module worker. */

import { traceWorker } from "./trace-job.ts";
import type { FromWorker, ToWorker } from "./types.ts";

/** The part of a worker's global scope used here: the page's project types the window instead. */
interface Scope {
  postMessage(message: FromWorker, transfer: ArrayBuffer[]): void;
  onmessage: ((event: { readonly data: ToWorker }) => void) | null;
}

const scope = globalThis as unknown as Scope;
const answer = traceWorker((message, transfer) => scope.postMessage(message, transfer));
scope.onmessage = (event) => answer(event.data);
