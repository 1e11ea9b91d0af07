/**
 * Light that goes from wall to wall, against solutions in closed form that are not ours: the inside of a matt sphere
 * (theory of the integrating sphere: Jacquez & Kuppenheim 1955, J. Opt. Soc. Am. 45, 460), the configuration factors of
 * opposite and adjoining squares (Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11 and C-14;
 * formulas from memory, their values for a cube, 0.1998 and 0.2000, are in every textbook), and the cavity average.
 */

import assert from "node:assert/strict";
import test from "node:test";
import { bareFront, type Front, rectangleFront } from "../photometry/index.ts";
import type { Material, Scene } from "../scene/index.ts";
import { addScaled, normalize, type Vec3 } from "../units/index.ts";
import { renderLayers } from "./render.ts";
import { meshMaker, patchCorners, testCamera } from "./testing.ts";
import { usualRequest } from "./types.ts";

const matt = (value: number): Material => ({
  kind: "diffuse",
  name: `matt ${value}`,
  reflectance: [value, value, value],
});
const MANY_BOUNCES = 60;

for (const reflectance of [0.2, 0.5, 0.8]) {
  test(`inside a matt sphere of ${reflectance} every wall gets Φ·ρ/(A·(1 − ρ)) beside the straight light, wherever the light is (seed 6, 0.03 stop)`, () => {
    const radius = 1.5;
    const expected = reflectance / (1 - reflectance) / (4 * Math.PI * radius ** 2);
    const front = bareFront({ centre: [0.6, -0.4, 0.3], normal: [0, -1, 0] });
    for (const way of [
      [1, 0, 0],
      [-0.6, 0.5, 0.62],
      [0.1, -0.9, -0.4],
    ] as const) {
      const bounced = bouncedOn(reflectance, radius, front, normalize(way));
      assertStops(bounced / reflectance, expected, 0.03);
    }
  });
}

/** π·L of the wall that comes by way of other walls. */
function bouncedOn(reflectance: number, radius: number, front: Front, way: Vec3): number {
  const maker = meshMaker();
  maker.sphere([0, 0, 0], radius, 0, 48);
  const camera = testCamera(addScaled([0, 0, 0], way, radius - 0.2), addScaled([0, 0, 0], way, radius), 20);
  const scene = maker.build([matt(reflectance)], [front], camera);
  const request = { ...usualRequest(16, 16, [0], 6), bounces: MANY_BOUNCES };
  return layerMean(scene, request, 128) - layerMean(scene, { ...request, bounces: 0 }, 128);
}

/** C-11: equal, opposite, aligned rectangles a × b, c apart. */
function oppositeFactor(a: number, b: number, c: number): number {
  const [x, y] = [a / c, b / c];
  const [x1, y1] = [Math.sqrt(1 + x * x), Math.sqrt(1 + y * y)];
  const logs = Math.log((x1 * y1) / Math.sqrt(1 + x * x + y * y));
  const sides = x * y1 * Math.atan(x / y1) + y * x1 * Math.atan(y / x1) - x * Math.atan(x) - y * Math.atan(y);
  return (2 / (Math.PI * x * y)) * (logs + sides);
}

/** C-14: from a rectangle w × l onto one h × l that stands on its edge l. */
function adjoiningFactor(h: number, w: number, l: number): number {
  const [H, W] = [h / l, w / l];
  const s = H * H + W * W;
  const a = ((1 + W * W) * (1 + H * H)) / (1 + s);
  const b = (W * W * (1 + s)) / ((1 + W * W) * s);
  const c = (H * H * (1 + s)) / ((1 + H * H) * s);
  const arcs = W * Math.atan(1 / W) + H * Math.atan(1 / H) - Math.sqrt(s) * Math.atan(1 / Math.sqrt(s));
  return (arcs + 0.25 * (Math.log(a) + W * W * Math.log(b) + H * H * Math.log(c))) / (Math.PI * W);
}

