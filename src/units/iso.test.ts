import assert from "node:assert/strict";
import { test } from "node:test";
import { exactIso, isoDegrees, parseIso, printIso } from "./iso.ts";
import { expectOk } from "./result.ts";
import { iso } from "./unit.ts";

test("[CV08] (M, ISO 5800) ISO 400 is 27.0206° before rounding", () => {
  assert.ok(Math.abs(isoDegrees(iso(400)) - 27.0206) < 0.0005);
});

test("every third from ISO 12/12° to 3200/36° carries the degrees of the table of ISO 5800 (from memory)", () => {
  const table =
    "12/12 16/13 20/14 25/15 32/16 40/17 50/18 64/19 80/20 100/21 125/22 160/23 200/24 250/25 320/26 400/27 500/28 " +
    "640/29 800/30 1000/31 1250/32 1600/33 2000/34 2500/35 3200/36";
  for (const pair of table.split(" ")) {
    const [mark = "", degrees = ""] = pair.split("/");
    const speed = expectOk(parseIso(`ISO ${mark}`)).iso;
    assert.equal(Math.round(isoDegrees(speed)), Number(degrees), pair);
    assert.equal(printIso(expectOk(parseIso(`${degrees}°`)).iso), mark, pair);
  }
});

test("[CV09] (D) the mark ISO 640 is exactly 634.960", () => {
  assert.ok(Math.abs(expectOk(parseIso("ISO 640")).iso - 634.96) < 0.001);
});

test("a speed is a mark, a literal, or degrees", () => {
  const cases: [string, number, string][] = [
    ["100", 100, "mark"],
    ["iso 400", 400, "mark"],
    ["ISO400", 400, "mark"],
    ["ISO 400/27°", 400, "mark"],
    ["27°", 400, "degrees"],
    ["21°", 100, "degrees"],
    ["650", 650, "literal"],
    ["12", 12.5, "mark"],
    ["51200", 51200, "mark"],
  ];
  for (const [typed, value, as] of cases) {
    const read = expectOk(parseIso(typed));
    assert.equal(read.as, as, typed);
    assert.ok(Math.abs(read.iso / value - 1) < 1e-9, typed);
  }
});

test("print is the inverse of parse at every third from ISO 0.8 to 3276800, and for whole speeds", () => {
  for (let thirds = -21; thirds <= 45; thirds++) {
    const exact = exactIso(thirds);
    const read = expectOk(parseIso(printIso(exact)));
    assert.deepEqual([read.iso, read.as], [exact, "mark"]);
    // The mark as printed is within a seventh of a stop of its exact value, and its degrees round to 21 + thirds.
    assert.ok(Math.abs(Math.log2(Number(printIso(exact)) / exact)) < 0.15, printIso(exact));
    assert.equal(Math.round(isoDegrees(exact)) + 0, 21 + thirds);
    assert.equal(expectOk(parseIso(`${Math.max(21 + thirds, 0)}°`)).iso, exactIso(Math.max(thirds, -21)));
  }
  for (const whole of [101, 333, 450, 650, 7777]) assert.equal(expectOk(parseIso(printIso(iso(whole)))).iso, whole);
});
