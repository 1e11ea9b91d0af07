/** The door of the setup room: the document, its edits, its geometry, its kit. */

export { applyEdits } from "./apply.ts";
export { type CameraField, cameraField, onPlane, pictureSidesMm } from "./camera-field.ts";
export { demoKit } from "./demo-kit.ts";
export { demoSetups } from "./demo-setups.ts";
export * from "./edit.ts";
export { axisOf, frontOf, modifierFront, panelNormal, panelOutline, usualBeamDeg } from "./fronts.ts";
export { type BodyFrame, bodyOf, type HeadFrame, headOccluder, headOf, onHead } from "./head.ts";
export { emptyKit, kitCanBuild, kitNeeds, kitOffers } from "./kit.ts";
export {
  type BoomBody,
  bodyDepthM,
  bodyPoints,
  bracketDepthM,
  type LightBody,
  lightBody,
  type StandBody,
} from "./light-body.ts";
export { currentVersion, type MigrationSteps, migrate } from "./migrate.ts";
export { type NewLight, newLight } from "./new-light.ts";
export { occludersOf } from "./occluders.ts";
export { parseKit, parseSetup, parseSetupWithRepairs, printKit, printSetup } from "./parse.ts";
export { allPointNames } from "./parse-items.ts";
export { type PatternCard, patterns } from "./patterns.ts";
export {
  asCartesian,
  asPolar,
  directionOf,
  noseOf,
  type Polar,
  placeFault,
  polarOf,
  positionOf,
  vectorOf,
  type WithNose,
  wrapDegrees,
} from "./place.ts";
export { type PlacedPattern, placePattern } from "./place-pattern.ts";
export {
  litCheek,
  mainOf,
  noseTips,
  type PointPlace,
  pointNames,
  pointOf,
  shadowCheek,
} from "./points.ts";
export { countedReadings, latestReading } from "./readings.ts";
export { type Repair, type RepairOptions, repairKit, repairSetup } from "./repair.ts";
export {
  fitsRoom,
  hasSpace,
  overlapFaults,
  type RoomFit,
  type SpaceNeeds,
  spaceNeeds,
  wallClearanceM,
} from "./space.ts";
export type { PatternRequest } from "./stage.ts";
export { roleTag } from "./tags.ts";
export {
  hairReflectance,
  hairStopsUnder,
  panelTargetAv,
  roleTolerance,
  stopsUnder,
  targetAv,
  targetWords,
  toleranceOf,
  toneStopsOver,
} from "./targets.ts";
export * from "./types.ts";
