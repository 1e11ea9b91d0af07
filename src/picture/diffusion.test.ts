/** Light under skin: the profile, its draws, a lit patch, a shadow's edge, the furnace. */

import assert from "node:assert/strict";
import test from "node:test";
import { discFront, rectangleFront } from "../photometry/index.ts";
import type { Material } from "../scene/index.ts";
import { diffusionLength, drawRadius, radiusDensity, radiusPart } from "./diffusion.ts";
import { renderLayers } from "./render.ts";
import { luminanceOf } from "./sums.ts";
import { meshMaker, patchCorners, testCamera } from "./testing.ts";
import { usualRequest } from "./types.ts";

const FREE_PATHS: readonly [number, number, number] = [0.0037, 0.0014, 0.0007];
const skin = (scatterM: readonly [number, number, number], reflectance: [number, number, number]): Material => ({
  ...{ kind: "skin", name: "skin", luminous: luminanceOf(...reflectance), reflectance, roughness: 0.35, ior: 1.4 },
  scatterM: [...scatterM],
});

test("the profile keeps all light: its density integrates to its part, and to 1 (0.1 %)", () => {
  const d = diffusionLength(0.0037, 0.5);
  let sum = 0;
  const step = d / 200;
  for (let r = step / 2; r < 40 * d; r += step) {
    sum += radiusDensity(d, r) * step;
    assert.ok(Math.abs(sum - radiusPart(d, r + step / 2)) < 1e-3);
  }
  assert.ok(Math.abs(sum - 1) < 1e-3);
});

test("drawn distances are spread as the profile says: the part within the drawn radius is even in u (0.01)", () => {
  const d = 0.001;
  const parts = Array.from({ length: 2000 }, (_, i) => radiusPart(d, drawRadius(d, (i + 0.5) / 2000))).sort(
    (a, b) => a - b,
  );
  parts.forEach((part, i) => {
    assert.ok(Math.abs(part - (i + 0.5) / 2000) < 0.01);
  });
});

/** Mean rgb of a skin patch under a soft front. */
function patch(scatter: readonly [number, number, number], samples: number): number[] {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.2), 0);
  const front = discFront({ centre: [0.5, 1.4, 1], normal: [-0.5, -0.2, -1] }, 0.5);
  const camera = testCamera([-0.3, 1.2, 0.6], [0, 1.2, 0], 3);
  const scene = maker.build([skin(scatter, [0.5, 0.33, 0.25])], [front], camera);
  const { rgb } = renderLayers(scene, { ...usualRequest(24, 24, [0], 3), bounces: 0 }, samples).layers[0]!;
  return [0, 1, 2].map((c) => rgb.filter((_, i) => i % 3 === c).reduce((a, b) => a + b) / 576);
}

test("a plain lit patch keeps its reflectance within 0.02 stop in every channel (seed 3)", () => {
  const [plain, spread] = [patch([0, 0, 0], 64), patch(FREE_PATHS, 64)];
  for (let c = 0; c < 3; c++) {
    const stops = Math.log2((spread[c] as number) / (plain[c] as number));
    assert.ok(Math.abs(stops) < 0.02, `channel ${c}: ${stops}`);
  }
});

test("furnace: a sphere of white skin with light wandering under it returns what it gets, as without (seed 11, 1 %)", () => {
  const mean = (scatter: readonly [number, number, number]): number => {
    const maker = meshMaker();
    maker.sphere([0, 0, 0], 0.1, 0, 32);
    const scene = maker.build([skin(scatter, [1, 1, 1])], [], testCamera([0, 0, 2], [0, 0, 0], 4));
    const { rgb } = renderLayers(scene, { ...usualRequest(16, 16, [], 11), ambient: true }, 64).layers[0]!;
    return rgb.reduce((a, b) => a + b, 0) / rgb.length;
  };
  const [without, within] = [mean([0, 0, 0]), mean(FREE_PATHS)];
  assert.ok(within < 1.005 && Math.abs(within / without - 1) < 0.01, `${within} for ${without}`);
});

test("across a sharp shadow's edge light fades as the profile's own integral, red farthest (seed 3, 0.05 of the lit level)", () => {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.2), 0);
  // Far off to the side of the lens: only its shadow is seen.
  maker.quad([0, 1.1, 0.4], [0.4, 1.1, 0.4], [0.4, 1.3, 0.4], [0, 1.3, 0.4], 1);
  const black: Material = { kind: "diffuse", name: "card", reflectance: [0, 0, 0] };
  const front = rectangleFront({ centre: [0, 1.2, 4], normal: [0, 0, -1] }, 0.004, 0.004);
  const reflectance: [number, number, number] = [0.5, 0.33, 0.25];
  const camera = testCamera([0, 1.2, 0.3], [0, 1.2, 0], 3);
  const scene = maker.build([skin(FREE_PATHS, reflectance), black], [front], camera);
  const { layers } = renderLayers(scene, { ...usualRequest(64, 16, [0], 3), bounces: 0 }, 256);
  const { rgb } = layers[0]!;
  const pixelM = (2 * 0.3 * Math.tan((1.5 * Math.PI) / 180)) / 16;
  const level = (x: number, c: number): number =>
    Array.from({ length: 16 }, (_, y) => rgb[3 * (64 * y + x) + c] as number).reduce((a, b) => a + b) / 16;
  const fades = [0, 1, 2].map((c) => {
    const d = diffusionLength(FREE_PATHS[c] as number, reflectance[c] as number);
    const lit = level(2, c);
    for (const x of [24, 28, 30, 34, 36, 40, 46]) {
      const expected = halfPlane(d, (32 - x - 0.5) * pixelM);
      const got = level(x, c) / lit;
      assert.ok(Math.abs(got - expected) < 0.05, `channel ${c}, ${x}: ${got} for ${expected}`);
    }
    return level(36, c) / lit;
  });
  assert.ok((fades[0] as number) > 1.5 * (fades[1] as number), `${fades}`);
});

/** Part of the profile's light that comes from the lit half-plane, `inside` metres from its edge. */
function halfPlane(d: number, inside: number): number {
  let sum = 0;
  const steps = 400;
  for (let i = 0; i < steps; i++) {
    const r = drawRadius(d, (i + 0.5) / steps);
    const ratio = inside / r;
    // Share of the circle of radius r about the spot that lies on the lit side.
    sum += ratio >= 1 ? 1 : ratio <= -1 ? 0 : 1 - Math.acos(ratio) / Math.PI;
  }
  return sum / steps;
}
