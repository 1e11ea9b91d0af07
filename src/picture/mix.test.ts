/** Mixing, tone and false colour: numbers of the handbook, linearity, and an outside library for the palette's steps. */

import assert from "node:assert/strict";
import test from "node:test";
import Color from "colorjs.io";
import { kelvin, mired } from "../units/index.ts";
import { CRUSHED, falseColourPixels, stopColour, stopsLegend, toneMark, toneStops } from "./false-colour.ts";
import {
  encodePixels,
  encodePixels16,
  type LayerGain,
  lightTint,
  mixLayers,
  referenceExposure,
  soloGains,
} from "./mix.ts";
import { stopColours } from "./stops-palette.ts";
import { mixNoise } from "./sums.ts";
import type { Layer } from "./types.ts";

const layer = (lightId: string, ...rgb: number[]): Layer => ({
  ...{
    lightId,
    width: rgb.length / 3,
    height: 1,
    rgb: Float32Array.from(rgb),
    sigma: new Float32Array(rgb.length / 3),
  },
  ...{ samples: 1, estimatedNoiseStops: 0 },
});
const gain = (lightId: string, output: number): LayerGain => ({ lightId, on: true, output, tint: [1, 1, 1] });

test("[CV10] (S) the anchor: an 18 % card that reads f/8 at ISO 100, C 250, is 0.18 and code 118", () => {
  const reference = referenceExposure(6, 100, 250);
  assert.ok(Math.abs(reference - 160) < 1e-6);
  // 500 lm·s of which 0.32 per m² reach the card: 160 lx·s.
  const mixed = mixLayers([layer("M", ...[0.18 * 0.32, 0.18 * 0.32, 0.18 * 0.32])], [gain("M", 500)], reference);
  assert.ok(Math.abs((mixed[0] as number) - 0.18) < 1e-6);
  assert.equal(encodePixels(mixed)[0], 118);
});

test("[CV86] [CV87] (S) codes of the published curve, 8 and 16 bit", () => {
  const linear = Float32Array.from([0.051269, 0.181164, 0.21586, 0.57758, 0.18, 2]);
  assert.deepEqual([...encodePixels(linear)], [64, 118, 128, 255, 200, 118, 255, 255]);
  assert.equal(encodePixels16(linear)[5], 65535);
  assert.ok(Math.abs((encodePixels16(linear)[4] as number) / 257 - 117.646) < 0.01);
});

test("[CV88] (D) light adds: ambient 40 20 10, main 800 400 100, fill 100 100 50 make 940 520 160", () => {
  const layers = [layer("ambient", 40, 20, 10), layer("M", 800, 400, 100), layer("F", 100, 100, 50)];
  const gains = [gain("ambient", 1), gain("M", 1), gain("F", 1)];
  assert.deepEqual([...mixLayers(layers, gains, 1)], [940, 520, 160]);
  assert.deepEqual([...mixLayers(layers, soloGains(gains, "F"), 1)], [100, 100, 50]);
  // A stop down on the main, fill off, the camera wanting one stop more.
  assert.deepEqual(
    [...mixLayers(layers, [gain("ambient", 1), gain("M", 0.5), { ...gain("F", 1), on: false }], 1, 1)],
    [220, 110, 30],
  );
});

test("a gel changes colour, never the light's luminance; the light of the white balance is neutral", () => {
  const plain = lightTint(kelvin(5600), mired(0), kelvin(5600));
  assert.ok(plain.ok && plain.value.every((c) => Math.abs(c - 1) < 1e-9));
  const warm = lightTint(kelvin(5600), mired(159), kelvin(5600));
  assert.ok(warm.ok);
  const [r, g, b] = warm.value;
  assert.ok(r > 1.3 && b < 0.5 && Math.abs(0.2126 * r + 0.7152 * g + 0.0722 * b - 1) < 1e-9);
  assert.equal(lightTint(kelvin(5600), mired(-200), kelvin(5600)).ok, false);
});

test("the palette's steps are even to the eye: ΔE in OKLab equal within 6 % (checked with colorjs.io)", () => {
  const colours = stopColours.map((c) => new Color("srgb", c.map((v) => v / 255) as [number, number, number]));
  const steps = colours.slice(1).map((colour, i) => colour.deltaE(colours[i] as Color, "OK"));
  const middle = steps.reduce((sum, step) => sum + step, 0) / steps.length;
  for (const step of steps) assert.ok(Math.abs(step / middle - 1) < 0.06, steps.join(" "));
  colours.slice(1).forEach((colour, i) => {
    assert.ok((colour.to("oklab").coords[0] as number) > ((colours[i] as Color).to("oklab").coords[0] as number));
  });
});

test("stops are told by the nearest band, clipped and crushed by stripes; the legend names each", () => {
  assert.equal(toneStops(0.18), 0);
  assert.deepEqual(stopColour(0.4), stopColours[6]);
  assert.deepEqual(stopColour(-99), stopColours[0]);
  assert.deepEqual(stopColour(Number.NEGATIVE_INFINITY), stopColours[0]);
  assert.equal(toneMark(0.5, 1.01, 0.5), "clipped");
  assert.equal(toneMark(CRUSHED * 0.9, CRUSHED * 0.9, CRUSHED * 0.9), "crushed");
  assert.equal(toneMark(0.18, 0.18, 0.18), null);
  assert.deepEqual(
    stopsLegend().map(({ label }) => label),
    ["clipped", "+2", "+1", "card", "−1", "−2", "−3", "−4", "−5", "−6", "crushed"],
  );
  const pixels = falseColourPixels(Float32Array.from([2, 2, 2, 0.18, 0.18, 0.18]), 2);
  assert.deepEqual([...pixels], [255, 255, 255, 255, ...stopColour(0), 255]);
});

test("noise of a mix that is all darker than six stops under the card is that of its own bright tones, not 0", () => {
  const layer = {
    ...{ lightId: "a", width: 2, height: 2, samples: 8, estimatedNoiseStops: 1 },
    ...{ rgb: new Float32Array(12).fill(1e-5), sigma: new Float32Array(4).fill(1e-5) },
  };
  assert.equal(mixNoise([layer], [1]), 1);
  assert.equal(mixNoise([layer], [0]), 0);
  assert.equal(mixNoise([{ ...layer, sigma: new Float32Array(4).fill(Number.NaN) }], [1]), Number.POSITIVE_INFINITY);
});
