/** The filter: less noise, same light, sharp edges, layers apart; and the probe against photometry. */

import assert from "node:assert/strict";
import test from "node:test";
import { DISC, DOME, discFront, frontFactor, rectangleFront } from "../photometry/index.ts";
import type { Material } from "../scene/index.ts";
import { denoiseLayer } from "./denoise.ts";
import { packScene } from "./pack.ts";
import { probeLights, spotUnder, toneAt } from "./probe.ts";
import { renderLayers } from "./render.ts";
import { meshMaker, patchCorners, testCamera } from "./testing.ts";
import { usualRequest } from "./types.ts";

const wall: Material = { kind: "diffuse", name: "wall", reflectance: [0.6, 0.5, 0.4] };
const dark: Material = { kind: "diffuse", name: "dark", reflectance: [0.05, 0.05, 0.05] };
const lights = [
  rectangleFront({ centre: [1, 1.8, 0.8], normal: [-1, -0.8, -0.8] }, 0.6, 0.9),
  rectangleFront({ centre: [-1.5, 1.2, 0.5], normal: [1, 0, -0.3] }, 0.4, 0.4),
];

function room() {
  const maker = meshMaker();
  maker.room([-2, 0, -1], [2, 2.6, 2], [0, 0, 0, 0, 0, 0]);
  maker.sphere([0, 1.2, 0], 0.25, 1, 24);
  return maker.build([wall, dark], lights, testCamera([0, 1.2, 1.9], [0, 1.2, 0], 30));
}

test("filtering brings a layer to less than 0.4 of its error and keeps its mean light within 0.02 stop (seed 6)", () => {
  const scene = room();
  const { layers, guides } = renderLayers(scene, usualRequest(48, 48, [0, 1], 6), 4);
  const reference = renderLayers(scene, usualRequest(48, 48, [0, 1], 77), 256).layers;
  layers.forEach((layer, k) => {
    const truth = reference[k]!.rgb;
    const filtered = denoiseLayer(layer, guides);
    const [before, after] = [errorOf(layer.rgb, truth), errorOf(filtered.rgb, truth)];
    assert.ok(after < 0.4 * before, `layer ${k}: ${before} to ${after}`);
    assert.ok(Math.abs(Math.log2(mean(filtered.rgb) / mean(layer.rgb))) < 0.02);
  });
});

test("where nothing shades a plain front no noise is left, and the filter changes nothing (seed 6, 0.01 %)", () => {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.4), 0);
  maker.quad(...patchCorners([0.1, 1.2, 0.05], [0.3, 0, 1], 0.1), 1);
  const scene = maker.build([wall, dark], [lights[0]!], testCamera([0, 1.2, 2], [0, 1.2, 0], 8));
  const request = { ...usualRequest(40, 40, [0], 6), bounces: 0, shadows: false };
  const { layers, guides } = renderLayers(scene, request, 4);
  denoiseLayer(layers[0]!, guides).rgb.forEach((value, i) => {
    const raw = layers[0]!.rgb[i] as number;
    assert.ok(Math.abs(value - raw) <= 1e-4 * raw, `${i}: ${raw} became ${value}`);
  });
});

test("a sharp shadow stays sharp: three pixels from its middle a filtered layer is lit or dark as the converged one (seed 6)", () => {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.4), 0);
  // The shadow's edge on the wall stands 6 mm wide, ten pixels beside the card's own.
  maker.quad([0, 0, 0.1], [1, 0, 0.1], [1, 3, 0.1], [0, 3, 0.1], 1);
  const front = discFront({ centre: [-0.5, 1.2, 2], normal: [0.25, 0, -1] }, 0.05);
  const camera = testCamera([-1, 1.2, 1.5], [0, 1.2, 0], 6);
  const scene = maker.build([wall, dark], [front], camera);
  const request = { ...usualRequest(48, 48, [0], 6), bounces: 2 };
  const { layers, guides } = renderLayers(scene, request, 8);
  const truth = renderLayers(scene, { ...request, seed: 77 }, 256).layers[0]!.rgb;
  const filtered = denoiseLayer(layers[0]!, guides).rgb;
  let edges = 0;
  for (let y = 0; y < 48; y++) {
    for (let x = 4; x < 44; x++) {
      const at = (of: Float32Array, k: number): number => of[3 * (48 * y + x + k)] as number;
      const [near, far] = [at(truth, -2), at(truth, 2)];
      const isWall = [-4, 4].every((k) => Math.abs((guides.albedo[3 * (48 * y + x + k)] as number) - 0.6) < 1e-3);
      if (!isWall || Math.max(near, far) < 0.02 || Math.min(near, far) > 0.002) continue;
      edges++;
      for (const k of [-3, 3]) {
        const off = Math.abs(at(filtered, k) - at(truth, k)) / Math.max(near, far);
        assert.ok(off < 0.06, `pixel ${x + k}, ${y}: ${at(filtered, k)} for ${at(truth, k)}`);
      }
    }
  }
  assert.ok(edges > 40, `${edges}`);
});

