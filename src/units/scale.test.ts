import assert from "node:assert/strict";
import { test } from "node:test";
import {
  apertureMarks,
  avOfFNumber,
  evOfExposure,
  fNumberOfAv,
  fullMarkLabel,
  markNamed,
  nearestMark,
  type ScaleStep,
  secondsOfTv,
  tvOfSeconds,
} from "./scale.ts";
import { ev, fNumber, seconds } from "./unit.ts";

const near = (actual: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not within ${tolerance} of ${expected}`);

test("[CV04] (D) mark f/11 is Av 7 and would be 0.0811 stop low if taken literally", () => {
  assert.equal(markNamed(11, "third")?.av, 7);
  near(avOfFNumber(fNumber(11)) - 7, -0.0811, 0.0005);
});

test("[CV05] (D) mark 13 is 12.6992 on the third scale and 13.4543 on the half scale", () => {
  near(fNumberOfAv(markNamed(13, "third")?.av ?? ev(0)), 12.6992, 0.0005);
  near(fNumberOfAv(markNamed(13, "half")?.av ?? ev(0)), 13.4543, 0.0005);
});

test("[CV06] (S, APEX) f/8 at the mark 1/125 is EV 13", () => {
  near(evOfExposure(fNumber(8), seconds(1 / 128)), 13, 1e-9);
});

test("mark 1.2 collides too: 1.2599 on the third scale, 1.1892 on the half scale", () => {
  near(fNumberOfAv(markNamed(1.2, "third")?.av ?? ev(0)), 1.2599, 0.0001);
  near(fNumberOfAv(markNamed(1.2, "half")?.av ?? ev(0)), 1.1892, 0.0001);
});

test("the tenths from 5.6 to 8 are those of the published table of 2^(k/20) (D)", () => {
  const table = [5.657, 5.856, 6.063, 6.277, 6.498, 6.727, 6.964, 7.21, 7.464, 7.727, 8];
  for (const [k, n] of table.entries()) near(fNumberOfAv(ev(5 + k / 10)), n, 0.0005);
});

for (const step of ["full", "half", "third", "tenth"] satisfies ScaleStep[]) {
  test(`every mark of the ${step} scale is its own nearest mark, in order, and names itself`, () => {
    const marks = apertureMarks(step);
    for (const [k, mark] of marks.entries()) {
      assert.equal(nearestMark(mark.av, step), mark);
      if (k > 0) assert.ok(mark.av > (marks[k - 1]?.av ?? mark.av));
      if (step !== "tenth") {
        assert.equal(markNamed(Number(mark.label), step), mark);
        // Printed marks are rounded by at most 0.15 stop.
        near(avOfFNumber(fNumber(Number(mark.label))), mark.av, 0.15);
      }
    }
  });
}

test("the errors of printed marks taken literally are those of the handbook's list (D)", () => {
  const errors: [number, number][] = [
    [11, -0.081],
    [22, -0.081],
    [13, 0.068],
    [14, -0.052],
    [3.5, -0.052],
    [1.1, -0.058],
    [1.2, -0.141],
  ];
  for (const [n, error] of errors) near(avOfFNumber(fNumber(n)) - (markNamed(n, "third")?.av ?? 0), error, 0.001);
});

test("the nearest mark stays on the scale and takes a tie upward", () => {
  assert.equal(nearestMark(ev(-40), "full").label, "0.35");
  assert.equal(nearestMark(ev(40), "third").label, "256");
  assert.equal(nearestMark(ev(5.5), "full").label, "8.0");
  assert.equal(nearestMark(ev(5.7), "tenth").label, "5.6⁷");
  assert.throws(() => nearestMark(ev(Number.NaN), "full"), RangeError);
});

test("full marks go on past the printed scale", () => {
  assert.equal(fullMarkLabel(-4), "0.25");
  assert.equal(fullMarkLabel(17), "362");
});

test("time and Tv, f-number and Av are inverse to each other", () => {
  for (let k = -60; k <= 180; k++) {
    near(tvOfSeconds(secondsOfTv(ev(k / 10))), k / 10, 1e-12);
    near(avOfFNumber(fNumberOfAv(ev(k / 10))), k / 10, 1e-12);
  }
});
