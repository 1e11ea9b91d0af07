/**
 * What a test frame is, and what comes of it. Numbers in a frame are parts of the white level: 0 is black (after
 * subtraction for raw and linear files), 1 is the white level. `rgb` arrays are interleaved, upright (the file's
 * orientation is applied), row by row from the upper left. Stops are log2 of light. Domain: one frame per light, one
 * with all, one with none, same aperture, time, ISO, white balance, focus, tripod.
 */

import type { Rgb } from "../colour/index.ts";
import type { Id, Instant } from "../setup/index.ts";
import type { DialScale, Fault, Stops } from "../units/index.ts";

export type { Rgb };

/** From a file's code to light, channel by channel: `tables[c][i]` is the light at code i/(n − 1), rising; straight between. */
export interface ToneCurve {
  /** What it is, for people: "sRGB", "embedded profile", "recovered from 7 frames". */
  readonly name: string;
  /** Three tables of any length ≥ 2, not falling; equal ones may be one array. */
  readonly tables: readonly [Float32Array, Float32Array, Float32Array];
}

/** A photograph as numbers, before it is made linear. */
export interface FrameImage {
  readonly width: number;
  readonly height: number;
  /** 3·width·height; grey files repeat their one channel. Raw and linear may fall under 0 by noise. */
  readonly rgb: Float32Array;
  /** Bits a channel carries in the file (8, 12, 14, 16), for quantising noise. */
  readonly bits: number;
  /** linear: proportional to light. coded: through a tone curve, 0…1 is the whole code range. */
  readonly encoding: "linear" | "coded";
  /** raw: camera raw, no curve. linear-file: a file that states or is known to be linear. processed: JPEG and the like. */
  readonly source: "raw" | "linear-file" | "processed";
  /** Coded: the embedded profile's inverse curve, or sRGB's where the file embeds none; null when linear. */
  readonly profile: ToneCurve | null;
  /** In the file's own numbers; null for processed files. */
  readonly whiteLevel: number | null;
  readonly blackLevels: readonly number[] | null;
  /** Values at or above count as clipped, in the unit of `rgb`: 0.98 by domain 10.4; lower where a channel saturates lower. */
  readonly clip: number;
  /** Raw: white balance as shot, multipliers of the channels with green 1; display only, never in the sums. */
  readonly balance: Rgb | null;
  /** Raw: from balanced camera rgb to linear sRGB, nine numbers row by row; display and colour figures only. */
  readonly toSrgb: readonly number[] | null;
}

/** What the file says about its exposure; null where it says nothing (or a zero). */
export interface FrameExposure {
  readonly shutterS: number | null;
  readonly fNumber: number | null;
  readonly iso: number | null;
  /** As written in the file, with an offset only when the file gives one. */
  readonly takenAt: string | null;
  readonly whiteBalance: "manual" | "auto" | null;
  /** False when the camera chose aperture or time itself. */
  readonly manual: boolean | null;
  readonly biasStops: number | null;
  readonly flashFired: boolean | null;
}

/** One file. */
export interface Frame {
  readonly id: Id;
  /** File name without its folder. */
  readonly name: string;
  /** Of the bytes as they came, lower-case hexadecimal. */
  readonly sha256: string;
  readonly image: FrameImage;
  readonly exposure: FrameExposure;
  /** What is odd about the file but did not stop the reading. */
  readonly notes: readonly Fault[];
}

/**
 * What a linear frame rests on. raw: camera raw. linear-file: a linear file. recovered: a response recovered from a
 * bracket of known steps. profile: the file's own curve, which a camera's processing need not follow: a sketch.
 */
export type Basis = "raw" | "linear-file" | "recovered" | "profile";

/** Variance of one channel value v: max(0, v)·perUnit + floor, and the step of the codes there, squared, over 12. */
export interface NoiseModel {
  /** 1/g in the unit of rgb: 1 over the electrons at the white level. */
  readonly perUnit: number;
  /** σ_r², read noise, the unit of rgb squared. */
  readonly floor: number;
  /** Width of one code at linear value (i/(n − 1))², straight between; null: no steps worth counting. */
  readonly steps: Float32Array | null;
  /** pair: from two frames alike. smooth: from smooth places of one frame. assumed: from the bits alone. */
  readonly from: "pair" | "smooth" | "assumed";
  /** Coded files: width of one code, part of the code range; a lossy file is off by some of it over whole blocks. */
  readonly codeStep?: number;
}

