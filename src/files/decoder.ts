/**
 * Decoding in worker threads: at most so many frames at a time, each with a time limit, the rest waiting in line. A
 * thread that breaks or takes too long is ended and replaced; its frame gets a fault, the others go on. An idle
 * decoder keeps no process alive. Node.
 */

import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { Frame, ToneCurve } from "../frames/index.ts";
import { type Fault, failure, fault, type Result } from "../units/index.ts";
import type { CodeMeaning } from "./decode-plain.ts";
import type { FromDecoder, Job, JobAnswer, LookAnswer, MixAnswer, MixJob, Source, ToDecoder } from "./decoder-types.ts";
import { DECODE_PATIENCE_MS } from "./limits.ts";
import { PROXY_SIDE } from "./look.ts";

export interface DecoderOptions {
  /** Frames decoded at a time; usually two, one on a machine of one processor. A 24-megapixel one takes about 0.5 GB. */
  readonly threads?: number;
  /** For one frame, ms; a mix has as much for each of its frames. */
  readonly patienceMs?: number;
}

export interface LookOptions {
  readonly longest?: number;
  readonly response?: ToneCurve | null;
  readonly meaning?: CodeMeaning;
  readonly thumb?: boolean;
}

export interface Decoder {
  /** The whole frame at full size. */
  frame(source: Source, name: string, meaning?: CodeMeaning): Promise<Result<Frame>>;
  /** A linear proxy, and the frame at a glance. */
  look(source: Source, name: string, options?: LookOptions): Promise<Result<LookAnswer>>;
  /** A full-size mix into a new file. */
  mix(job: Omit<MixJob, "kind">): Promise<Result<MixAnswer>>;
  /** Ends its threads; whatever was under way gets a fault. */
  close(): Promise<void>;
}

export function createDecoder(options: DecoderOptions = {}): Decoder {
  const lane = new Lane(
    options.threads ?? Math.min(2, availableParallelism()),
    options.patienceMs ?? DECODE_PATIENCE_MS,
  );
  return {
    frame: async (source, name, meaning = null) => {
      const answer = await lane.ask({ kind: "frame", source, name, meaning });
      return answer.ok && answer.value.kind === "frame" ? { ok: true, value: answer.value.frame } : unexpected(answer);
    },
    look: async (source, name, { longest = PROXY_SIDE, response = null, meaning = null, thumb = false } = {}) => {
      const answer = await lane.ask({ kind: "look", source, name, meaning, longest, response, thumb });
      return answer.ok && answer.value.kind === "look" ? { ok: true, value: answer.value } : unexpected(answer);
    },
    mix: async (job) => {
      const answer = await lane.ask({ kind: "mix", ...job });
      return answer.ok && answer.value.kind === "mix" ? { ok: true, value: answer.value } : unexpected(answer);
    },
    close: () => lane.close(),
  };
}

/** The faults; an answer to another question would be a mistake of ours. */
function unexpected(answer: Result<JobAnswer>): Result<never> {
  if (!answer.ok) return answer;
  throw new RangeError(`The decoder answered ${answer.value.kind}`);
}

interface Waiting {
  readonly job: Job;
  readonly done: (answer: Result<JobAnswer>) => void;
}

interface Thread {
  readonly worker: Worker;
  task: (Waiting & { readonly timer: NodeJS.Timeout }) | null;
}

/** The threads and who waits for them. */
class Lane {
  readonly #most: number;
  readonly #patienceMs: number;
  readonly #threads = new Set<Thread>();
  readonly #waiting: Waiting[] = [];
  #jobs = 0;
  #closed = false;

  constructor(most: number, patienceMs: number) {
    this.#most = Math.max(1, most);
    this.#patienceMs = patienceMs;
  }

  ask(job: Job): Promise<Result<JobAnswer>> {
    if (this.#closed) return Promise.resolve(failure(closedFault(nameOf(job))));
    return new Promise((done) => {
      this.#waiting.push({ job, done });
      this.#next();
    });
  }

  async close(): Promise<void> {
    this.#closed = true;
    for (const { job, done } of this.#waiting.splice(0)) done(failure(closedFault(nameOf(job))));
    const threads = [...this.#threads];
    await Promise.all(threads.map((thread) => this.#end(thread, closedFault)));
  }

  #next(): void {
    if (this.#closed || this.#waiting.length === 0) return;
    const thread = [...this.#threads].find(({ task }) => task === null) ?? this.#begin();
    if (thread === null) return;
    const { job, done } = this.#waiting.shift() as Waiting;
    const limit = this.#patienceMs * (job.kind === "mix" ? Math.max(1, job.parts.length) : 1);
    const timer = setTimeout(() => void this.#end(thread, slowFault), limit);
    thread.task = { job, done, timer };
    thread.worker.ref();
    thread.worker.postMessage({ jobId: ++this.#jobs, job } satisfies ToDecoder);
  }

  /** A further thread, unless there are enough. */
  #begin(): Thread | null {
    if (this.#threads.size >= this.#most) return null;
    const worker = new Worker(new URL(import.meta.url.replace(/decoder\.(\w+)$/, "decode-worker.$1")));
    const thread: Thread = { worker, task: null };
    this.#threads.add(thread);
    worker.unref();
    worker.on("message", ({ answer }: FromDecoder) => this.#finish(thread, answer));
    worker.on("error", () => void this.#end(thread, brokenFault));
    worker.on("exit", () => void this.#end(thread, brokenFault));
    return thread;
  }

  #finish(thread: Thread, answer: Result<JobAnswer>): void {
    const { task } = thread;
    if (task === null) return;
    clearTimeout(task.timer);
    thread.task = null;
    thread.worker.unref();
    task.done(answer);
    this.#next();
  }

  async #end(thread: Thread, why: (name: string) => Fault): Promise<void> {
    if (!this.#threads.delete(thread)) return;
    if (thread.task !== null) this.#finish(thread, failure(why(nameOf(thread.task.job))));
    await thread.worker.terminate();
    this.#next();
  }
}

const nameOf = (job: Job): string => (job.kind === "mix" ? "mix" : job.name);

const closedFault = (name: string): Fault =>
  fault("decoder-closed", "Stopwise was closing", name, "Start it again and give the file anew.");
const slowFault = (name: string): Fault =>
  fault("frame-slow", "It did not decode in time and was given up", name, "Copy it again, or save it anew.");
const brokenFault = (name: string): Fault =>
  fault("decoder-failed", "The decoder broke on this file", name, "Copy it again, or save it anew.");
