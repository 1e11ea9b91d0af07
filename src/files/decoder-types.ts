/** What the decoder asks of its threads, and what they answer. */

import type { Frame, LinearFrame, Rgb, ToneCurve } from "../frames/index.ts";
import type { Result } from "../units/index.ts";
import type { CodeMeaning } from "./decode-plain.ts";

/** A file's path, or its bytes. */
export type Source = string | Uint8Array;

/** The whole frame, full size, as floats. */
export interface FrameJob {
  readonly kind: "frame";
  readonly source: Source;
  readonly name: string;
  readonly meaning: CodeMeaning;
}

/** A linear proxy and what else the frame is known by at a glance. */
export interface LookJob {
  readonly kind: "look";
  readonly source: Source;
  readonly name: string;
  readonly meaning: CodeMeaning;
  /** Longer side of the proxy at most, pixels. */
  readonly longest: number;
  /** The camera's recovered response, for coded files. */
  readonly response: ToneCurve | null;
  /** A small picture for lists too. */
  readonly thumb: boolean;
}

/** One frame of a full-size mix: its light is added `weight` times, channel by channel. */
export interface MixPart {
  readonly source: Source;
  readonly name: string;
  readonly weight: Rgb;
}

export type MixFormat = "tiff16" | "png16";

/** Σ weight·frame at full size, into a new file. */
export interface MixJob {
  readonly kind: "mix";
  readonly parts: readonly MixPart[];
  readonly meaning: CodeMeaning;
  readonly response: ToneCurve | null;
  readonly format: MixFormat;
  /** Written afresh; a fault when there is a file of that name. */
  readonly out: string;
}

export type Job = FrameJob | LookJob | MixJob;

export interface LookAnswer {
  readonly kind: "look";
  readonly proxy: LinearFrame;
  /** The same frame as single pixels in its own code, small: for the recovery of a response. */
  readonly sample: Frame;
  /** Upright, full size. */
  readonly width: number;
  readonly height: number;
  /** A small JPEG; null when it was not asked for. */
  readonly thumb: Uint8Array | null;
  /** Of the file. */
  readonly bytes: number;
}

export interface MixAnswer {
  readonly kind: "mix";
  readonly width: number;
  readonly height: number;
  /** Part of the channel values that were above white and are cut there. */
  readonly cutPart: number;
}

export type JobAnswer = { readonly kind: "frame"; readonly frame: Frame } | LookAnswer | MixAnswer;

export interface ToDecoder {
  readonly jobId: number;
  readonly job: Job;
}

export interface FromDecoder {
  readonly jobId: number;
  readonly answer: Result<JobAnswer>;
}
