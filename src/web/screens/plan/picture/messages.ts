/** What the page and its picture worker say to each other. */

import type { Layer } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";

export type ToPicture =
  | {
      readonly kind: "render";
      readonly job: number;
      readonly setup: Setup;
      readonly width: number;
      readonly height: number;
    }
  | { readonly kind: "probe"; readonly job: number; readonly x: number; readonly y: number };

export type FromPicture =
  | {
      readonly kind: "pass";
      readonly job: number;
      readonly layers: readonly Layer[];
      readonly samples: number;
      readonly noiseStops: number;
      readonly done: boolean;
    }
  | { readonly kind: "engine"; readonly engine: "graphics card" | "processor"; readonly why: string }
  | {
      readonly kind: "probed";
      readonly job: number;
      readonly x: number;
      readonly y: number;
      /** M per lm·s of each light at the spot, dome to the camera, straight light only; null where nothing is seen. */
      readonly factors: readonly { readonly lightId: string; readonly factor: number }[] | null;
    }
  | { readonly kind: "failed"; readonly job: number; readonly why: string };
