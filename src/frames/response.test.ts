import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { srgbDecode } from "../colour/index.ts";
import { expectOk } from "../units/index.ts";
import { seededRandom } from "./camera-model.ts";
import { type BracketFrame, recoverResponse, stepsBack } from "./response.ts";
import { codeAt, curveOf, lightAt, srgbCurve } from "./tone-curve.ts";
import type { ToneCurve } from "./types.ts";

const FOLDER = new URL("../../../shared/data/bracket_esp32/", import.meta.url);
const names = ["001", "002", "004", "008", "016", "032", "064"];
const skip = existsSync(FOLDER) ? false : "the folder of open data is not here";

/** A plain PPM in text, by hand: comments are of no account here, the exposure stands in the file's name. */
function readPpm(name: string): BracketFrame {
  const words = readFileSync(new URL(`${name}.ppm`, FOLDER), "latin1")
    .replace(/#.*/g, "")
    .trim()
    .split(/\s+/);
  const [width, height, top] = words.slice(1, 4).map(Number) as [number, number, number];
  const rgb = Float32Array.from(words.slice(4), (word) => Number(word) / top);
  return { name, image: { width, height, rgb, clip: 0.98 }, stops: Math.log2(Number(name)) };
}

test("the real bracket's doubled settings come back through a curve recovered from every other pixel", { skip }, () => {
  const bracket = names.map(readPpm);
  const { curve, seen } = expectOk(recoverResponse(bracket, { half: "even" }));
  const steps = stepsBack(bracket, curve, { half: "odd" });
  // Five bits in red and blue, six in green, and a top end that saturates: the sixth step has no pixel left, the fifth
  // some hundred near the end of the curve.
  const found = steps.map(({ foundStops }) => foundStops);
  found.slice(0, 4).forEach((step) => {
    assert.ok(Math.abs((step as number) - 1) < 0.12, `${step}`);
  });
  assert.ok(Math.abs((found[4] as number) - 1) < 0.3, `${found[4]}`);
  assert.equal(found[5], null);
  assert.ok((seen[1]?.[0] as number) <= 8 && (seen[1]?.[1] as number) >= 240, `${seen[1]}`);
  const table = curve.tables[1];
  table.forEach((light, i) => {
    assert.ok(i === 0 || light >= (table[i - 1] as number));
  });
});

test("the response that a bracket of doubled settings gives is better than sRGB's curve on the same frames", {
  skip,
}, () => {
  const bracket = names.map(readPpm);
  const { curve } = expectOk(recoverResponse(bracket));
  const off = (through: typeof curve): number =>
    Math.max(
      ...stepsBack(bracket, through)
        .slice(0, 4)
        .map(({ foundStops }) => Math.abs((foundStops as number) - 1)),
    );
  assert.ok(off(curve) < 0.12 && off(srgbCurve) > 0.5, `${off(curve)} against ${off(srgbCurve)}`);
});

for (const seed of [7, 8, 9]) {
  test(`a camera's curve comes back within 0.02 stop, 8 bits, noise and clipped pixels in it (seed ${seed})`, () => {
    const decode = (code: number): number => 0.3 * srgbDecode(code) ** 1.2 + 0.7 * code ** 1.6;
    const bracket = shoot(curveOf("camera", decode), 7, seed);
    const { curve, rmsStops } = expectOk(recoverResponse(bracket));
    assert.ok(rmsStops < 0.1, `${rmsStops}`);
    for (let code = 16; code <= 246; code += 5) {
      const found = Math.log2(lightAt(curve, 1, code / 255) / lightAt(curve, 1, 128 / 255));
      const told = Math.log2(decode(code / 255) / decode(128 / 255));
      assert.ok(Math.abs(found - told) < 0.02, `code ${code}: ${found} for ${told}`);
    }
  });
}

test("a bracket that cannot tell a curve is refused with a reason", () => {
  const frames = shoot(srgbCurve, 3, 1);
  const [first] = frames as [BracketFrame];
  const small = { ...first, image: { ...first.image, width: 8, height: 600 } };
  const black = frames.map((frame) => ({ ...frame, image: { ...frame.image, rgb: frame.image.rgb.map(() => 0) } }));
  const turned = frames.map((frame, i) => ({ ...frame, stops: -i }));
  const codes = [[first], [first, small], [first, { ...first }], black, turned].map((bracket) => {
    const result = recoverResponse(bracket);
    return result.ok ? "ok" : result.faults.map(({ code }) => code).join();
  });
  assert.deepEqual(codes, [
    ...["response-frames", "response-size", "response-steps", "response-pixels", "response-falls"],
  ]);
});

/** A scene of tones over eight stops, through a curve into 8 bits, each frame a stop more. */
function shoot(curve: ToneCurve, frames: number, seed: number): BracketFrame[] {
  const random = seededRandom(seed);
  const [width, height] = [80, 60];
  const scene = Float32Array.from({ length: width * height }, () => 2 ** (-9 + 8 * random.uniform()));
  return Array.from({ length: frames }, (_, j) => {
    const rgb = new Float32Array(3 * scene.length);
    for (let i = 0; i < rgb.length; i++) {
      const light = (scene[Math.floor(i / 3)] as number) * 2 ** j;
      const noisy = Math.max(0, light + random.normal() * Math.sqrt(light / 8000 + 1e-7));
      rgb[i] = Math.round(255 * codeAt(curve, 1, noisy)) / 255;
    }
    return { name: String(j), image: { width, height, rgb, clip: 0.98 }, stops: j };
  });
}
