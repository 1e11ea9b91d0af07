import assert from "node:assert/strict";
import { test } from "node:test";
import { linearSrgbOfXyz } from "../colour/index.ts";
import { encodePixels, falseColourPixels, lightTint } from "../picture/index.ts";
import { expectOk, kelvin, mired } from "../units/index.ts";
import { CLEAN_16, photograph, RAW_14, seededRandom } from "./camera-model.ts";
import { addCodes, codeTables, linearFrame, withoutAmbient } from "./linear.ts";
import { asShot, displayOf, frameLayers, mixFrames, mixWeights } from "./mix.ts";
import { assumedNoise } from "./noise.ts";
import { measurePatch, medianStops, stopsBetween, stopsOfMeans, toneOfPatch } from "./patches.ts";
import { frameOf } from "./testing.ts";
import type { LinearFrame, MixSetting, Patch } from "./types.ts";
import { whiteOfPatch } from "./white.ts";

const patch = (x: number, y: number, size: number): Patch => ({
  id: `${x}`,
  name: `at ${x}`,
  x,
  y,
  width: size,
  height: size,
});

/** Left half of one level, right half of another. */
function halves(left: readonly number[], right: readonly number[], camera = CLEAN_16, seed = 1): LinearFrame {
  const rgb = Float32Array.from({ length: 3 * 80 * 40 }, (_, i) => {
    const level = Math.floor(i / 3) % 80 < 40 ? left : right;
    return level[i % 3] as number;
  });
  const noise = assumedNoise(camera.bits, null, camera);
  return linearFrame(frameOf("h", photograph(rgb, 80, 40, camera, seed)), { noise });
}
const grey = (v: number): number[] => [v, v, v];

test("[CV89] (D) 2000 against 250 DN is 3 stops, σ 0.003531 over 400 pixels and 0.070622 over one", () => {
  const variance = (dn: number): number => dn / 2 + 9;
  const between = (n: number) =>
    stopsOfMeans({ mean: 2000, variance: variance(2000), n }, { mean: 250, variance: variance(250), n });
  assert.ok(Math.abs((between(400)?.stops as number) - 3) < 1e-12);
  assert.ok(Math.abs((between(400)?.sigmaStops as number) - 0.003531) < 1e-6);
  assert.ok(Math.abs((between(1)?.sigmaStops as number) - 0.070622) < 1e-6);
  assert.equal(stopsOfMeans({ mean: 0, variance: 1, n: 1 }, { mean: 1, variance: 1, n: 1 }), null);
});

test("stops between two patches scatter as their σ says (seeds 1 to 60)", () => {
  const camera = { ...RAW_14, fullWell: 2000, readNoise: 4 };
  let squares = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const frame = halves(grey(0.4), grey(0.05), camera, seed);
    const [a, b] = [measurePatch(frame, patch(5, 5, 10)), measurePatch(frame, patch(50, 5, 10))].map(expectOk);
    const found = stopsBetween(a as NonNullable<typeof a>, b as NonNullable<typeof b>);
    squares += (((found?.stops as number) - 3) / (found?.sigmaStops as number)) ** 2 / 60;
  }
  assert.ok(squares > 0.6 && squares < 1.6, `${squares}`);
});

test("clipped and dark patches are not usable, one outside the picture is a fault", () => {
  const frame = halves(grey(1), grey(0), RAW_14);
  const [clipped, dark] = [measurePatch(frame, patch(5, 5, 10)), measurePatch(frame, patch(50, 5, 10))].map(expectOk);
  assert.ok(!clipped?.usable && (clipped?.clippedPart as number) > 0.9);
  assert.ok(!dark?.usable && (dark?.darkPart as number) > 0.9);
  const outside = measurePatch(frame, patch(90, 5, 10));
  assert.ok(!outside.ok && outside.faults[0]?.code === "patch-outside");
});

test("the median of three patches or more is told, of two a fault", () => {
  const values = [0.5, 0.52, 2].map((stops) => ({ stops, sigmaStops: 0.01 }));
  assert.equal(expectOk(medianStops(values)).stops, 0.52);
  const few = medianStops(values.slice(1));
  assert.ok(!few.ok && few.faults[0]?.code === "patches-few");
});

test("an 18 % patch stands at 0 stops from the card, half of it at −1", () => {
  const frame = halves(grey(0.18), grey(0.09));
  const tones = [5, 50].map((x) => toneOfPatch(expectOk(measurePatch(frame, patch(x, 5, 20))), frame).stopsFromCard);
  assert.ok(Math.abs(tones[0] as number) < 1e-3 && Math.abs((tones[1] as number) + 1) < 1e-3, `${tones}`);
});

