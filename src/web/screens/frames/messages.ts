/** What the page and its mixing worker say to each other. Pixels stay in the worker; what comes back is ready to show. */

import type {
  Advice,
  LinearFrame,
  MixSetting,
  Patch,
  SumCheck,
  TurnableLight,
  WatchResult,
} from "../../../frames/index.ts";

/** What the mix is made of: the frame of each light, of none, of all; and the session's later ones. */
export interface MixParts {
  readonly lights: readonly { readonly lightId: string; readonly frameId: string }[];
  readonly ambientId: string | null;
  readonly togetherId: string | null;
  /** The lights that the frame of all was made with. */
  readonly togetherLightIds: readonly string[];
  readonly sessionIds: readonly string[];
}

/** What the turns should reach: tones of patches, stops from the card, or another frame. */
export type AdviceTarget =
  | { readonly kind: "patches"; readonly wanted: readonly { readonly patch: Patch; readonly stops: number }[] }
  | { readonly kind: "frame"; readonly frameId: string };

export type ToMixer =
  | { readonly kind: "frame"; readonly frame: LinearFrame }
  | { readonly kind: "drop"; readonly frameId: string }
  | {
      readonly kind: "parts";
      readonly parts: MixParts;
      readonly tags: Readonly<Record<string, string>>;
      /** Of the camera: what a gel's shift starts from. */
      readonly whiteBalanceK: number;
    }
  | {
      readonly kind: "mix";
      readonly settings: readonly MixSetting[];
      readonly patches: readonly Patch[];
      /** The patch that lies on a grey card: each light's own white is read there. */
      readonly greyId: string | null;
      readonly longSidePx: number;
    }
  | { readonly kind: "advise"; readonly target: AdviceTarget; readonly lights: readonly TurnableLight[] };

/** A picture ready for a canvas, rgba. */
export interface Shown {
  readonly width: number;
  readonly height: number;
  readonly rgba: Uint8ClampedArray<ArrayBuffer>;
}

/** Lowest tone of the histograms, stops from the card, the width of one of their steps, and how many there are. */
export const FIRST_TONE = -8;
export const TONE_STEP = 0.1;
export const TONE_COUNT = 110;

export interface Tones {
  readonly mix: Float32Array;
  readonly lights: readonly { readonly lightId: string; readonly counts: Float32Array }[];
}

/** A patch in the mix and in the frame of all, stops from the card; null where it cannot be read. */
export interface PatchRow {
  readonly patch: Patch;
  readonly mixStops: number | null;
  readonly frameStops: number | null;
  readonly sigmaStops: number | null;
}

/** A light's colour on the grey card; null and why where it cannot be told. */
export interface WhiteRow {
  readonly lightId: string;
  readonly white: { readonly kelvin: number; readonly miredOver: number; readonly duv: number } | null;
  readonly why: string;
}

export type FromMixer =
  | {
      readonly kind: "mixed";
      readonly mix: Shown;
      readonly together: Shown | null;
      readonly tones: Tones;
      readonly rows: readonly PatchRow[];
      readonly whites: readonly WhiteRow[];
      readonly size: readonly [width: number, height: number];
      readonly ms: number;
    }
  /** There is no frame of a light yet. */
  | { readonly kind: "nothing" }
  | { readonly kind: "checked"; readonly check: SumCheck; readonly map: Shown }
  | { readonly kind: "watched"; readonly results: readonly WatchResult[] }
  | { readonly kind: "advised"; readonly advice: Advice }
  | { readonly kind: "failed"; readonly what: string };