/** A frame in linear light. */
export interface LinearFrame {
  readonly id: Id;
  readonly name: string;
  readonly width: number;
  readonly height: number;
  /** Linear, 1 = white level. */
  readonly rgb: Float32Array;
  /** Per pixel: 1 where a channel clips (in a proxy: where any pixel under it does); 2 (or 3) where a shift left no picture. */
  readonly clipped: Uint8Array;
  readonly basis: Basis;
  readonly noise: NoiseModel;
  /** Pixels of the full frame under one of these, along a side: 1 at full size. */
  readonly reduction: number;
  readonly exposure: FrameExposure;
  readonly balance: Rgb | null;
  readonly toSrgb: readonly number[] | null;
}

/** What a frame shows. Light ids are the setup's, or "light-1"… without a setup. */
export type Shows =
  | { readonly kind: "light"; readonly lightId: Id }
  | { readonly kind: "together"; readonly lightIds: readonly Id[] }
  | { readonly kind: "ambient" }
  /** A later frame of the session, of these lights with another sitter: for the watch. */
  | { readonly kind: "session" }
  /** The same light as another frame, so many stops stronger: one of an exposure bracket, or a second of the same. */
  | { readonly kind: "repeat"; readonly ofFrameId: Id; readonly stops: number }
  /** Not a frame of this set: a mask, another size, another subject. */
  | { readonly kind: "aside" };

export interface Assignment {
  readonly frameId: Id;
  readonly name: string;
  readonly shows: Shows;
  /** 0…1; below 0.5 ask. */
  readonly confidence: number;
  readonly by: "order" | "name" | "looking" | "person";
  /** In words, with figures: "the sum of 0412 … 0415 leaves 0.02 of it". */
  readonly why: string;
  /** Which of several sets among the frames, from 1: another subject or size with frames of its own. Absent: the only one. */
  readonly set?: number;
}

/** A light as the assignment needs it. */
export interface NamedLight {
  readonly id: Id;
  readonly tag: string;
  readonly role: string;
}

/** How one frame lies on another. Positive x: the second's content stands further right. */
export interface Shift {
  readonly x: number;
  readonly y: number;
  /** Height of the correlation's peak over the largest one away from it; below 1.5 nothing is sure. */
  readonly peak: number;
  /** none: below half a pixel. integer: whole pixels taken out. moved: too far, or places that moved by themselves. */
  readonly verdict: "none" | "integer" | "moved" | "unsure";
  /** Where the second stands otherwise than the shift says: tiles, in pixels of the frames compared. */
  readonly local: readonly LocalShift[];
}

export interface LocalShift extends Area {
  readonly dx: number;
  readonly dy: number;
}

/** A rectangle of pixels, upper left inclusive. */
export interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A gain of a light between its frame and another frame, stops, with its standard deviation. */
export interface GainOf {
  readonly lightId: Id;
  /** null: it gives nothing there (did not fire). */
  readonly stops: number | null;
  readonly sigmaStops: number;
}

/** Pixel classes of a difference map. */
export const USABLE = 0;
export const CLIPPED = 1;
export const TOO_DARK = 2;
export const OUTSIDE = 3;

export type Verdict = "measured" | "sketch" | "doubtful" | "refused";

export type CauseKind =
  | "light-changed"
  | "light-missing"
  | "exposure-drift"
  | "ambient"
  | "subject-moved"
  | "tone-curve";

/** What probably makes together differ from the sum. */
export interface Cause {
  readonly kind: CauseKind;
  readonly lightId: Id | null;
  /** Stops for gains and drifts; pixels for movement; null where no one figure says it. */
  readonly figure: number | null;
  readonly where: Area | null;
  readonly words: string;
}