for (const [light, duv] of [
  [3200, 0],
  [5600, 0],
  [4200, 0],
  [9000, 0],
] as const) {
  test(`grey under ${light} K in a picture balanced for 5600 K is told as ${light} K`, () => {
    const tint = expectOk(lightTint(kelvin(light), mired(0), kelvin(5600)));
    const frame = halves(
      tint.map((part) => 0.2 * part),
      grey(0.1),
    );
    const value = expectOk(measurePatch(frame, patch(5, 5, 20)));
    const white = expectOk(whiteOfPatch(value, { ...frame, toSrgb: IDENTITY }, 5600));
    assert.ok(Math.abs(white.mired - 1e6 / light) < 1, `${white.kelvin}`);
    assert.ok(Math.abs(white.duv - duv) < 5e-4, `${white.duv}`);
    assert.ok(Math.abs(white.miredOver - (1e6 / light - 1e6 / 5600)) < 1);
  });
}

test("more green on grey is a positive Duv, and a raw file without a matrix has no white", () => {
  const frame = halves([0.2, 0.22, 0.2], grey(0.1));
  const value = expectOk(measurePatch(frame, patch(5, 5, 20)));
  assert.ok(expectOk(whiteOfPatch(value, { ...frame, toSrgb: IDENTITY }, 5600)).duv > 0.005);
  const none = whiteOfPatch(value, { balance: null, toSrgb: null, basis: "raw" }, 5600);
  assert.ok(!none.ok && none.faults[0]?.code === "white-camera");
});

test("XYZ and back through the colour room's own matrix is the same", () => {
  // Grey of the balance itself must come back as the balance: exercised above; here the primaries one by one.
  const red = linearSrgbOfXyz({ X: 0.4123908, Y: 0.21263901, Z: 0.01933082 });
  [1, 0, 0].forEach((part, c) => {
    assert.ok(Math.abs((red[c] as number) - part) < 1e-5);
  });
});

test("a mix is ambient once and each light by its stops, and equals the sum by weights of whole frames", () => {
  const [ambient, m, f] = [
    halves(grey(0.01), grey(0.02)),
    halves(grey(0.31), grey(0.12)),
    halves(grey(0.06), grey(0.22)),
  ];
  const alones = [
    { lightId: "m", frame: m },
    { lightId: "f", frame: f },
  ];
  const layers = frameLayers(alones, ambient);
  const settings: MixSetting[] = asShot(layers).map((own) =>
    own.lightId === "f" ? { ...own, stops: 1 } : own.lightId === "m" ? { ...own, miredShift: 40, stops: -1 } : own,
  );
  const options = { whiteBalanceK: 5600 };
  const shot = expectOk(mixFrames(layers, asShot(layers), options));
  assert.ok(Math.abs((shot[0] as number) - 0.36) < 1e-3);
  const mixed = expectOk(mixFrames(layers, settings, options));
  const weights = new Map(
    expectOk(mixWeights(settings, true, options)).map(({ lightId, weight }) => [lightId, weight]),
  );
  const full = new Float32Array(m.rgb.length);
  const codes = (frame: LinearFrame): Uint16Array => Uint16Array.from(frame.rgb, (v) => Math.round(65_535 * v));
  for (const [id, frame] of [
    ["m", m],
    ["f", f],
    ["ambient", ambient],
  ] as const) {
    addCodes(full, codes(frame), codeTables(null, 16), weights.get(id) as [number, number, number]);
  }
  mixed.forEach((value, i) => {
    assert.ok(Math.abs(value - (full[i] as number)) < 1e-4);
  });
  assert.ok((mixed[0] as number) > (mixed[2] as number), "a warming gel on the main");
  assert.equal(encodePixels(mixed).length, falseColourPixels(mixed, 80).length);
});

test("a light switched off leaves its frame out but not the room's light that was in it", () => {
  const [ambient, m] = [halves(grey(0.01), grey(0.02)), halves(grey(0.31), grey(0.12))];
  const layers = frameLayers([{ lightId: "m", frame: m }], ambient);
  const off = asShot(layers).map((own) => ({ ...own, on: own.lightId === "ambient" }));
  const mixed = expectOk(mixFrames(layers, off, { whiteBalanceK: 5600 }));
  assert.ok(Math.abs((mixed[0] as number) - 0.01) < 1e-3);
  assert.ok(Math.abs((withoutAmbient(m, ambient).rgb[0] as number) - 0.3) < 1e-3);
});

test("balance and matrix turn a camera's channels into sRGB (seed 2)", () => {
  const random = seededRandom(2);
  const rgb = Float32Array.from({ length: 3 }, () => random.uniform());
  const matrix = [1.6, -0.4, -0.2, -0.2, 1.5, -0.3, 0, -0.5, 1.5];
  const shown = displayOf({ rgb, balance: [2, 1, 1.5], toSrgb: matrix });
  const balanced = [2 * (rgb[0] as number), rgb[1] as number, 1.5 * (rgb[2] as number)];
  shown.forEach((value, c) => {
    const wanted = balanced.reduce((sum, v, k) => sum + v * (matrix[3 * c + k] as number), 0);
    assert.ok(Math.abs(value - wanted) < 1e-6);
  });
});

const IDENTITY = [1, 0, 0, 0, 1, 0, 0, 0, 1];
