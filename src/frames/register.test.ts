import assert from "node:assert/strict";
import { test } from "node:test";
import { CODED_8, photograph, RAW_14, seededRandom } from "./camera-model.ts";
import { createFft } from "./fft.ts";
import { linearFrame } from "./linear.ts";
import { NOTHING_THERE, registerFrames, shiftedBack } from "./register.ts";
import { frameOf } from "./testing.ts";
import type { CameraNoise, LinearFrame } from "./types.ts";

test("a transform of 16 by 16 equals the sum that defines it, and goes back (seed 2)", () => {
  const random = seededRandom(2);
  const re = Float64Array.from({ length: 256 }, () => random.normal());
  const [from, im] = [Float64Array.from(re), new Float64Array(256)];
  const fft = createFft(16);
  fft.forward(re, im);
  for (const [u, v] of [
    [0, 0],
    [3, 5],
    [15, 9],
  ] as const) {
    let [sr, si] = [0, 0];
    from.forEach((value, i) => {
      {
        const angle = (-2 * Math.PI * (u * (i % 16) + v * Math.floor(i / 16))) / 16;
        sr += value * Math.cos(angle);
        si += value * Math.sin(angle);
      }
    });
    assert.ok(Math.abs(sr - (re[16 * v + u] as number)) < 1e-9 && Math.abs(si - (im[16 * v + u] as number)) < 1e-9);
  }
  fft.backward(re, im);
  from.forEach((value, i) => {
    assert.ok(Math.abs(value - (re[i] as number)) < 1e-12);
  });
});

/** Soft blobs on a slope, drawn at any offset: a picture that can be moved by parts of a pixel. `slide` moves one corner alone. */
function picture(dx: number, dy: number, light: number, camera: CameraNoise, seed: number, slide = 0): LinearFrame {
  const random = seededRandom(77);
  const [width, height] = [300, 200];
  const blobs = Array.from({ length: 120 }, () => ({
    ...{ x: width * random.uniform(), y: height * random.uniform(), r: 2 + 6 * random.uniform(), a: random.uniform() },
  }));
  const rgb = new Float32Array(3 * width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let value = 0.05 + (0.1 * x) / width;
      for (const blob of blobs) {
        const own = blob.x < 110 && blob.y < 110 ? slide : 0;
        const [ox, oy] = [x - blob.x - dx - own, y - blob.y - dy];
        if (Math.abs(ox) < 20 && Math.abs(oy) < 20)
          value += 0.3 * blob.a * Math.exp(-(ox * ox + oy * oy) / (2 * blob.r ** 2));
      }
      rgb.fill(light * value, 3 * (y * width + x), 3 * (y * width + x) + 3);
    }
  }
  return linearFrame(frameOf("p", photograph(rgb, width, height, camera, seed)));
}

for (const [dx, dy] of [
  [0, 0],
  [0.3, -0.2],
  [1.4, 0.5],
  [-2.25, 1.75],
  [7, -4.5],
] as const) {
  test(`a shift of ${dx}, ${dy} pixels is found to 0.1 in 8 bits, two stops darker, noise in both`, () => {
    const shift = registerFrames(picture(0, 0, 1, CODED_8, 1), picture(dx, dy, 0.25, CODED_8, 2));
    assert.ok(Math.abs(shift.x - dx) < 0.1 && Math.abs(shift.y - dy) < 0.1, `${shift.x}, ${shift.y}`);
    const far = Math.hypot(dx, dy);
    assert.equal(shift.verdict, far < 0.5 ? "none" : far > 3 ? "moved" : "integer");
    assert.deepEqual(shift.local, []);
  });
}

test("a corner that moved by itself is said, with where", () => {
  const shift = registerFrames(picture(0, 0, 1, RAW_14, 1), picture(0, 0, 1, RAW_14, 2, 4));
  assert.equal(shift.verdict, "moved");
  assert.ok(Math.hypot(shift.x, shift.y) < 0.5, `${shift.x}, ${shift.y}`);
  assert.ok(shift.local.length > 0);
  for (const { x, y, dx } of shift.local) assert.ok(x < 120 && y < 120 && Math.abs(dx - 4) < 1, `${x}, ${y}: ${dx}`);
});

test("unlike pictures are not said to lie on each other", () => {
  const random = seededRandom(5);
  const grain = photograph(
    Float32Array.from({ length: 180_000 }, () => random.uniform()),
    300,
    200,
    RAW_14,
    1,
  );
  assert.equal(registerFrames(picture(0, 0, 1, RAW_14, 1), linearFrame(frameOf("g", grain))).verdict, "unsure");
});

test("a frame shifted back lies on the first, and what is uncovered is marked", () => {
  const [first, second] = [picture(0, 0, 1, RAW_14, 1), picture(3, -2, 1, RAW_14, 1)];
  const back = shiftedBack(second, registerFrames(first, second));
  let worst = 0;
  for (let y = 5; y < 190; y++) {
    for (let x = 5; x < 290; x++) {
      const i = 3 * (y * 300 + x);
      worst = Math.max(worst, Math.abs((back.rgb[i] as number) - (first.rgb[i] as number)));
    }
  }
  assert.ok(worst < 0.02, `${worst}`);
  assert.equal(back.clipped[300 * 100 + 299], NOTHING_THERE);
  assert.equal(back.clipped[300 * 100 + 100], 0);
});
