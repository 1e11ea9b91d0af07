import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import {
  checkDialScale,
  type DialScale,
  dialRange,
  dialSteps,
  percentOfStops,
  quantiseDial,
  stopsOfPercent,
} from "./dial.ts";
import { parseDial, printDial } from "./dial-notation.ts";
import { parseReading } from "./reading.ts";
import { expectOk } from "./result.ts";
import { ev, stops } from "./unit.ts";

const TENTHS: DialScale = { kind: "fraction", lowestStops: -8, stepStops: 0.1 };
const THIRDS: DialScale = { kind: "fraction", lowestStops: -7, stepStops: 1 / 3 };
const BELOW: DialScale = { kind: "below-full", lowestStops: -5, stepStops: 0.1 };
const BELOW_THIRDS: DialScale = { kind: "below-full", lowestStops: -5, stepStops: 0.333 };
const BELOW_QUARTERS: DialScale = { kind: "below-full", lowestStops: -6, stepStops: 0.25 };
const NUMBER: DialScale = { kind: "number", top: 10, lowestStops: -8, stepStops: 0.1 };
const WS: DialScale = { kind: "watt-seconds", fullWs: 400, lowestStops: -5, stepStops: 0.1 };
const SMALL_WS: DialScale = { kind: "watt-seconds", fullWs: 60, lowestStops: -9, stepStops: 1 / 3 };
const PERCENT: DialScale = { kind: "percent", lowestPercent: 10, stepPercent: 1 };
const MEASURED: DialScale = {
  kind: "percent",
  lowestPercent: 5,
  stepPercent: 5,
  table: [
    [10, -4.1],
    [25, -2.5],
    [50, -1.2],
    [100, 0],
  ],
};
const ALL: readonly DialScale[] = [
  TENTHS,
  THIRDS,
  BELOW,
  BELOW_THIRDS,
  BELOW_QUARTERS,
  NUMBER,
  WS,
  SMALL_WS,
  PERCENT,
  MEASURED,
];
const name = (scale: DialScale): string =>
  `${scale.kind} in ${scale.kind === "percent" ? scale.stepPercent : scale.stepStops}`;

test("(P) the handbook's turn: read 4⁶, target 2.8, dial 1/16+0.3 goes down 1.6 to −5.3, which is 1/64+0.7", () => {
  const read = expectOk(parseReading("4^6")).av;
  const target = expectOk(parseReading("2.8")).av;
  const change = target - read;
  assert.ok(Math.abs(change + 1.6) < 1e-12);
  const from = expectOk(parseDial("1/16+0.3", TENTHS));
  assert.equal(from, -3.7);
  const to = quantiseDial(TENTHS, stops(from + change));
  assert.deepEqual(
    { ...to, residual: Math.abs(to.residual) < 1e-9 },
    { stops: -5.3, atLowest: false, atFull: false, residual: true },
  );
  assert.equal(printDial(to.stops, TENTHS), "1/64+0.7");
  assert.equal(ev(4), target + 1);
});

for (const scale of ALL) {
  test(`print is the inverse of parse at every position of a dial, ${name(scale)}`, () => {
    const steps = dialSteps(scale);
    assert.equal(steps[0], 0);
    assert.equal(steps.at(-1), dialRange(scale).lowest);
    assert.equal(new Set(steps.map((s) => printDial(s, scale))).size, steps.length, "no two positions look the same");
    for (const [index, position] of steps.entries()) {
      if (index > 0) assert.ok(position < (steps[index - 1] ?? 0));
      for (const ascii of [true, false]) {
        const text = printDial(position, scale, { ascii });
        assert.equal(expectOk(parseDial(text, scale)), position, text);
      }
      const again = quantiseDial(scale, position);
      assert.deepEqual(again, {
        stops: position,
        atLowest: index === steps.length - 1,
        atFull: index === 0,
        residual: 0,
      });
    }
  });

  test(`quantising gives the nearest of all positions, ${name(scale)}, seed 20261102`, () => {
    const steps = dialSteps(scale);
    fc.assert(
      fc.property(fc.double({ min: -12, max: 2, noNaN: true }), (wanted) => {
        const { stops: reached, residual } = quantiseDial(scale, stops(wanted));
        const best = Math.min(...steps.map((s) => Math.abs(s - wanted)));
        assert.ok(Math.abs(Math.abs(wanted - reached) - best) < 1e-8, `${wanted} went to ${reached}`);
        assert.ok(Math.abs(residual - (wanted - reached)) < 1e-12);
      }),
      { seed: 20261102, numRuns: 300 },
    );
  });
}

test("every way to write a fraction dial means the same", () => {
  for (const typed of [
    "1/16+0.3",
    "1/16 + 0.3",
    "1/16 .3",
    "1/16 +.3",
    "1/16+3/10",
    "1/16+0,3",
    "1 / 16 + 0.3",
    "1/8-0.7",
    "1/8 − 0.7",
  ]) {
    assert.equal(expectOk(parseDial(typed, TENTHS)), -3.7, typed);
  }
  for (const typed of ["⅛+⅓", "1/8+1/3", "1/8 ⅓", "1/8+0.3", "1/8+0.33"]) {
    assert.equal(expectOk(parseDial(typed, THIRDS)), -8 / 3, typed);
  }
  assert.equal(expectOk(parseDial("1/1", THIRDS)), 0);
  assert.equal(expectOk(parseDial("Full", THIRDS)), 0);
  assert.equal(expectOk(parseDial("½", THIRDS)), -1);
});

