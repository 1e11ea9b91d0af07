/** The frames room's only door: test frames made linear, assigned, checked, mixed, measured, watched, turned into dials. */

export { adviseFromFrame, adviseFromMix, adviseFromPatches, type PatchTarget, patchTarget } from "./advise.ts";
export { type AssignOptions, assignFrames } from "./assign.ts";
export { assignByLooking } from "./assign-looking.ts";
export { assignByPrediction, type Predicted } from "./assign-prediction.ts";
export { assignByName, assignByOrder, byNumbers, byShooting, corrected, type NamedFrame } from "./assign-words.ts";
export { CLEAN_16, CODED_8, photograph, RAW_14, type SeededRandom, seededRandom } from "./camera-model.ts";
export { checkSum, GOOD_STOPS, REFUSED_STOPS, type SumQuestion, sumOf } from "./check.ts";
export { clipOf } from "./clip.ts";
export { type AloneFrame, type FittedGains, fitGains, type GainBetween, gainBetween } from "./gains.ts";
export { meanLight } from "./grid.ts";
export { packHalf, unpackHalf } from "./half.ts";
export {
  addCodes,
  codeTables,
  isSketch,
  type LinearOptions,
  linearFrame,
  proxyOf,
  settingStops,
  withoutAmbient,
} from "./linear.ts";
export {
  asShot,
  displayOf,
  type FrameWeight,
  frameLayers,
  type MixOptions,
  mixFrames,
  mixWeights,
} from "./mix.ts";
export {
  assumedNoise,
  averagedNoise,
  noiseFromPair,
  noiseFromSmooth,
  readSigma,
  USUAL_CAMERA,
  varianceOf,
} from "./noise.ts";
export {
  FEWEST_PATCHES,
  type Mean,
  measurePatch,
  medianStops,
  stopsBetween,
  stopsOfMeans,
  toneOfPatch,
} from "./patches.ts";
export { NOTHING_THERE, registerFrames, shiftedBack } from "./register.ts";
export {
  type BracketFrame,
  type Recovered,
  type ResponseOptions,
  recoverResponse,
  type StepBack,
  stepsBack,
} from "./response.ts";
export { showsWord } from "./shows-word.ts";
export { codeAt, curveOf, lightAt, lightOfCodes, srgbCurve } from "./tone-curve.ts";
export * from "./types.ts";
export { startWatch, type WatchOptions, type WatchState, watchFrame } from "./watch.ts";
export { type LightWhite, whiteOfPatch } from "./white.ts";
