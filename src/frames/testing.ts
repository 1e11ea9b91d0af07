/** Frames for tests, made of numbers. Not for production. */

import type { Frame, FrameExposure, FrameImage } from "./types.ts";

/** A file that says nothing about its exposure. */
export const NO_EXPOSURE: FrameExposure = {
  ...{ shutterS: null, fNumber: null, iso: null, takenAt: null, whiteBalance: null, manual: null },
  ...{ biasStops: null, flashFired: null },
};

/** An image as a frame of that id; the name is the id unless given. */
export const frameOf = (id: string, image: FrameImage, name: string = id): Frame => ({
  ...{ id, name, sha256: "0".repeat(64), image, exposure: NO_EXPOSURE, notes: [] },
});
