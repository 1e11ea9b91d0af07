/**
 * The mix at full size: Σ weight·light, frame by frame, so that one decoded frame and one sum of floats are in memory
 * at a time; then through the display's path into a new 16-bit file. Node.
 */

import { basename } from "node:path";
import { addCodes, displayOf, type LinearFrame, linearFrame } from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { type DecodedFile, decodeFile, frameOf } from "./decode.ts";
import type { MixAnswer, MixJob, MixPart } from "./decoder-types.ts";
import { encode16 } from "./encode16.ts";
import { readFrameFile, systemFault } from "./read-file.ts";
import { lightTables } from "./reading.ts";
import { writePicture } from "./write-picture.ts";

interface Sum {
  readonly width: number;
  readonly height: number;
  readonly rgb: Float32Array;
  readonly colour: Pick<LinearFrame, "balance" | "toSrgb">;
}

/** Faults: no frames, a frame that cannot be read, frames of different sizes, no new file possible. */
export async function mixFull(job: MixJob): Promise<Result<MixAnswer>> {
  let sum: Sum | null = null;
  for (const part of job.parts) {
    const file = await decodePart(part, job);
    if (!file.ok) return file;
    const { reading } = file.value;
    const { width, height } = reading.raster;
    const { balance, toSrgb } = reading.image;
    sum ??= { width, height, rgb: new Float32Array(3 * width * height), colour: { balance, toSrgb } };
    if (sum.width !== width || sum.height !== height) return failure(otherSize(part, sum, width, height));
    addPart(sum.rgb, file.value, part, job);
  }
  if (sum === null) return failure(fault("mix-empty", "No frame goes into the mix", "mix", "Switch a light on."));
  return write(sum, job);
}

const otherSize = (part: MixPart, sum: Sum, width: number, height: number): Fault =>
  fault(
    "frame-size",
    `It has ${width} × ${height} pixels, the frames before it ${sum.width} × ${sum.height}`,
    part.name,
    "Leave it out, or shoot it again with the same settings.",
  );

async function decodePart({ source, name }: MixPart, { meaning }: MixJob): Promise<Result<DecodedFile>> {
  const bytes = typeof source === "string" ? await readFrameFile(source, name) : success(source);
  return bytes.ok ? decodeFile(bytes.value, name, { meaning }) : bytes;
}

function addPart(out: Float32Array, file: DecodedFile, { name, weight }: MixPart, { response }: MixJob): void {
  const { raster } = file.reading;
  if (raster.codes instanceof Float32Array || raster.channels === 1) {
    const { rgb } = linearFrame(frameOf(file, name), { response });
    for (let i = 0; i < out.length; i += 3) {
      for (let c = 0; c < 3; c++) out[i + c] = (out[i + c] as number) + (weight[c] as number) * (rgb[i + c] as number);
    }
  } else addCodes(out, raster.codes, lightTables(file.reading, response), weight);
}

async function write(sum: Sum, job: MixJob): Promise<Result<MixAnswer>> {
  const { width, height, rgb, colour } = sum;
  let cut = 0;
  const rows = (from: number, to: number): Uint16Array => {
    const band = displayOf({ rgb: rgb.subarray(3 * width * from, 3 * width * to), ...colour });
    for (let i = 0; i < band.length; i++) if ((band[i] as number) > 1) cut += 1;
    return encode16(band);
  };
  try {
    await writePicture(job.out, job.format, width, height, rows);
    return success({ kind: "mix", width, height, cutPart: cut / rgb.length });
  } catch (error) {
    const code = (error as { readonly code?: unknown }).code;
    if (code !== "EEXIST") return failure(systemFault(error, basename(job.out)));
    const what = "There is a file of that name already";
    return failure(fault("file-exists", what, basename(job.out), "Choose another name, or move that one away."));
  }
}
