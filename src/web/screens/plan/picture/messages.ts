/** What the page, its picture worker and its sketch worker say to each other. */

import type { Guides, Layer, LayerId, ProbeAim } from "../../../../picture/index.ts";
import type { Rgb, SceneCamera } from "../../../../scene/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import type { StaleLayer } from "../../../../work/index.ts";

/**
 * Through the setup's own lens, all sharp or with the depth of field of an aperture (the setup's own, as a key); or from
 * anywhere with the equipment shown.
 */
export type PictureView =
  | { readonly kind: "camera"; readonly depthAv: number | null }
  | { readonly kind: "free"; readonly camera: SceneCamera };

/** How the meter is held: receptor and where it is aimed. */
export interface Held {
  readonly receptor: "dome" | "disc";
  readonly aim: ProbeAim;
}

/** What is to be shown. `job` grows by one with every change of geometry or view. */
export interface Wanted {
  readonly job: number;
  readonly setup: Setup;
  readonly width: number;
  readonly height: number;
  readonly view: PictureView;
}

export type ToPicture =
  | ({ readonly kind: "render" } & Wanted)
  /** Ends the passes; what there is stays. */
  | { readonly kind: "stop" }
  /** Takes the passes up again from where they were. */
  | { readonly kind: "go on" }
  | ({ readonly kind: "probe"; readonly ask: number; readonly x: number; readonly y: number } & Held)
  /** Where the sketch worker listens for guides. */
  | { readonly kind: "port"; readonly port: MessagePort };

/** One light at the probed spot. */
export interface ProbedLight {
  readonly lightId: string;
  /** M per lm·s as the meter is held, straight light past what stands in the way. */
  readonly factor: number;
  /**
   * What panels and room add, M per lm·s flat along the surface: the layer there over reflectance, less the straight
   * light. An estimate; null where the surface is no matt one, or no layer is there yet.
   */
  readonly returned: number | null;
}

export type FromPicture =
  | { readonly kind: "engine"; readonly engine: "graphics card" | "processor"; readonly why: string }
  /** The scene stands: the next job may come. Says which layers are traced, and why. */
  | { readonly kind: "taken"; readonly job: number; readonly trace: readonly StaleLayer[] }
  | {
      readonly kind: "pass";
      readonly job: number;
      /** Layers that are new since the last pass; the others of `ids` are the page's own. */
      readonly layers: readonly Layer[];
      readonly ids: readonly LayerId[];
      /** Of the layers being traced. */
      readonly samples: number;
      readonly noiseStops: number;
      /** The asked noise is reached. */
      readonly done: boolean;
      /** Layers being brought up to date with light off a moved box, shown when they are through. */
      readonly settling: readonly LayerId[];
    }
  | { readonly kind: "stopped"; readonly job: number }
  | {
      readonly kind: "probed";
      readonly ask: number;
      readonly x: number;
      readonly y: number;
      /** Null where nothing is seen, or nothing is known yet. */
      readonly lights: readonly ProbedLight[] | null;
    }
  | { readonly kind: "failed"; readonly job: number; readonly why: string };

export type ToSketch =
  | { readonly kind: "port"; readonly port: MessagePort }
  | {
      readonly kind: "sketch";
      readonly job: number;
      readonly setup: Setup;
      readonly lightIds: readonly string[];
      readonly view: string;
    };

/** Null where there are no guides of that view yet. */
export interface FromSketch {
  readonly job: number;
  readonly layers: readonly Layer[] | null;
}

/** From the picture worker to the sketch worker. */
export interface GuidesMessage {
  readonly view: string;
  readonly guides: Guides;
  /** What stands for the hair's reflectance. */
  readonly hair: Rgb;
}

/** What the setup does not say about a view, as a key. */
export const viewKey = (view: PictureView, width: number, height: number): string =>
  JSON.stringify([view, width, height]);