/** Together against the sum of its lights alone. Maps are on the check's own grid: patches of `patch` pixels. */
export interface SumCheck {
  readonly togetherId: Id;
  readonly lightIds: readonly Id[];
  readonly ambientId: Id | null;
  readonly width: number;
  readonly height: number;
  /** Pixels of the compared frames along the side of a patch. */
  readonly patch: number;
  /** log2(sum / together) of luminance per patch: positive where the sum is brighter; 0 where `state` is not usable. */
  readonly stops: Float32Array;
  readonly state: Uint8Array;
  readonly counts: {
    readonly usable: number;
    readonly clipped: number;
    readonly dark: number;
    readonly outside: number;
  };
  readonly rmsStops: number;
  readonly medianStops: number;
  /** 95th percentile of the size. */
  readonly p95Stops: number;
  /** What the noise alone would leave, RMS over the same patches. */
  readonly noiseStops: number;
  readonly verdict: Verdict;
  /** Each light's gain that would explain together best. */
  readonly gains: readonly GainOf[];
  /** RMS that is left once these gains are in. */
  readonly rmsAfterGains: number;
  readonly shift: Shift;
  readonly causes: readonly Cause[];
}

/** How one light goes into a mix of frames. */
export interface MixSetting {
  readonly lightId: Id | "ambient";
  readonly on: boolean;
  /** Stops against the frame as shot. */
  readonly stops: number;
  /** Gel, mired; positive warms. Its loss in light is not in it. */
  readonly miredShift: number;
}

/** A named place on the frames. */
export interface Patch extends Area {
  readonly id: Id;
  readonly name: string;
}

/** A patch in one frame. */
export interface PatchValue {
  readonly patchId: Id;
  /** Mean of the usable pixels, linear rgb; luminance by Rec. 709 weights. */
  readonly mean: Rgb;
  readonly luminance: number;
  /** Standard deviation of the mean luminance, by the noise model. */
  readonly sigma: number;
  readonly pixels: number;
  /** Parts 0…1 of the patch. */
  readonly clippedPart: number;
  readonly darkPart: number;
  /** Fine: below a tenth of it clipped, and light above three read noises. */
  readonly usable: boolean;
}

/** A difference in stops with its standard deviation. */
export interface StopsValue {
  readonly stops: number;
  readonly sigmaStops: number;
}

/** A light that advice may turn. `dialStops` is where it stood when its frame was shot. */
export interface TurnableLight {
  readonly lightId: Id;
  readonly tag: string;
  readonly dialStops: number;
  readonly dial: DialScale;
}

/** One head's turn. */
export interface Turn {
  readonly lightId: Id;
  /** Wanted change of light, stops; null: it should be off. */
  readonly wantedStops: number | null;
  readonly sigmaStops: number;
  /** Position the dial can stand at, stops below full, and the change it makes. */
  readonly dialStops: Stops;
  readonly turnStops: Stops;
  /** Wanted beyond the dial's end: which, and by how much. */
  readonly bound: "lowest" | "full" | null;
  readonly shortStops: number;
}

/** What the turns would leave at one patch: log2(reached / target). */
export interface AdviceResidual {
  readonly patchId: Id;
  readonly stops: number;
}

export interface Advice {
  readonly turns: readonly Turn[];
  readonly residuals: readonly AdviceResidual[];
  readonly rmsStops: number;
  readonly worstStops: number;
  /** What it cannot reach, each with a mend. */
  readonly faults: readonly Fault[];
}

/** What the watch says of one later frame. */
export interface WatchResult {
  readonly frameId: Id;
  readonly name: string;
  readonly gains: readonly GainOf[];
  readonly alarms: readonly WatchAlarm[];
  /** Patches that agreed with the fit, of all. */
  readonly agreeing: number;
  readonly patches: number;
  /** False: too little to go by (other framing, clipped, dark); the alarms are then empty. */
  readonly usable: boolean;
}

export interface WatchAlarm {
  readonly kind: "did-not-fire" | "drifted" | "all-drifted";
  readonly lightId: Id | null;
  readonly stops: number | null;
  readonly sigmaStops: number;
  /** Frame that it is of, where that is an earlier one of the same sitter; absent when of the result's own. */
  readonly about?: Id;
  /** "H did not fire in 0433". */
  readonly words: string;
}

/** A camera in numbers, for rendered frames and priors. */
export interface CameraNoise {
  /** Electrons at the white level. */
  readonly fullWell: number;
  /** Electrons. */
  readonly readNoise: number;
  readonly bits: number;
  /** linear: raw-like codes. srgb: coded as IEC 61966-2-1. */
  readonly encoding: "linear" | "srgb";
}

export type { DialScale, Fault, Id, Instant, Stops };
