/** A tracing worker in a Node worker thread. */

import { parentPort } from "node:worker_threads";
import { traceWorker } from "./trace-job.ts";

const answer = traceWorker((message, transfer) => parentPort?.postMessage(message, transfer));
parentPort?.on("message", answer);
