/** The frames room's only door: test frames made linear, assigned, checked, mixed, measured, watched, turned into dials. */

export * from "./types.ts";
