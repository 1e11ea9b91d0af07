/** The door of the care room: cautions with proved mends, the boom's steps, and the formulas under them. */

export { boomSteps } from "./boom.ts";
export { checkSetup } from "./check.ts";
export * from "./electricity.ts";
export { deferral } from "./finding.ts";
export { generalCautions } from "./general.ts";
export * from "./lever.ts";
export * from "./standing.ts";
export * from "./types.ts";
export { wayOut } from "./way-out.ts";
export { wayOutM } from "./way-out-grid.ts";
export type { Door, Obstacle, Owner, PlanPoint, WayOutPlan } from "./way-out-plan.ts";
export { findWayOut, type WayOut } from "./way-out-search.ts";
