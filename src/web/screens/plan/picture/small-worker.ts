/** Traces a setup small, in a thread of its own, and makes the pictures of each light alone and all together. */

import { createFilter, packScene, renderLayers, usualRequest } from "../../../../picture/index.ts";
import { buildScene } from "../../../../scene/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import { type SmallPicture, smallPictures } from "../../../../work/index.ts";

export interface ToSmall {
  readonly setup: Setup;
  readonly lifts: ReadonlyMap<string, number>;
}

export type FromSmall = readonly SmallPicture[];

/** Pixels of the longer side, paths per pixel, bounces: a thumb's width, calm after the filter. */
const LONG_SIDE_PX = 210;
const SAMPLES = 8;
const BOUNCES = 4;

const scope = self as unknown as {
  postMessage(message: FromSmall): void;
  onmessage: ((event: MessageEvent<ToSmall>) => void) | null;
};

scope.onmessage = async ({ data: { setup, lifts } }) => {
  const packed = packScene(buildScene(setup, { equipment: "hidden", detail: "low" }));
  const { sensorWidthMm, sensorHeightMm, upright } = setup.camera;
  const [long, short] = [Math.max(sensorWidthMm, sensorHeightMm), Math.min(sensorWidthMm, sensorHeightMm)];
  const side = Math.round((LONG_SIDE_PX * short) / long);
  const [width, height] = upright ? [side, LONG_SIDE_PX] : [LONG_SIDE_PX, side];
  const all = packed.lightIds.map((_, i) => i);
  const ambient = (setup.room.ambientLx ?? 0) > 0;
  const request = { ...usualRequest(width, height, all, 1), ambient, bounces: BOUNCES };
  const { layers, guides } = renderLayers(packed, request, SAMPLES);
  scope.postMessage(await smallPictures(setup, layers.map(createFilter(guides)), lifts));
};
