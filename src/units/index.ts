export * from "./dial.ts";
export * from "./result.ts";
export * from "./unit.ts";
export * from "./vector.ts";
