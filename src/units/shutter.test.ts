import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { expectOk } from "./result.ts";
import {
  exactFrameRate,
  parseShutter,
  printShutter,
  type ShutterScale,
  secondsOfAngle,
  shutterAngle,
} from "./shutter.ts";
import { degrees, seconds } from "./unit.ts";

test("[CV07] (P) the mark 1/60 is 0.015625 s", () => {
  assert.deepEqual(parseShutter("1/60"), {
    ok: true,
    value: { seconds: 1 / 64, as: "mark", framesPerSecond: null, typed: "1/60" },
  });
});

test("[CV20] (S, shutter angle) 24 fps at 1/50 s is 172.8°, and 25 fps and 24 fps on 60 Hz are 150° and 144°", () => {
  assert.ok(Math.abs(shutterAngle(seconds(1 / 50), 24) - 172.8) < 1e-9);
  assert.ok(Math.abs(shutterAngle(seconds(1 / 60), 25) - 150) < 1e-9);
  assert.ok(Math.abs(shutterAngle(seconds(1 / 60), 24) - 144) < 1e-9);
});

test("[CV21, its time] (D) 180° at 24 fps is 1/48 s", () => {
  const read = expectOk(parseShutter("180° at 24 fps"));
  assert.ok(Math.abs(read.seconds - 1 / 48) < 1e-15);
  assert.deepEqual([read.as, read.framesPerSecond], ["angle", 24]);
  assert.ok(Math.abs(secondsOfAngle(degrees(172.8), 24) - 0.02) < 1e-12);
});

test("marks are exact powers of two and their thirds (P, agrees with APEX)", () => {
  const cases: [string, number][] = [
    ["1/125", -7],
    ["1/250", -8],
    ["1/500 s", -9],
    ["1/15", -4],
    ["30 s", 5],
    ['30"', 5],
    ["30″", 5],
    ["15 sec", 4],
    ["1/160", -22 / 3],
    ["1/200", -23 / 3],
    ["1/8000", -13],
    ["0.5", -1],
    ["0,5 s", -1],
    ["1/2", -1],
    ["½", -1],
    ["0.3", -5 / 3],
    ["1/3", -5 / 3],
    ["1/1.3", -1 / 3],
    ["1", 0],
    ["1.3", 1 / 3],
    ["2 seconds", 1],
  ];
  for (const [typed, log2] of cases) {
    const read = expectOk(parseShutter(typed));
    assert.equal(read.as, "mark", typed);
    assert.ok(Math.abs(Math.log2(read.seconds) - log2) < 1e-12, typed);
  }
});

test("thirds and halves differ where a mark is on both scales: 1/20, 1/6, 1/10", () => {
  for (const [typed, third, half] of [
    ["1/20", 13 / 3, 4.5],
    ["1/6", 8 / 3, 2.5],
    ["1/10", 10 / 3, 3.5],
  ] as const) {
    assert.ok(Math.abs(-Math.log2(expectOk(parseShutter(typed)).seconds) - third) < 1e-12);
    assert.ok(Math.abs(-Math.log2(expectOk(parseShutter(typed, { scale: "half" })).seconds) - half) < 1e-12);
  }
});

test("video and measured times are literal", () => {
  const cases: [string, number][] = [
    ["1/50 video", 0.02],
    ["1/50 literal", 0.02],
    ["1/50 video literal", 0.02],
    ["1/60 measured", 1 / 60],
    ["1/48", 1 / 48],
    ["0.0213 s", 0.0213],
    ["t=0.0213", 0.0213],
    ["45 s", 45],
  ];
  for (const [typed, time] of cases) {
    const read = expectOk(parseShutter(typed));
    assert.deepEqual([read.as, read.seconds], ["literal", time], typed);
  }
  assert.equal(expectOk(parseShutter("1/50", { literal: true })).seconds, 0.02);
});

test("angles are read in several spellings, and broadcast rates are exact (SMPTE rates, from memory)", () => {
  for (const typed of ["180° at 24 fps", "180 deg 24 fps", "180°/24fps", "180° @ 24", "180 degrees at 24"]) {
    assert.ok(Math.abs(expectOk(parseShutter(typed)).seconds - 1 / 48) < 1e-15, typed);
  }
  assert.equal(exactFrameRate(23.976), 24000 / 1001);
  assert.equal(exactFrameRate(23.98), 24000 / 1001);
  assert.equal(exactFrameRate(29.97), 30000 / 1001);
  assert.equal(exactFrameRate(59.94), 60000 / 1001);
  for (const rate of [24, 25, 30, 48, 50, 60, 100, 120]) assert.equal(exactFrameRate(rate), rate);
});

for (const scale of ["third", "half"] satisfies ShutterScale[]) {
  test(`print is the inverse of parse at every ${scale}-stop mark from 30 s to 1/32000 s`, () => {
    const perStop = scale === "third" ? 3 : 2;
    for (let k = -5 * perStop; k <= 15 * perStop; k++) {
      const time = seconds(2 ** (-k / perStop));
      const text = printShutter(time, { scale });
      const read = expectOk(parseShutter(text, { scale }));
      assert.equal(read.as, "mark", text);
      assert.ok(Math.abs(read.seconds / time - 1) < 1e-12, text);
      // The printed mark is within a quarter stop of its exact value; 0.3 on the half scale is the worst.
      const literal = expectOk(parseShutter(text, { literal: true })).seconds;
      assert.ok(Math.abs(Math.log2(literal / time)) < 0.25, text);
    }
  });
}

test("print is the inverse of parse for literal times, whole fractions exactly, seed 20261103", () => {
  for (let n = 1; n <= 4000; n++) {
    for (const literal of [true, false]) {
      const text = printShutter(seconds(1 / n), { literal });
      const read = expectOk(parseShutter(text, { literal })).seconds;
      assert.ok(Math.abs(read * n - 1) < 1e-12, text);
    }
  }
  fc.assert(
    fc.property(fc.double({ min: 1e-5, max: 3600, noNaN: true }), (time) => {
      const read = expectOk(parseShutter(printShutter(seconds(time), { literal: true }), { literal: true })).seconds;
      assert.ok(Math.abs(read / time - 1) < 5.1e-6);
    }),
    { seed: 20261103, numRuns: 500 },
  );
});
