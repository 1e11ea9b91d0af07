/**
 * Both twins of the tracer on the same seeded scene, light by light, in headless Chromium with its software adapter.
 * Same numbers drive both, so that pixels differ only where 32-bit rounding sends a path another way.
 */

import assert from "node:assert/strict";
import test from "node:test";
import { fileURLToPath } from "node:url";
import type { Page } from "playwright-core";
import { packScene, type RenderRequest, renderLayers } from "../../src/picture/index.ts";
import { WEBGPU_ARGS, withBundledPage } from "./bundled-page.ts";
import type { FinishAnswer, PageAnswer } from "./parity-page.ts";
import { parityScene } from "./parity-scenes.ts";

const FRONTS = ["rectangle", "octagon", "disc", "umbrella", "gridded strip", "lobe", "bare tube", "measured beam"];

test("WGSL and TypeScript twins agree on every light's layer and on what the lens sees (seed 21)", async (t) => {
  const request: RenderRequest = {
    ...{ width: 48, height: 48, emitters: FRONTS.map((_, i) => i), ambient: true, bounces: 4, seed: 21, shadows: true },
  };
  const samples = 16;
  await withPage(async (page) => {
    const answer = await page.evaluate(([r, n]) => (globalThis as unknown as Calls).renderOnCard(r, n), [
      request,
      samples,
    ] as const);
    if (answer.why !== null) {
      t.skip(`no WebGPU in this Chromium: ${answer.why}`);
      return;
    }
    const { layers, guides } = renderLayers(packScene(parityScene()), request, samples);
    t.diagnostic(`software adapter: ${answer.seconds.toFixed(1)} s`);
    layers.forEach((layer, k) => {
      const other = answer.layers[k] as readonly number[];
      const name = FRONTS[k] ?? "ambient";
      const stops = Math.log2(mean(other) / mean(layer.rgb));
      assert.ok(Math.abs(stops) < 0.02, `${name}: mean differs by ${stops} stop`);
      const alike = layer.rgb.filter(
        (value, i) => Math.abs(value - (other[i] as number)) <= 0.01 * value + 1e-6,
      ).length;
      t.diagnostic(
        `${name}: ${((100 * alike) / layer.rgb.length).toFixed(1)} % within 1 %, mean ${stops.toFixed(5)} stop`,
      );
      assert.ok(alike > 0.95 * layer.rgb.length, `${name}: only ${alike} of ${layer.rgb.length} alike`);
    });
    const near = guides.depth.filter((z, i) => Math.abs(z - (answer.depth[i] as number)) < 1e-3).length;
    assert.ok(near > 0.99 * guides.depth.length);
  });
});

test("layers, filter, mix, false colour, marks and the estimate on the card are the CPU twins' (seed 22)", async (t) => {
  const request: RenderRequest = {
    ...{ width: 64, height: 48, emitters: FRONTS.map((_, i) => i), ambient: true, bounces: 2, seed: 22, shadows: true },
  };
  await withPage(async (page) => {
    const told = await page.evaluate((r) => (globalThis as unknown as Calls).finish(r, 6), request);
    if (told.why !== null) {
      t.skip(`no WebGPU in this Chromium: ${told.why}`);
      return;
    }
    t.diagnostic(JSON.stringify(told));
    assert.ok(told.raw > 0.999, `layers: ${told.raw} alike`);
    assert.ok(told.filtered > 0.995, `filtered layers: ${told.filtered} alike`);
    assert.ok(told.sigma > 0.99, `their deviations: ${told.sigma} alike`);
    for (const [kind, alike] of Object.entries(told.alike)) assert.ok(alike > 0.999, `${kind}: ${alike} alike`);
    assert.ok(told.marked > 0.01, "nothing was marked");
    const [card, own] = told.noise;
    assert.ok(Math.abs(card / own - 1) < 0.02, `estimates ${card} and ${own}`);
    assert.ok(told.spot < 1e-6);
    const [chosen, over] = told.share;
    assert.ok(over > 0.05 && over < 0.95, `${over} of the tiles go on: too few or too many to tell`);
    assert.ok(Math.abs(chosen - over) <= 1 / 48, `tiles that go on: ${chosen} and ${over}`);
    assert.ok(told.counted >= 47 / 48, `paths counted: ${told.counted}`);
  });
});

test("a lost device is told by name, and a new one renders", async (t) => {
  const request: RenderRequest = {
    width: 8,
    height: 8,
    emitters: [0],
    ambient: false,
    bounces: 1,
    seed: 1,
    shadows: true,
  };
  await withPage(async (page) => {
    const told = await page.evaluate((r) => (globalThis as unknown as Calls).loseDevice(r), request);
    if (told.error.includes("WebGPU")) {
      t.skip(told.error);
      return;
    }
    assert.deepEqual(told, { error: "DeviceLostError", again: true });
  });
});

test("twenty drags on the card leave no queue: only the last is rendered", async (t) => {
  const request: RenderRequest = {
    width: 16,
    height: 16,
    emitters: [0],
    ambient: false,
    bounces: 1,
    seed: 1,
    shadows: true,
  };
  await withPage(async (page) => {
    const told = await page.evaluate((r) => (globalThis as unknown as Calls).drag(r), request);
    if (told.includes("WebGPU")) {
      t.skip(told);
      return;
    }
    assert.equal(told, `${"-".repeat(19)}1`);
  });
});

test("a hundred drags of a picture that stays on the card leave no queue: only the last is shown", async (t) => {
  const request: RenderRequest = {
    ...{ width: 16, height: 16, emitters: [0], ambient: false, bounces: 1, seed: 1, shadows: true },
  };
  await withPage(async (page) => {
    const told = await page.evaluate((r) => (globalThis as unknown as Calls).dragOnCard(r), request);
    if (told.includes("WebGPU")) {
      t.skip(told);
      return;
    }
    assert.equal(told, `${"-".repeat(99)}2`);
  });
});

test("module workers of the page give the layer that Node gives, within rounding (seed 8)", async () => {
  const request: RenderRequest = {
    width: 40,
    height: 36,
    emitters: [0],
    ambient: false,
    bounces: 2,
    seed: 8,
    shadows: true,
  };
  await withPage(async (page) => {
    const told = await page.evaluate((r) => (globalThis as unknown as Calls).renderInWorker(r, 4), request);
    const own = renderLayers(packScene(parityScene()), request, 4).layers[0]!.rgb;
    assert.equal(told.length, own.length);
    const alike = own.filter((value, i) => Math.abs(value - told[i]!) <= 1e-5 * value + 1e-9).length;
    // Sines of two builds of the engine may differ in the last digit and send a path another way.
    assert.ok(alike > 0.99 * own.length, `${alike} of ${own.length}`);
  });
});

interface Calls {
  renderInWorker(request: RenderRequest, samples: number): Promise<readonly number[]>;
  drag(request: RenderRequest): Promise<string>;
  dragOnCard(request: RenderRequest): Promise<string>;
  finish(request: RenderRequest, samples: number): Promise<FinishAnswer>;
  renderOnCard(request: RenderRequest, samples: number): Promise<PageAnswer>;
  loseDevice(request: RenderRequest): Promise<{ error: string; again: boolean }>;
}

/** The page with both twins' module. */
const withPage = (use: (page: Page) => Promise<void>): Promise<void> =>
  withBundledPage(fileURLToPath(new URL("./parity-page.ts", import.meta.url)), WEBGPU_ARGS, use);

function mean(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] as number;
  return sum / values.length;
}
