/** The WGSL twin against photometry's closed forms, every kind of front in three places; the CPU twin's are in src/picture/trace.test.ts. */

import assert from "node:assert/strict";
import test from "node:test";
import { fileURLToPath } from "node:url";
import { WEBGPU_ARGS, withBundledPage } from "./bundled-page.ts";
import type { TruthAnswer } from "./truth-page.ts";
import { truthCases } from "./truth-scenes.ts";

test("on the card a Lambertian patch under every kind of front, near, tilted and far, is within 0.02 stop of photometry (seed 7)", async (t) => {
  const entry = fileURLToPath(new URL("./truth-page.ts", import.meta.url));
  const { why, means } = await withBundledPage(entry, WEBGPU_ARGS, (page) =>
    page.evaluate(() => (globalThis as unknown as { traceCases(): Promise<TruthAnswer> }).traceCases()),
  );
  if (why !== null) {
    t.skip(`no WebGPU in this Chromium: ${why}`);
    return;
  }
  const cases = truthCases();
  assert.equal(means.length, cases.length);
  for (const [i, { name, expected }] of cases.entries()) {
    const stops = Math.log2(means[i]! / expected);
    t.diagnostic(`${name}: ${stops.toFixed(4)} stop`);
    assert.ok(Math.abs(stops) <= 0.02, `${name}: ${stops}`);
  }
});
