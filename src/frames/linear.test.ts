import assert from "node:assert/strict";
import { test } from "node:test";
import { CLEAN_16, CODED_8, photograph, RAW_14, seededRandom } from "./camera-model.ts";
import { clipOf } from "./clip.ts";
import { packHalf, unpackHalf } from "./half.ts";
import { addCodes, codeTables, linearFrame, proxyOf, settingStops, withoutAmbient } from "./linear.ts";
import { noiseFromPair, noiseFromSmooth, varianceOf } from "./noise.ts";
import { frameOf, NO_EXPOSURE } from "./testing.ts";
import { codeAt, lightAt, srgbCurve } from "./tone-curve.ts";
import type { CameraNoise, LinearFrame } from "./types.ts";

test("[CV86] (S) sRGB codes 64, 118, 128 and 200 decode to the light of IEC 61966-2-1", () => {
  const found = [64, 118, 128, 200].map((code) => lightAt(srgbCurve, 0, code / 255));
  [0.051269, 0.181164, 0.215861, 0.57758].forEach((light, i) => {
    assert.ok(Math.abs((found[i] as number) - light) < 1e-6);
  });
});

test("[CV87] (S) light of 0.18 is code 117.646 of 255", () => {
  assert.ok(Math.abs(255 * codeAt(srgbCurve, 0, 0.18) - 117.646) < 0.001);
});

test("[CV88] (D) the lights' frames less ambient, plus ambient once, give the numbers of all together", () => {
  const pixel = (id: string, rgb: readonly number[]): LinearFrame =>
    linearFrame(frameOf(id, { ...flat(1, 1, 0, CLEAN_16), rgb: Float32Array.from(rgb) }));
  const [ambient, main, fill] = [
    pixel("ambient", [40, 20, 10]),
    pixel("main", [840, 420, 110]),
    pixel("fill", [140, 120, 60]),
  ] as [LinearFrame, LinearFrame, LinearFrame];
  const alone = [main, fill].map((frame) => withoutAmbient(frame, ambient));
  const together = [0, 1, 2].map((c) => alone.reduce((sum, f) => sum + (f.rgb[c] as number), ambient.rgb[c] as number));
  assert.deepEqual(together, [940, 520, 160]);
});

test("a coded frame rests on its profile, a raw one on nothing but its levels, a recovered one on the bracket", () => {
  const ramp = Float32Array.from({ length: 300 }, (_, i) => i / 400);
  const [raw, coded] = [photograph(ramp, 10, 10, RAW_14, 1), photograph(ramp, 10, 10, CODED_8, 1)];
  assert.equal(linearFrame(frameOf("r", raw)).basis, "raw");
  assert.equal(linearFrame(frameOf("c", coded)).basis, "profile");
  const recovered = linearFrame(frameOf("c", coded), { response: srgbCurve });
  assert.equal(recovered.basis, "recovered");
  recovered.rgb.forEach((light, i) => {
    assert.ok(Math.abs(light - (ramp[i] as number)) < 0.02);
  });
});

test("a channel that piles up below the white level is clipped there", () => {
  const rgb = Float32Array.from({ length: 3000 }, (_, i) => (i % 3 === 0 ? Math.min(248 / 255, i / 2000) : i / 4000));
  const [red, green] = clipOf({ rgb, clip: 0.98 });
  assert.ok(Math.abs(red - 248 / 255) < 1e-3 && red < 0.98);
  assert.equal(green, 0.98);
});

