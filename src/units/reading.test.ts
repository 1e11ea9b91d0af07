import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import {
  isReadingQuestion,
  parseReading,
  printReading,
  readingCandidates,
  readingParts,
  spokenReading,
  thirdParts,
  thirdsOfTenths,
} from "./reading.ts";
import { expectOk } from "./result.ts";
import { avOfFNumber, fNumberOfAv, type ScaleStep } from "./scale.ts";
import { ev, fNumber } from "./unit.ts";

const near = (actual: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not within ${tolerance} of ${expected}`);

test("[CV01] (D) the reading 5.6⁷ is f-number 7.2100", () => {
  near(fNumberOfAv(expectOk(parseReading("5.6⁷")).av), 7.21, 0.0005);
});

test("[CV02] (D) the reading 11⁵ is f-number 13.4543", () => {
  near(fNumberOfAv(expectOk(parseReading("11^5")).av), 13.4543, 0.0005);
});

test("[CV03] (D) the literal f-number 9.8 is Av 6.5856 and prints as 8.0⁶", () => {
  const { av, as } = expectOk(parseReading("9.8"));
  assert.equal(as, "literal");
  near(av, 6.5856, 0.0005);
  assert.deepEqual(readingParts(av), { mark: "8.0", tenth: 6 });
});

test("every way to write tenths above a mark means the same", () => {
  const ways =
    "5.6⁷|5.6^7|5.6 ^ 7|5.6 7|5.6+7/10|5.6 7/10|5.6 .7|5.6+0.7|5.6 + 0.7|5.6+.7|5.6 0.7|f/5.6^7|F/5.6⁷|ƒ/5.6⁷|ƒ5,6⁷|" +
    "f5.6 7|f 5.6 7|5,6 7|5,6 ,7|5,6+0,7|  5.6^7 |F 5.6+7/10|5.60^7";
  for (const typed of ways.split("|")) {
    assert.deepEqual(parseReading(typed), { ok: true, value: { av: 5.7, as: "tenths", typed } }, typed);
  }
});

test("fractions above a mark are exact", () => {
  const cases: [string, number][] = [
    ["5.6 1/3", 16 / 3],
    ["5.6+1/3", 16 / 3],
    ["5.6⅓", 16 / 3],
    ["5.6+⅔", 17 / 3],
    ["5.6 ⅔", 17 / 3],
    ["5.6½", 5.5],
    ["f/8 1/2", 6.5],
    ["0.7+1/3", -2 / 3],
  ];
  for (const [typed, av] of cases)
    assert.deepEqual(expectOk(parseReading(typed)), { av, as: "fraction", typed }, typed);
});

test("a plain number is a mark of the chosen scale, else a literal f-number", () => {
  const cases: [string, ScaleStep, number, string][] = [
    ["7.1", "third", 17 / 3, "mark"],
    ["9", "third", 19 / 3, "mark"],
    ["f/11", "third", 7, "mark"],
    ["1", "third", 0, "mark"],
    ["8.0", "full", 6, "mark"],
    ["0.7", "third", -1, "mark"],
    ["4.5", "third", 13 / 3, "mark"],
    ["13", "half", 7.5, "mark"],
    ["13", "third", 22 / 3, "mark"],
    ["6.0", "third", avOfFNumber(fNumber(6)), "literal"],
    ["9", "half", avOfFNumber(fNumber(9)), "literal"],
    ["7.1", "tenth", avOfFNumber(fNumber(7.1)), "literal"],
    ["5.657", "third", avOfFNumber(fNumber(5.657)), "literal"],
    ["N=5.67", "third", avOfFNumber(fNumber(5.67)), "literal"],
    ["n = 11", "third", avOfFNumber(fNumber(11)), "literal"],
    ["N=5,67", "third", avOfFNumber(fNumber(5.67)), "literal"],
  ];
  for (const [typed, scale, av, as] of cases)
    assert.deepEqual(expectOk(parseReading(typed, { scale })), { av, as, typed }, typed);
});

test("a full mark run together with one more digit is refused, and asked about where asking is possible", () => {
  const cases: [string, number][] = [
    ["5.67", 5.7],
    ["2.83", 3.3],
    ["8.5", 6.5],
    ["11.4", 7.4],
    ["16.2", 8.2],
    ["f/5,67", 5.7],
    ["8.07", 6.7],
    ["1.45", 1.5],
    ["113", 7.3],
    ["85", 6.5],
    ["0.75", -0.5],
  ];
  for (const [typed, tenths] of cases) {
    const refused = parseReading(typed, { where: "readings[2]" });
    assert.ok(!refused.ok, typed);
    assert.equal(refused.faults[0]?.code, "reading-ambiguous");
    assert.equal(refused.faults[0]?.where, "readings[2]");
    const asked = parseReading(typed, { ambiguity: "ask" });
    assert.ok(!asked.ok && asked.faults[0] !== undefined && isReadingQuestion(asked.faults[0]), typed);
    const [first, second] = asked.faults[0].candidates;
    assert.deepEqual(first, { av: tenths, as: "tenths", typed });
    assert.equal(second.as, "literal");
    near(fNumberOfAv(second.av), Number(typed.replace("f/", "").replace(",", ".")), 1e-9);
    assert.deepEqual(readingCandidates(typed), [first, second]);
  }
});

test("both answers that an ambiguous text is mended to are themselves clear", () => {
  const refused = parseReading("5.67");
  assert.ok(!refused.ok);
  const mend = refused.faults[0]?.mend ?? "";
  assert.equal(mend, "Write 5.6^7 or N=5.67.");
  assert.equal(expectOk(parseReading("5.6^7")).as, "tenths");
  assert.equal(expectOk(parseReading("N=5.67")).as, "literal");
});

test("the literal 5.67 prints as 5.6⁰ (D)", () => {
  assert.equal(printReading(avOfFNumber(fNumber(5.67))), "5.6⁰");
});

test("print is the inverse of parse for every tenth from f/0.35 to f/256⁹, raised or plain, with or without the zero", () => {
  for (let k = -30; k <= 169; k++) {
    for (const ascii of [true, false]) {
      for (const zero of [true, false]) {
        const text = printReading(ev(k / 10), { ascii, zero });
        for (const ambiguity of ["refuse", "ask"] as const) {
          assert.equal(expectOk(parseReading(text, { ambiguity })).av, k / 10, text);
        }
      }
    }
  }
});

test("print is the inverse of parse for every third from f/0.35 to f/256⅔", () => {
  for (let k = -9; k <= 50; k++) {
    for (const ascii of [true, false]) {
      const text = printReading(ev(k / 3), { step: "third", ascii });
      assert.equal(expectOk(parseReading(text)).av, k / 3, text);
    }
  }
});

test("any Av prints to the tenth within half a tenth of it, seed 20261101", () => {
  fc.assert(
    fc.property(fc.double({ min: -3, max: 16.8, noNaN: true }), (av) => {
      near(expectOk(parseReading(printReading(ev(av)))).av, av, 0.05 + 1e-9);
      near(expectOk(parseReading(printReading(ev(av), { step: "third" }))).av, av, 1 / 6 + 1e-9);
    }),
    { seed: 20261101, numRuns: 2000 },
  );
});

test("rounding happens once, half goes up, and it holds below f/1", () => {
  assert.equal(printReading(ev(5.75)), "5.6⁸");
  assert.equal(printReading(ev(5.95)), "8.0⁰");
  assert.equal(printReading(ev(5.949)), "5.6⁹");
  assert.equal(printReading(ev(-0.3)), "0.7⁷");
  assert.equal(printReading(ev(-1)), "0.7⁰");
  assert.equal(printReading(ev(-0.04)), "1.0⁰");
  assert.equal(printReading(ev(-0.06), { ascii: true }), "0.7^9");
  assert.equal(printReading(ev(6), { zero: false }), "8.0");
  // 0.1 + 0.2 style noise does not lose a tenth.
  assert.equal(printReading(ev(4.6 - 1.6 - 1e-12)), "2.8⁰");
});

test("tenths become thirds as the handbook says", () => {
  assert.deepEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9].map(thirdsOfTenths), [0, 0, 1, 1, 1, 2, 2, 2, 2, 3]);
  assert.deepEqual(thirdParts(ev(5.5)), { mark: "5.6", third: 2 });
  assert.equal(printReading(ev(5.9), { step: "third" }), "8.0");
  assert.equal(printReading(ev(5.3), { step: "third", ascii: true }), "5.6+1/3");
});

test("a reading is spoken as people say it", () => {
  assert.equal(spokenReading(ev(5.7)), "f 5.6 and 7 tenths");
  assert.equal(spokenReading(ev(6.1)), "f 8 and 1 tenth");
  assert.equal(spokenReading(ev(4)), "f 4");
  assert.equal(spokenReading(ev(16 / 3), "third"), "f 5.6 and a third");
  assert.equal(spokenReading(ev(17 / 3), "third"), "f 5.6 and two thirds");
});

test("a number that is none is not printed", () => {
  for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
    assert.throws(() => printReading(ev(bad)), RangeError);
    assert.throws(() => spokenReading(ev(bad), "third"), RangeError);
  }
});

test("candidates of what is no reading are none", () => {
  assert.deepEqual(readingCandidates("bright"), []);
  assert.equal(readingCandidates("5.6^7").length, 1);
});
