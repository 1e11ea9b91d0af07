import assert from "node:assert/strict";
import { test } from "node:test";
import { expectOk } from "./result.ts";
import { parseStops, parseUnder, printStops, printTurn, printUnder } from "./stops.ts";
import { stops } from "./unit.ts";

test("a difference in stops is read with sign, word, fraction or decimal comma", () => {
  const cases: [string, number][] = [
    ["up 0.7", 0.7],
    ["down 1.6", -1.6],
    ["−1.6", -1.6],
    ["-1,6", -1.6],
    ["- 1.6", -1.6],
    ["3 under", -3],
    ["3 over", 3],
    ["under 3", -3],
    ["1.5 stops down", -1.5],
    ["2 stops", 2],
    ["1 stop under", -1],
    ["+1/3", 1 / 3],
    ["−⅔", -2 / 3],
    ["+1⅔", 5 / 3],
    ["-1 2/3", -5 / 3],
    ["1 1/3 under", -4 / 3],
    ["7/10 up", 0.7],
    ["level", 0],
    ["no change", 0],
    ["0 under", 0],
    ["UP .7", 0.7],
  ];
  for (const [typed, expected] of cases) assert.equal(expectOk(parseStops(typed)), expected, typed);
});

test("print is the inverse of parse for every tenth and third over ±30 stops, in every wording", () => {
  for (let k = -300; k <= 300; k++) {
    for (const ascii of [true, false]) {
      for (const print of [printStops, printTurn, printUnder]) {
        const tenth = print(stops(k / 10), { ascii });
        assert.equal(expectOk(parseStops(tenth)), k / 10, tenth);
        if (Math.abs(k) > 90) continue;
        const third = print(stops(k / 3), { step: "third", ascii });
        assert.ok(Math.abs(expectOk(parseStops(third)) - k / 3) < 1e-12, third);
      }
    }
  }
});

test("differences print alike on both sides of zero and never as minus zero", () => {
  assert.equal(printStops(stops(1.65)), "+1.7");
  assert.equal(printStops(stops(-1.65)), "−1.7");
  assert.equal(printStops(stops(-0.04)), "0.0");
  assert.equal(printStops(stops(-1.6), { ascii: true }), "-1.6");
  assert.equal(printStops(stops(0.7), { plus: false }), "0.7");
  assert.equal(printStops(stops(-5 / 3), { step: "third" }), "−1⅔");
  assert.equal(printTurn(stops(-1.6)), "down 1.6");
  assert.equal(printTurn(stops(0.02)), "no change");
  assert.equal(printUnder(stops(-3)), "3 under");
  assert.equal(printUnder(stops(0.5)), "0.5 over");
  assert.equal(printUnder(stops(0)), "level");
  assert.throws(() => printStops(stops(Number.NaN)), RangeError);
});

test("a target under the main needs no word, and print is its inverse", () => {
  for (const [typed, under] of [
    ["3", 3],
    ["3 under", 3],
    ["−3", 3],
    ["1⅓", 4 / 3],
    ["2 stops", 2],
    ["0.5 over", -0.5],
    ["level", 0],
  ] as const) {
    assert.equal(expectOk(parseUnder(typed)), under, typed);
  }
  for (let k = -300; k <= 300; k++) assert.equal(expectOk(parseUnder(printUnder(stops(-k / 10)))), k / 10);
});