test("each head's own notation is read and printed", () => {
  const cases: [DialScale, string, number, string, string][] = [
    [BELOW, "−3.7", -3.7, "−3.7", "-3.7"],
    [BELOW, "3.7", -3.7, "−3.7", "-3.7"],
    [BELOW, "0", 0, "0.0", "0.0"],
    [BELOW_THIRDS, "-3 2/3", -11 / 3, "−3.7", "-3.7"],
    [NUMBER, "6,3", -3.7, "6.3", "6.3"],
    [NUMBER, "10", 0, "10.0", "10.0"],
    [WS, "12.5 Ws", -5, "12.5 Ws", "12.5 Ws"],
    [WS, "400", 0, "400 Ws", "400 Ws"],
    [WS, "31 W·s", -3.7, "30.8 Ws", "30.8 Ws"],
    [PERCENT, "35%", Math.log2(0.35), "35 %", "35 %"],
    [PERCENT, "50 %", -1, "50 %", "50 %"],
    [MEASURED, "50", -1.2, "50 %", "50 %"],
    [THIRDS, "1/8+1/3", -8 / 3, "⅛+⅓", "1/8+1/3"],
  ];
  for (const [scale, typed, position, unicode, ascii] of cases) {
    const read = expectOk(parseDial(typed, scale));
    assert.ok(Math.abs(read - position) < 1e-12, `${typed}: ${read}`);
    assert.equal(printDial(read, scale), unicode);
    assert.equal(printDial(read, scale, { ascii: true }), ascii);
  }
});

test("out of reach the dial stands at its end and the rest remains", () => {
  assert.deepEqual(quantiseDial(BELOW, stops(-6.25)), { stops: -5, atLowest: true, atFull: false, residual: -1.25 });
  assert.deepEqual(quantiseDial(BELOW, stops(0.5)), { stops: 0, atLowest: false, atFull: true, residual: 0.5 });
  assert.equal(quantiseDial(BELOW, stops(Number.NEGATIVE_INFINITY)).atLowest, true);
  assert.equal(quantiseDial(PERCENT, stops(Number.POSITIVE_INFINITY)).atFull, true);
  assert.throws(() => quantiseDial(BELOW, stops(Number.NaN)), RangeError);
  assert.throws(() => printDial(stops(Number.NEGATIVE_INFINITY), BELOW), RangeError);
});

test("a wanted dial out of range prints as it is, for the words that say so", () => {
  assert.equal(printDial(stops(-6.24), BELOW), "−6.2");
  assert.equal(printDial(stops(0.3), TENTHS), "1/1+0.3");
});

test("a tie between two positions goes up", () => {
  assert.equal(quantiseDial(BELOW, stops(-0.25)).stops, -0.2);
  assert.equal(quantiseDial({ kind: "below-full", lowestStops: -5, stepStops: 1 }, stops(-2.5)).stops, -2);
});

test("a lowest position off the steps is a position all the same", () => {
  const scale: DialScale = { kind: "below-full", lowestStops: -4.5, stepStops: 1 };
  assert.deepEqual(dialSteps(scale), [0, -1, -2, -3, -4, -4.5]);
  assert.equal(quantiseDial(scale, stops(-4.4)).stops, -4.5);
});

test("a measured percent table goes through its points, is linear light below them, and inverts", () => {
  const table = MEASURED.kind === "percent" ? MEASURED.table : undefined;
  assert.equal(stopsOfPercent(25, table), -2.5);
  assert.ok(Math.abs(stopsOfPercent(5, table) + 5.1) < 1e-12);
  // Halfway in log2 between 25 % and 50 % is halfway in stops.
  assert.ok(Math.abs(stopsOfPercent(25 * Math.SQRT2, table) + 1.85) < 1e-12);
  for (let percent = 1; percent <= 100; percent++) {
    assert.ok(Math.abs(percentOfStops(stopsOfPercent(percent, table), table) - percent) < 1e-9);
    assert.ok(Math.abs(stopsOfPercent(percent, undefined) - Math.log2(percent / 100)) < 1e-12);
  }
});

test("a dial that cannot exist is refused with every fault", () => {
  const codes = (scale: DialScale): string[] => {
    const result = checkDialScale(scale, "head.dial");
    return result.ok ? [] : result.faults.map((f) => `${f.code} ${f.where}`);
  };
  for (const scale of ALL) assert.deepEqual(codes(scale), []);
  assert.deepEqual(codes({ kind: "watt-seconds", fullWs: 0, lowestStops: 3, stepStops: 0 }), [
    "dial-scale-range head.dial.lowestStops",
    "dial-scale-step head.dial.stepStops",
    "dial-scale-full head.dial.fullWs",
  ]);
  assert.deepEqual(
    codes({ kind: "number", top: Number.NaN, lowestStops: Number.NEGATIVE_INFINITY, stepStops: Number.NaN }),
    ["dial-scale-range head.dial.lowestStops", "dial-scale-step head.dial.stepStops", "dial-scale-top head.dial.top"],
  );
  assert.deepEqual(
    codes({
      kind: "percent",
      lowestPercent: 0,
      stepPercent: 0,
      table: [
        [50, -1],
        [40, -2],
        [100, 1],
      ],
    }),
    [
      "dial-scale-range head.dial.lowestPercent",
      "dial-scale-step head.dial.stepPercent",
      "dial-scale-table head.dial.table[1]",
      "dial-scale-table head.dial.table[2]",
    ],
  );
});
