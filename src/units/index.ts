export * from "./dial.ts";
export * from "./dial-notation.ts";
export * from "./reading.ts";
export * from "./result.ts";
export * from "./scale.ts";
export * from "./stops.ts";
export * from "./unit.ts";
export * from "./vector.ts";
