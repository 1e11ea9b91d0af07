import assert from "node:assert/strict";
import { test } from "node:test";
import { METRES_PER_INCH, parseLength, printLength } from "./length.ts";
import { expectOk } from "./result.ts";
import { metres } from "./unit.ts";

test("a length is read in metric, feet and inches (international yard and pound agreement, 1959)", () => {
  const cases: [string, number][] = [
    ["1.25", 1.25],
    ["1.25 m", 1.25],
    ["1,25m", 1.25],
    ["125 cm", 1.25],
    ["1250 mm", 1.25],
    [".5 m", 0.5],
    ["4 ft", 48 * 0.0254],
    ["4'", 48 * 0.0254],
    ["4 ft 1 1/4 in", 49.25 * 0.0254],
    ["4 ft 1¼ in", 49.25 * 0.0254],
    [`4'1.25"`, 49.25 * 0.0254],
    ["4′ 1¼″", 49.25 * 0.0254],
    [`4' 1 1/4"`, 49.25 * 0.0254],
    ["4 feet 1 inch", 49 * 0.0254],
    ["49in", 49 * 0.0254],
    ["49 1/2 in", 49.5 * 0.0254],
    ['½"', 0.5 * 0.0254],
    ["1 1/2 ft", 18 * 0.0254],
  ];
  for (const [typed, expected] of cases) {
    assert.ok(Math.abs(expectOk(parseLength(typed)) - expected) < 1e-12, typed);
  }
  assert.equal(expectOk(parseLength("−2.00 m", { min: -10 })), -2);
  assert.ok(Math.abs(expectOk(parseLength("-2 ft 6 in", { min: -10 })) + 30 * METRES_PER_INCH) < 1e-12);
});

test("print is the inverse of parse at every centimetre over ±20 m", () => {
  for (let k = -2000; k <= 2000; k++) {
    for (const units of ["m", "cm"] as const) {
      for (const ascii of [true, false]) {
        const text = printLength(metres(k / 100), { units, ascii });
        assert.equal(expectOk(parseLength(text, { min: -30 })), k / 100, text);
      }
    }
  }
});

test("print is the inverse of parse at every quarter inch over ±40 ft", () => {
  for (let k = -1920; k <= 1920; k++) {
    for (const ascii of [true, false]) {
      const text = printLength(metres((k / 4) * METRES_PER_INCH), { units: "feet", ascii });
      const read = expectOk(parseLength(text, { min: -30 }));
      assert.ok(Math.abs(read - (k / 4) * METRES_PER_INCH) < 1e-12, text);
    }
  }
});

test("inches carry into feet when they round up", () => {
  assert.equal(printLength(metres(1.2499), { units: "feet" }), "4′ 1¼″");
  assert.equal(printLength(metres(11.9 * 0.0254), { units: "feet", ascii: true }), "1 ft 0 in");
  assert.equal(printLength(metres(0.25 * 0.0254), { units: "feet" }), "0′ ¼″");
  assert.equal(printLength(metres(0), { units: "feet" }), "0′ 0″");
  assert.equal(printLength(metres(1.245)), "1.25 m");
  assert.equal(printLength(metres(-0.004)), "0.00 m");
});