test("a layer filtered beside others is the layer filtered alone: nothing bleeds", () => {
  const scene = room();
  const both = renderLayers(scene, usualRequest(24, 24, [0, 1], 6), 4);
  const alone = renderLayers(scene, usualRequest(24, 24, [0], 6), 4);
  assert.deepEqual(denoiseLayer(both.layers[0]!, both.guides).rgb, denoiseLayer(alone.layers[0]!, alone.guides).rgb);
});

test("the probe on an open patch is photometry's figure, disc and dome, any aim; behind a card it is dark", () => {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.4), 0);
  const camera = testCamera([0, 1.2, 2], [0, 1.2, 0], 8);
  const open = maker.build([wall], lights, camera);
  const { guides, layers } = renderLayers(open, usualRequest(9, 9, [0, 1], 1), 1);
  const spot = spotUnder(guides, 4, 4);
  assert.ok(spot);
  for (const receptor of [DISC, DOME]) {
    probeLights(packScene(open), lights, spot, receptor, "normal").forEach(({ factor, open: share }, i) => {
      const at = [spot.position[0], spot.position[1], spot.position[2] + 0.005] as const;
      assert.equal(share, 1);
      assert.ok(Math.abs(factor / frontFactor(lights[i]!, at, [0, 0, 1], receptor) - 1) < 1e-6);
    });
  }
  // The patch shows ρ·H of the disc along the surface (luminance of its reflectance).
  const disc = probeLights(packScene(open), lights, spot, DISC, "normal")[0]!.factor;
  const rho = 0.2126 * 0.6 + 0.7152 * 0.5 + 0.0722 * 0.4;
  assert.ok(Math.abs(Math.log2(toneAt(layers[0]!.rgb, 9, 4, 4).y / (rho * disc))) < 0.02);
  maker.quad([0.1, 0, 0.2], [0.1, 3, 0.2], [2, 3, 0.2], [2, 0, 0.2], 0);
  const shaded = maker.build([wall], lights, camera);
  const [first, second] = probeLights(packScene(shaded), lights, spot, DISC, "light");
  assert.ok(first!.open < 0.01 && second!.open === 1);
});

test("the probe behind half a flag reads half the front, within 0.03 of the whole", () => {
  const front = rectangleFront({ centre: [0, 1.2, 1], normal: [0, 0, -1] }, 0.4, 0.4);
  const maker = meshMaker();
  maker.quad([0, 0, 0.5], [2, 0, 0.5], [2, 3, 0.5], [0, 3, 0.5], 0);
  const scene = maker.build([wall], [front], testCamera([0, 1.2, 2], [0, 1.2, 0], 8));
  const [reading] = probeLights(
    packScene(scene),
    [front],
    { position: [0, 1.2, 0], normal: [0, 0, 1] },
    DOME,
    "camera",
  );
  assert.ok(Math.abs(reading!.open - 0.5) < 0.03, `${reading!.open}`);
});

/** Root of the mean square of the difference, over the mean. */
function errorOf(rgb: Float32Array, truth: Float32Array): number {
  let sum = 0;
  rgb.forEach((value, i) => {
    sum += (value - (truth[i] as number)) ** 2;
  });
  return Math.sqrt(sum / rgb.length) / mean(truth);
}

function mean(rgb: Float32Array): number {
  let sum = 0;
  for (const value of rgb) sum += value;
  return sum / rgb.length;
}
