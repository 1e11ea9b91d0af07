/** The guides: smooth over outlines, a real surface point kept, the same whatever the tiles. */

import assert from "node:assert/strict";
import test from "node:test";
import type { Material } from "../scene/index.ts";
import { renderLayers } from "./render.ts";
import { meshMaker, testCamera } from "./testing.ts";
import { usualRequest } from "./types.ts";

const white: Material = { kind: "diffuse", name: "white", reflectance: [0.8, 0.8, 0.8] };
const black: Material = { kind: "diffuse", name: "black", reflectance: [0.1, 0.1, 0.1] };

/** A black ball of 0.3 m before a white sheet at z = 0, seen from 3 m. */
function ball() {
  const maker = meshMaker();
  maker.quad([-3, -3, 0], [3, -3, 0], [3, 3, 0], [-3, 3, 0], 0);
  maker.sphere([0, 0, 0.6], 0.3, 1, 48);
  return maker.build([white, black], [], testCamera([0, 0, 3], [0, 0, 0], 24));
}

test("means over the paths: black covers of an outline's pixels what the disc of the ball covers (seed 6, 0.5 %)", () => {
  const { guides } = renderLayers(ball(), { ...usualRequest(40, 40, [], 6), ambient: true, bounces: 0 }, 64);
  const covered = guides.albedo.filter((_, i) => i % 3 === 0).map((value) => (0.8 - value) / 0.7);
  const area = covered.reduce((sum, part) => sum + part, 0);
  // A sphere of radius r at distance d is seen under the half-angle asin(r/d).
  const tangent = Math.tan(Math.asin(0.3 / 2.4)) / Math.tan((12 * Math.PI) / 180);
  const disc = Math.PI * (20 * tangent) ** 2;
  assert.ok(Math.abs(area / disc - 1) < 0.005, `${area} pixels against ${disc}`);
  assert.ok(covered.filter((part) => part > 0.05 && part < 0.95).length > 40, "no soft outline");
  assert.ok(guides.paths.every((count) => count === 64));
});

test("the first path's spot is a real point of ball or sheet at its distance; the mean may lie between (seed 6)", () => {
  const { guides } = renderLayers(ball(), { ...usualRequest(40, 40, [], 6), ambient: true, bounces: 0 }, 16);
  let between = 0;
  for (let i = 0; i < 1600; i++) {
    const [x, y, z] = guides.position.subarray(3 * i, 3 * i + 3) as unknown as [number, number, number];
    const off = Math.min(Math.abs(z), Math.abs(Math.hypot(x, y, z - 0.6) - 0.3));
    assert.ok(off < 1e-3, `${off} m off`);
    assert.ok(Math.abs(Math.hypot(x, y, z - 3) - (guides.depth[i] as number)) < 1e-5);
    const middle = guides.middle.subarray(3 * i, 3 * i + 3) as unknown as [number, number, number];
    if (Math.min(Math.abs(middle[2]), Math.abs(Math.hypot(middle[0], middle[1], middle[2] - 0.6) - 0.3)) > 0.02)
      between++;
  }
  assert.ok(between > 20, `${between}`);
});

test("guides do not depend on the tiles (seed 6)", () => {
  const request = { ...usualRequest(24, 24, [], 6), ambient: true, bounces: 0 };
  assert.deepEqual(renderLayers(ball(), request, 4, 5).guides, renderLayers(ball(), request, 4).guides);
});
