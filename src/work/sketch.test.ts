/** The sketch against the tracer without shadows, shine and bounce: the same closed forms, on the same surfaces. */

import assert from "node:assert/strict";
import test from "node:test";
import { frontFactor } from "../photometry/index.ts";
import { packScene, renderLayers, spotUnder, usualRequest } from "../picture/index.ts";
import { buildScene } from "../scene/index.ts";
import { demoSetups, frontOf, hairReflectance, type Setup } from "../setup/index.ts";
import { sketchHair, sketchLayer } from "./sketch.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const [WIDTH, HEIGHT] = [60, 90];
const scene = packScene(buildScene(choir, { equipment: "hidden", detail: "low" }));
const request = { ...usualRequest(WIDTH, HEIGHT, [0, 1, 2, 3], 3), bounces: 0, shadows: false };
const { layers, guides } = renderLayers(scene, request, 8);
const sketches = choir.lights.map((light) =>
  sketchLayer(light.id, frontOf(choir, light), guides, sketchHair(choir, layers, guides)),
);

test("on the paper behind, the sketch is reflectance times photometry's factor within 1 %", () => {
  let compared = 0;
  for (const [i, light] of choir.lights.entries()) {
    for (let y = 4; y < HEIGHT; y += 17) {
      for (const x of [2, WIDTH - 3]) {
        const spot = spotUnder(guides, x, y);
        if (spot === null || spot.normal[2] < 0.99) continue;
        const at = 3 * (y * WIDTH + x) + 1;
        const wanted =
          (guides.albedo[at] as number) *
          frontFactor(frontOf(choir, light), spot.position, spot.normal, { kind: "disc" });
        const got = sketches[i]?.rgb[at] as number;
        assert.ok(Math.abs(got - wanted) <= 0.01 * wanted + 1e-7, `${light.tag} at ${x} ${y}: ${got}, not ${wanted}`);
        compared++;
      }
    }
  }
  assert.ok(compared >= 16, `${compared} compared`);
});

test("over matt surfaces and skin a main light's sketch is a trace without shadows within 20 % of its mean: what a coat keeps from its base is not in it (seed 3)", () => {
  let [sketched, traced] = [0, 0];
  for (let i = 0; i < WIDTH * HEIGHT; i++) {
    if ((guides.albedo[3 * i] as number) > 0.95 || guides.depth[i] === 0) continue;
    sketched += sketches[0]?.rgb[3 * i + 1] as number;
    traced += layers[0]?.rgb[3 * i + 1] as number;
  }
  assert.ok(Math.abs(sketched / traced - 1) < 0.2, `${sketched / traced}`);
});

test("hair keeps its class's reflectance in the colour that the layers show: blond is warm; without layers it is grey", () => {
  const [r, g, b] = sketchHair(choir, layers, guides);
  assert.ok(r > g && g > b, `${r} ${g} ${b}`);
  assert.ok(Math.abs(0.2126 * r + 0.7152 * g + 0.0722 * b - hairReflectance[choir.subject.hair]) < 1e-6);
  assert.equal(new Set(sketchHair(choir, [], guides)).size, 1);
});

test("a sketch claims no samples and no noise", () => {
  for (const { samples, estimatedNoiseStops } of sketches)
    assert.deepEqual([samples, estimatedNoiseStops], [0, Number.POSITIVE_INFINITY]);
});
