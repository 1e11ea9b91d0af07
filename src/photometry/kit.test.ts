/** Small helpers of this room's tests: closeness in absolute terms and in stops, a seeded generator. */

import assert from "node:assert/strict";

export function near(actual: number, expected: number, tolerance: number, what = ""): void {
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual} is not within ${tolerance} of ${expected}`);
}

export function nearStops(actual: number, expected: number, tolerance: number, what = ""): void {
  near(Math.log2(actual / expected), 0, tolerance, `${what} ${actual} against ${expected}, stops:`);
}

/** Uniform numbers in 0…1 from a 32-bit seed (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
