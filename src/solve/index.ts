/** The solve room's only door. */

export {
  type AxisReading,
  dialReadings,
  fitDialTable,
  fitOutput,
  type KitOffer,
  type Learned,
  learnFrom,
  meterToCamera,
  type OutputFit,
  tellsSize,
} from "./calibrate.ts";
export {
  angleOfViewDeg,
  cameraReport,
  circleOfConfusionMm,
  closeUpLossStops,
  type DepthOfField,
  depthOfField,
  distanceForFieldMm,
  fieldLengthMm,
  NOSE_TO_EAR_M,
  perspectiveRatio,
  tailCutStops,
} from "./camera.ts";
export { driftOf } from "./drift.ts";
export { spreadOf } from "./evenness.ts";
export { boundedLeastSquares, fitLine, type Line, type Matrix } from "./fit.ts";
export { degreesOutsideGrid, FLARE_LIMIT_STOPS, isInFrame } from "./flare.ts";
export { lensRadiusMm, mirrored, normalSpreadDeg } from "./glare.ts";
export { addedAv, chainOf, chainsOf, type RowSeed, sumOf, weakestFooting } from "./ledger.ts";
export { LEVEL_C, READING_SIGMA_STOPS } from "./light-rows.ts";
export { type MeterHelp, meterHelp } from "./meter-help.ts";
export { type JointPlan, planDials, planTogether } from "./plan.ts";
export { clockWords, type Glint, glintOf, NOSE_TIP_MM, noseShadow, patternOf } from "./portrait.ts";
export { believedAv, type TogetherQuestion } from "./predict.ts";
export { type RatioInput, ratioReport, ratioWords } from "./ratios.ts";
export { usualPlace } from "./scene.ts";
export { distanceOfSameSolidAngle, similarityStops, softnessChangePercent, substitutionStops } from "./similar.ts";
export { createSolver, predict, predictLight, predictTogether, type Solver } from "./solver.ts";
export { offsetForTone, shadedAtShadow, type TogetherPlan, togetherPlans, toneOf } from "./together.ts";
export {
  changeWords,
  dialOfOutput,
  outputOfDial,
  outputRange,
  type Reached,
  reachOutput,
  type TurnQuestion,
  turnFor,
} from "./turn.ts";
export type * from "./types.ts";
export { fitsRoom } from "./ways-out.ts";