test("the factors of a cube's sides are 0.1998 and 0.2000 (textbook values), and five of them make one", () => {
  assert.ok(Math.abs(oppositeFactor(1, 1, 1) - 0.1998) < 5e-5);
  assert.ok(Math.abs(adjoiningFactor(1, 1, 1) - 0.2) < 5e-5);
  assert.ok(Math.abs(oppositeFactor(1, 1, 1) + 4 * adjoiningFactor(1, 1, 1) - 1) < 1e-9);
});

/** A ceiling that shines over its whole face, and the wall that the lens sees from straight ahead. */
const ceiling = (sideX: number, sideZ: number, height: number): Front =>
  rectangleFront({ centre: [0, height, 0], normal: [0, -1, 0], up: [0, 0, 1] }, sideX, sideZ);

test("the mean of a floor under a shining ceiling is the factor of opposite rectangles (seed 12, 0.005 stop)", () => {
  const [a, b, c] = [2, 2, 1.3];
  const maker = meshMaker();
  maker.quad([-a / 2, 0, b / 2], [a / 2, 0, b / 2], [a / 2, 0, -b / 2], [-a / 2, 0, -b / 2], 0);
  // Just under the ceiling; the frame is the floor exactly.
  const eye = c - 0.01;
  const camera = testCamera([0, eye, 0], [0, 0, 0], (2 * Math.atan(a / 2 / eye) * 180) / Math.PI);
  const scene = maker.build([matt(1)], [ceiling(a, b, c)], camera);
  const got = layerMean(scene, { ...usualRequest(32, 32, [0], 12), bounces: 0 }, 8);
  // π·L per lm·s of the front: the factor times the front's own 1/area.
  assertStops(got, oppositeFactor(a, b, c) / (a * b), 0.005);
});

test("the mean of a wall beside a shining ceiling is the factor of adjoining rectangles (seed 13, 0.01 stop)", () => {
  const [width, height, depth] = [1.6, 1.6, 2.4];
  const maker = meshMaker();
  const z = -depth / 2;
  maker.quad([-width / 2, 0, z], [width / 2, 0, z], [width / 2, height, z], [-width / 2, height, z], 0);
  const camera = testCamera(
    [0, height / 2, 1],
    [0, height / 2, z],
    (2 * Math.atan(height / 2 / (1 - z)) * 180) / Math.PI,
  );
  const scene = maker.build([matt(1)], [ceiling(width, depth, height)], camera);
  const got = layerMean(scene, { ...usualRequest(48, 48, [0], 13), bounces: 0 }, 16);
  assertStops(got, adjoiningFactor(height, depth, width) / (width * height), 0.01);
});

test("[CV58] (D) 7000 lm·s in 5 × 6 × 2.7 m: the walls give 87.8 lx·s in the middle, ±0.5 stop as the rule allows (seed 14)", () => {
  const [half, high, deep] = [2.5, 2.7, 3];
  const maker = meshMaker();
  maker.room([-half, 0, -deep], [half, high, deep], [2, 2, 0, 1, 2, 2]);
  const spot: Vec3 = [0.3, 1.2, 0.4];
  maker.quad(...patchCorners(spot, [0, 0, 1], 0.004), 3);
  const front = bareFront({ centre: [-0.5, 1.6, -0.3], normal: [0, -1, 0] });
  const camera = testCamera(addScaled(spot, [0.2, 0, 1], 0.05), spot, 0.5);
  const scene = maker.build([matt(0.2), matt(0.8), matt(0.7), matt(1)], [front], camera);
  const request = { ...usualRequest(16, 16, [0], 14), bounces: MANY_BOUNCES };
  const walls = 7000 * (layerMean(scene, request, 64) - layerMean(scene, { ...request, bounces: 0 }, 16));
  assertStops(walls, 87.8, 0.5);
});

function layerMean(scene: Scene, request: Parameters<typeof renderLayers>[1], samples: number): number {
  const { rgb } = renderLayers(scene, request, samples).layers[0]!;
  return rgb.reduce((sum, value) => sum + value, 0) / rgb.length;
}

function assertStops(got: number, expected: number, tolerance: number): void {
  const stops = Math.log2(got / expected);
  assert.ok(Math.abs(stops) <= tolerance, `${stops.toFixed(4)} stop: ${got} against ${expected}`);
}
