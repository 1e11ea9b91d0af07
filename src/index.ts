/**
 * The library's door: the pure rooms, each under its own name, as in `import { solve, units } from "stopwise"`.
 * Nothing behind it reads a clock, throws dice or touches a disc; ids, times and seeds are arguments.
 */

export * as care from "./care/index.ts";
export * as colour from "./colour/index.ts";
export * as drawing from "./drawing/index.ts";
export * as photometry from "./photometry/index.ts";
export * as picture from "./picture/index.ts";
export * as scene from "./scene/index.ts";
export * as setup from "./setup/index.ts";
export * as solve from "./solve/index.ts";
export * as sync from "./sync/index.ts";
export * as units from "./units/index.ts";
