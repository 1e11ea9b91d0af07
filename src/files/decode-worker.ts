/** A decoding worker thread of Node: one job at a time, its answer's large arrays handed over, not copied. */

import { parentPort } from "node:worker_threads";
import { failure, type Result, success } from "../units/index.ts";
import { decodeFile, frameOf } from "./decode.ts";
import type { FromDecoder, Job, JobAnswer, Source, ToDecoder } from "./decoder-types.ts";
import { lookAt } from "./look.ts";
import { mixFull } from "./mix-full.ts";
import { readFrameFile } from "./read-file.ts";
import { thumbnail } from "./thumbnail.ts";

parentPort?.on("message", ({ jobId, job }: ToDecoder) => {
  void run(job).then((answer) => post({ jobId, answer }));
});

function post(message: FromDecoder): void {
  const { answer } = message;
  parentPort?.postMessage(message, answer.ok ? buffersOf(answer.value) : []);
}

async function run(job: Job): Promise<Result<JobAnswer>> {
  try {
    return await (job.kind === "mix" ? mixFull(job) : decode(job));
  } catch (error) {
    // Out of memory for one picture is the picture's fault, told as such; everything else is a mistake of ours.
    const said = error instanceof Error ? error.message : String(error);
    return failure({
      code: /allocat|memory|Invalid typed array length/i.test(said) ? "frame-too-large" : "decoder-failed",
      what: `The decoder stopped: ${said.split("\n")[0]?.slice(0, 120)}`,
      where: job.kind === "mix" ? "mix" : job.name,
      mend: "Give a smaller picture, or close other programs; if it stays, please report it.",
    });
  }
}

async function decode(job: Exclude<Job, { kind: "mix" }>): Promise<Result<JobAnswer>> {
  const bytes = await bytesOf(job.source, job.name);
  if (!bytes.ok) return bytes;
  const file = await decodeFile(bytes.value, job.name, { half: job.kind === "look", meaning: job.meaning });
  if (!file.ok) return file;
  if (job.kind === "frame") return success({ kind: "frame", frame: frameOf(file.value, job.name) });
  const look = lookAt(file.value, job.name, job.longest, job.response);
  const thumb = job.thumb ? await thumbnail(look.proxy) : null;
  return success({ kind: "look", ...look, thumb, bytes: bytes.value.length });
}

const bytesOf = async (source: Source, name: string): Promise<Result<Uint8Array>> =>
  typeof source === "string" ? readFrameFile(source, name) : success(source);

/** The large arrays; tables of curves are shared between frames and are copied. */
function buffersOf(answer: JobAnswer): ArrayBuffer[] {
  if (answer.kind === "mix") return [];
  const { rgb } = answer.kind === "frame" ? answer.frame.image : answer.sample.image;
  const arrays = answer.kind === "frame" ? [rgb] : [rgb, answer.proxy.rgb, answer.proxy.clipped];
  return [...new Set(arrays.map(({ buffer }) => buffer as ArrayBuffer))];
}