for (const [name, camera] of Object.entries({ RAW_14, shallow: { ...RAW_14, fullWell: 8000, readNoise: 20 } })) {
  test(`the noise of a ${name} sensor comes back from a pair and from smooth places (seeds 3, 4)`, () => {
    const [width, height] = [320, 240];
    const scene = Float32Array.from({ length: 3 * width * height }, (_, i) => {
      const x = Math.floor(i / 3) % width;
      return 0.01 + (0.85 * x) / width;
    });
    const [a, b] = [3, 4].map((seed) => linearFrame(frameOf("n", photograph(scene, width, height, camera, seed))));
    const found = [noiseFromPair(a as LinearFrame, b as LinearFrame), noiseFromSmooth(a as LinearFrame)];
    for (const noise of found) {
      for (const level of [0.05, 0.2, 0.8]) {
        const truth = level / camera.fullWell + (camera.readNoise / camera.fullWell) ** 2;
        const ratio = Math.sqrt(varianceOf(noise as NonNullable<typeof noise>, level) / truth);
        assert.ok(ratio > 0.85 && ratio < 1.15, `${noise?.from} at ${level}: σ times ${ratio}`);
      }
    }
  });
}

test("a proxy keeps the mean light and remembers a clipped pixel", () => {
  const image = flat(9, 7, 0.25, CLEAN_16);
  image.rgb[3 * (9 * 1 + 4)] = 1;
  const proxy = proxyOf(linearFrame(frameOf("p", image)), 3);
  assert.deepEqual([proxy.width, proxy.height, proxy.reduction], [3, 2, 3]);
  assert.ok(Math.abs((proxy.rgb[1] as number) - 0.25) < 1e-4);
  assert.deepEqual([...proxy.clipped], [0, 1, 0, 0, 0, 0]);
});

test("full-size sums through code tables equal sums of float frames (seed 5)", () => {
  const random = seededRandom(5);
  const codes = Uint8Array.from({ length: 600 }, () => 256 * random.uniform());
  const out = new Float32Array(600);
  addCodes(out, codes, codeTables(srgbCurve, 8), [2, 0.5, 1]);
  out.forEach((sum, i) => {
    {
      const gain = [2, 0.5, 1][i % 3] as number;
      assert.ok(Math.abs(sum - gain * lightAt(srgbCurve, 0, (codes[i] as number) / 255)) < 1e-5);
    }
  });
  const raw = codeTables(null, 14, 2056, 15_000)[1];
  assert.ok(raw[2056] === 0 && raw[15_000] === 1 && (raw[2048] as number) < 0);
});

test("half floats keep 11 bits, the ends and the sign (IEEE 754 binary16)", () => {
  const values = Float32Array.from([0, 1, -1, 0.1, 65_504, 1e9, 2 ** -24, 2 ** -14, 1 / 3, 0.99999, -1e-5]);
  const back = unpackHalf(packHalf(values));
  assert.deepEqual([...packHalf(Float32Array.of(1, -2, 65_504, 2 ** -24, 1 / 3))], [0x3c00, 0xc000, 0x7bff, 1, 0x3555]);
  values.forEach((value, i) => {
    {
      const wanted = Math.min(65_504, value);
      assert.ok(Math.abs((back[i] as number) - wanted) <= Math.max(2 ** -25, Math.abs(wanted) * 2 ** -11), `${value}`);
    }
  });
});

test("stops of the settings: the time counts for lamps, not for flash alone", () => {
  const exposure = { ...NO_EXPOSURE, shutterS: 1 / 125, fNumber: 8, iso: 200 };
  const twice = { ...exposure, shutterS: 2 / 125, fNumber: 8, iso: 400 };
  const step = (medium: "flash" | "continuous"): number =>
    (settingStops(twice, medium) as number) - (settingStops(exposure, medium) as number);
  assert.ok(Math.abs(step("flash") - 1) < 1e-12 && Math.abs(step("continuous") - 2) < 1e-12);
  assert.equal(settingStops(NO_EXPOSURE, "flash"), null);
});

const flat = (width: number, height: number, level: number, camera: CameraNoise) =>
  photograph(new Float32Array(3 * width * height).fill(level), width, height, camera, 1);

test("what is no number in a float file is black and counts as clipped", () => {
  const image = { ...flat(2, 1, 0.5, CLEAN_16), rgb: Float32Array.of(0.5, Number.NaN, 0.5, 0.2, 0.2, 0.2) };
  const linear = linearFrame(frameOf("n", image));
  assert.deepEqual([...linear.clipped], [1, 0]);
  assert.ok(linear.rgb.every(Number.isFinite));
});
