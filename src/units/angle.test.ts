import assert from "node:assert/strict";
import { test } from "node:test";
import {
  clockHours,
  parseAzimuth,
  parseClock,
  parseDegrees,
  parseElevation,
  printAzimuth,
  printClock,
  printDegrees,
  printElevation,
  wrapDegrees,
} from "./angle.ts";
import { expectOk } from "./result.ts";
import { degrees } from "./unit.ts";

test("an azimuth is read with camera side or sign; camera right is positive", () => {
  const cases: [string, number][] = [
    ["45° camera left", -45],
    ["camera left 45°", -45],
    ["25 deg camera right", 25],
    ["128 camera right", 128],
    ["−45", -45],
    ["- 45°", -45],
    ["+12.5°", 12.5],
    ["0", 0],
    ["180°", 180],
    ["-180", 180],
    ["270", -90],
    ["12,5 degrees camera left", -12.5],
  ];
  for (const [typed, expected] of cases) assert.equal(expectOk(parseAzimuth(typed)), expected, typed);
});

test("print is the inverse of parse for every tenth of a degree, azimuth and elevation", () => {
  for (let k = -1799; k <= 1800; k++) {
    for (const ascii of [true, false]) {
      const options = { decimals: 1, ascii };
      assert.equal(expectOk(parseAzimuth(printAzimuth(degrees(k / 10), options))), k / 10);
      assert.equal(expectOk(parseAzimuth(printDegrees(degrees(k / 10), options))), k / 10);
      assert.equal(expectOk(parseDegrees(printDegrees(degrees(k / 5), options))), k / 5);
      if (Math.abs(k) <= 900) {
        assert.equal(expectOk(parseElevation(printElevation(degrees(k / 10), options))), k / 10);
      }
    }
  }
});

test("angles print as one says them on a set", () => {
  assert.equal(printAzimuth(degrees(-45)), "45° camera left");
  assert.equal(printAzimuth(degrees(195)), "165° camera left");
  assert.equal(printAzimuth(degrees(-0.2)), "0°");
  assert.equal(printAzimuth(degrees(-179.9)), "180°");
  assert.equal(printElevation(degrees(35)), "35° up");
  assert.equal(printElevation(degrees(-8)), "8° down");
  assert.equal(printDegrees(degrees(-45)), "−45°");
  assert.equal(wrapDegrees(540), 180);
  assert.throws(() => wrapDegrees(Number.NaN), RangeError);
});

test("[CV65, its hour] (D) 45.29° clockwise of 12 is 1.51 h, half past 1", () => {
  const clockwise = degrees((Math.atan2(2.542, 2.517) * 180) / Math.PI);
  assert.ok(Math.abs(clockHours(clockwise) - 1.51) < 0.005);
  assert.equal(printClock(clockwise), "half past 1");
  assert.equal(printClock(degrees(180)), "6 o'clock");
  assert.equal(printClock(degrees(-5)), "12 o'clock");
});

test("clock print is the inverse of parse at every half hour", () => {
  for (let halves = 0; halves < 24; halves++) {
    assert.equal(expectOk(parseClock(printClock(degrees(halves * 15)))), halves * 15);
  }
  assert.equal(expectOk(parseClock("1:30")), 45);
  assert.equal(expectOk(parseClock("10")), 300);
});
