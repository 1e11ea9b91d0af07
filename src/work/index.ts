/** The work room's only door: threads that trace, the renderer over them, picture files. */

export { addSamples } from "./add-samples.ts";
export { writeExr } from "./exr.ts";
export { lookOf, type PictureLook, sameLook } from "./look.ts";
export { writePfm, writePng8, writePng8Rgb, writePng16 } from "./png.ts";
export { localPort, openPort, processorCount } from "./ports.ts";
export {
  aloneOf,
  gainsOf,
  mixOf,
  type RenderOptions,
  renderSetup,
  type SetupPicture,
  setupReference,
} from "./render-setup.ts";
export { createRenderer, type Renderer } from "./renderer.ts";
export {
  lightKey,
  movedLights,
  type Reuse,
  type StaleLayer,
  type StaleWhy,
  stageKey,
  staleLayers,
  type TracedIn,
} from "./reuse.ts";
export { sketchHair, sketchLayer } from "./sketch.ts";
export { type SmallPicture, smallPictures } from "./small-pictures.ts";
export type * from "./types.ts";
