/**
 * Crafted broken files: each names what was broken, the fault it must give and the line where it stands.
 * Faults are asserted by code and place, not by their prose.
 */

import assert from "node:assert/strict";
import { test } from "node:test";
import type { Fault, Result } from "../../units/index.ts";
import { type PhotometricWeb, parseIes, parseLdt, parsePhotometricFile } from "./index.ts";
import { changed, iesLines, ldtLines } from "./samples.ts";

type Changes = Readonly<Record<number, string | null>>;
/** What is broken, the lines changed, and each fault expected as "code" or "code@line". */
type Case = readonly [what: string, changes: Changes, faults: readonly string[]];

const block = (text: string): Changes => ({ 8: text });

const badIes: readonly Case[] = [
  ["no TILT line", { 7: null }, ["ies-no-tilt@12"]],
  ["TILT names a file", { 7: "TILT=lamp.tlt" }, ["ies-tilt-file@7"]],
  ["TILT names a file with blanks", { 7: "TILT = my lamp.tlt" }, ["ies-tilt-file@7"]],
  ["nothing after TILT", { 8: null, 9: null, 10: null, 11: null, 12: null, 13: null }, ["ies-truncated"]],
  ["twelve numbers only", { 9: "1 1", 10: null, 11: null, 12: null, 13: null }, ["ies-truncated"]],
  ["no vertical angles", block("1 -1 1 0 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["one vertical angle", block("1 -1 1 1 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["negative number of vertical angles", block("1 -1 1 -3 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["half a vertical angle", block("1 -1 1 3.5 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["a million million vertical angles", block("1 -1 1 1e12 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["2001 vertical angles", block("1 -1 1 2001 2 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["no horizontal angles", block("1 -1 1 3 0 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["2001 horizontal angles", block("1 -1 1 3 2001 1 2 0.3 0.6 0"), ["ies-count@8"]],
  ["both counts wrong", block("1 -1 1 0 0 1 2 0.3 0.6 0"), ["ies-count@8", "ies-count@8"]],
  ["counts at the cap but a short file", block("1 -1 1 2000 2000 1 2 0.3 0.6 0"), ["ies-truncated"]],
  ["one vertical angle too many counted", block("1 -1 1 4 2 1 2 0.3 0.6 0"), ["ies-truncated"]],
  ["photometric type 0", block("1 -1 1 3 2 0 2 0.3 0.6 0"), ["ies-type@8"]],
  ["photometric type 4", block("1 -1 1 3 2 4 2 0.3 0.6 0"), ["ies-type@8"]],
  ["photometric type C by letter", block("1 -1 1 3 2 C 2 0.3 0.6 0"), ["ies-not-a-number@8"]],
  ["photometric type 1.5", block("1 -1 1 3 2 1.5 2 0.3 0.6 0"), ["ies-type@8"]],
  ["units type 0", block("1 -1 1 3 2 1 0 0.3 0.6 0"), ["ies-units@8"]],
  ["units type 3", block("1 -1 1 3 2 1 3 0.3 0.6 0"), ["ies-units@8"]],
  ["multiplier 0", block("1 -1 0 3 2 1 2 0.3 0.6 0"), ["ies-multiplier@8"]],
  ["negative multiplier", block("1 -1 -1 3 2 1 2 0.3 0.6 0"), ["ies-multiplier@8"]],
  ["ballast factor 0", { 9: "0 1 100" }, ["ies-ballast@9"]],
  ["negative ballast factor", { 9: "-1 1 100" }, ["ies-ballast@9"]],
  ["negative ballast-lamp factor in an old edition", { 1: "IESNA91", 9: "1 -1 100" }, ["ies-ballast-lamp@9"]],
  ["multiplier and type wrong at once", block("1 -1 0 3 2 9 2 0.3 0.6 0"), ["ies-multiplier@8", "ies-type@8"]],
  ["a word for a width", block("1 -1 1 3 2 1 2 wide 0.6 0"), ["ies-not-a-number@8"]],
  ["NaN among the candela", { 12: "1000 NaN 0" }, ["ies-not-a-number@12"]],
  ["Infinity among the candela", { 12: "1000 Infinity 0" }, ["ies-not-a-number@12"]],
  ["a hexadecimal number", { 12: "0x3e8 500 0" }, ["ies-not-a-number@12"]],
  ["a number too large to hold", { 12: "1e999 500 0" }, ["ies-not-a-number@12"]],
  ["two points in a number", { 12: "10.0.0 500 0" }, ["ies-not-a-number@12"]],
  ["a comment after the numbers", { 13: "1000 300 0 end" }, []],
  ["letters in an angle", { 10: "0 4S 90" }, ["ies-not-a-number@10"]],
  ["two words at once", { 10: "0 4S 90", 13: "1000 3OO 0" }, ["ies-not-a-number@10", "ies-not-a-number@13"]],
  ["negative candela", { 12: "1000 -500 0" }, ["web-negative-candela@12"]],
  [
    "three negative candelas",
    { 12: "-1 -2 0", 13: "0 0 -3" },
    ["web-negative-candela@12", "web-negative-candela@12", "web-negative-candela@13"],
  ],
  ["all candela zero", { 12: "0 0 0", 13: "0 0 0" }, ["web-dark"]],
  [
    "candela that the multiplier makes endless",
    { 8: "1 -1 1e300 3 2 1 2 0.3 0.6 0", 12: "1e300 0 0" },
    ["web-huge-candela@12"],
  ],
  ["vertical angles falling", { 10: "90 45 0" }, ["web-not-ascending@10", "web-not-ascending@10"]],
  ["a vertical angle twice", { 10: "0 45 45" }, ["web-not-ascending@10"]],
  ["horizontal angles falling", { 11: "90 0" }, ["web-not-ascending@11"]],
  ["both lists falling", { 10: "0 90 45", 11: "90 0" }, ["web-not-ascending@10", "web-not-ascending@11"]],
  ["vertical angles past 180", { 10: "0 90 270" }, ["web-vertical-range@10"]],
  ["vertical angles below the nadir", { 10: "-90 0 90" }, ["web-vertical-range@10"]],
  ["horizontal angles to 45", { 11: "0 45" }, ["web-horizontal-range@11"]],
  ["horizontal angles past 360", { 11: "0 400" }, ["web-horizontal-range@11"]],
  ["horizontal angles from 30", { 11: "30 90" }, ["web-horizontal-range@11"]],
  ["negative horizontal angles in type C", { 11: "-90 90" }, ["web-horizontal-range@11"]],
  ["both ranges wrong", { 10: "0 90 270", 11: "0 45" }, ["web-vertical-range@10", "web-horizontal-range@11"]],
  ["type B with one plane", { 8: "1 -1 1 3 1 2 2 0.3 0.6 0", 11: "0", 13: null }, ["web-planes-few@11"]],
  ["type B with a latitude past 90", { 8: "1 -1 1 3 2 2 2 0.3 0.6 0", 11: "0 120" }, ["web-horizontal-range@11"]],
  ["type A with a latitude past 90", { 8: "1 -1 1 3 2 3 2 0.3 0.6 0", 10: "0 45 120" }, ["web-vertical-range@10"]],
  ["the last line missing", { 13: null }, ["ies-truncated"]],
  ["cut short and negative", { 12: "1000 -1 0", 13: "1000" }, ["ies-truncated", "web-negative-candela@12"]],
  [
    "cut short in the angles, which fall",
    { 10: "90 45 0", 11: null, 12: null, 13: null },
    ["ies-truncated", "web-not-ascending@10", "web-not-ascending@10"],
  ],
  ["tilt table cut short", { 7: "TILT=INCLUDE\n1\n99\n0 90" }, ["ies-truncated"]],
  ["tilt table that counts 0", { 7: "TILT=INCLUDE\n1\n0" }, ["ies-tilt-count@9"]],
  ["tilt table that counts a thousand", { 7: "TILT=INCLUDE\n1\n1000" }, ["ies-tilt-count@9"]],
  ["tilt geometry 7", { 7: "TILT=INCLUDE\n7\n2\n0 90\n1 0.9" }, ["ies-tilt-geometry@8"]],
  ["negative tilt factor", { 7: "TILT=INCLUDE\n1\n2\n0 90\n1 -0.9" }, ["ies-tilt-factor@11"]],
  ["tilt angles falling", { 7: "TILT=INCLUDE\n1\n2\n90 0\n1 0.9" }, ["web-not-ascending@10"]],
  ["TILT=INCLUDE without a table", { 7: "TILT=INCLUDE" }, ["ies-tilt-count@8"]],
  [
    "everything on one line, horizontal angles to 45",
    { 8: "1 -1 1 3 2 1 2 0 0 0 1 1 100 0 45 90 0 45 1 1 1 1 1 1", 9: null, 10: null, 11: null, 12: null, 13: null },
    ["web-horizontal-range@8"],
  ],
  ["decimals with commas, which separate", { 10: "0,0 45,0 90,0" }, ["web-not-ascending@10"]],
];

const goodLdt = ldtLines({
  isym: 4,
  planes: [0, 45, 90, 135, 180, 225, 270, 315],
  vertical: [0, 45, 90],
  values: [
    [250, 100, 0],
    [240, 90, 0],
    [230, 80, 0],
  ],
});
/** Lines of `goodLdt`: C angles from 43, vertical angles from 51, intensities from 54 to 62. */
const badLdt: readonly Case[] = [
  ["symmetry 5", { 3: "5" }, ["ldt-symmetry@3"]],
  ["symmetry −1", { 3: "-1" }, ["ldt-symmetry@3"]],
  ["symmetry in words", { 3: "none" }, ["ldt-not-a-number@3"]],
  ["symmetry left blank", { 3: "" }, ["ldt-not-a-number@3"]],
  ["no planes", { 4: "0" }, ["ldt-count@4"]],
  ["2001 planes", { 4: "2001" }, ["ldt-count@4"]],
  ["half a plane", { 4: "8.5" }, ["ldt-count@4"]],
  ["a number of planes that symmetry 4 cannot have", { 4: "6" }, ["ldt-planes@4"]],
  ["no vertical angles", { 6: "0" }, ["ldt-count@6"]],
  ["one vertical angle", { 6: "1" }, ["ldt-count@6"]],
  ["a million vertical angles", { 6: "1000000" }, ["ldt-count@6"]],
  [
    "symmetry and counts wrong at once",
    { 3: "9", 4: "x", 6: "0" },
    ["ldt-not-a-number@4", "ldt-count@6", "ldt-symmetry@3"],
  ],
  ["more vertical angles than the file holds", { 6: "500" }, ["ldt-truncated@62"]],
  ["symmetry 0 with a quarter stored", { 3: "0" }, ["ldt-truncated@62"]],
  ["no lamp sets", { 26: "0" }, ["ldt-lamp-sets@26"]],
  ["101 lamp sets", { 26: "101" }, ["ldt-lamp-sets@26"]],
  ["lamp sets in words", { 26: "one" }, ["ldt-not-a-number@26"]],
  ["number of lamps in words", { 27: "two" }, ["ldt-not-a-number@27"]],
  ["lamp flux in words", { 29: "bright" }, ["ldt-not-a-number@29"]],
  ["negative lamp flux", { 29: "-12000" }, ["ldt-flux@29"]],
  ["endless lamp flux", { 29: "1e400" }, ["ldt-not-a-number@29"]],
  ["a flux that makes intensities endless", { 29: "1e308", 54: "1e306" }, ["web-huge-candela"]],
  ["a C angle in words", { 44: "west" }, ["ldt-not-a-number@44"]],
  ["C angles falling", { 44: "90", 45: "45" }, ["web-not-ascending@45"]],
  ["C angles that miss 90", { 45: "80" }, ["web-horizontal-range@43"]],
  ["vertical angles falling", { 52: "95", 53: "90" }, ["web-not-ascending@53"]],
  ["vertical angles past 180", { 53: "190" }, ["web-vertical-range@51"]],
  ["vertical angles below 0", { 51: "-5" }, ["web-vertical-range@51"]],
  ["an intensity in words", { 57: "dim" }, ["ldt-not-a-number@57"]],
  ["a blank line among the intensities", { 57: "" }, ["ldt-not-a-number@57"]],
  ["two intensities on one line", { 57: "240 90" }, ["ldt-not-a-number@57"]],
  ["negative intensity", { 57: "-240" }, ["web-negative-candela@57"]],
  [
    "negative in three places",
    { 54: "-1", 57: "-1", 60: "-1" },
    ["web-negative-candela@54", "web-negative-candela@57", "web-negative-candela@60"],
  ],
  ["all intensities zero", { 54: "0", 55: "0", 57: "0", 58: "0", 60: "0", 61: "0" }, ["web-dark"]],
  ["the last line missing", { 62: null }, ["ldt-truncated@61"]],
  ["a line missing in the head", { 9: null }, ["ldt-not-a-number", "ldt-truncated"]],
  [
    "symmetry 3 on planes that do not reach C270",
    { 3: "3", 49: "275", 62: "0\n1\n1\n0\n1\n1\n0" },
    ["web-horizontal-range@43"],
  ],
];

function check(result: Result<PhotometricWeb>, expected: readonly string[], where: string): void {
  if (expected.length === 0) {
    assert.ok(result.ok, "reads with warnings");
    assert.ok(result.value.warnings.length > 0);
    return;
  }
  assert.ok(!result.ok, "is refused");
  for (const each of expected) {
    const [code, line] = each.split("@");
    const place = line === undefined ? where : `${where}, line ${line}`;
    const fits = (f: Fault): boolean =>
      f.code === code && (line === undefined ? f.where.startsWith(where) : f.where === place);
    const count = expected.filter((other) => other === each).length;
    const found: number = result.faults.filter(fits).length;
    assert.ok(
      found >= count,
      `${each} is missing among ${result.faults.map((f) => `${f.code} (${f.where})`).join("; ")}`,
    );
  }
  for (const f of result.faults) {
    assert.ok(f.what.length > 0 && f.mend.length > 0, "every fault says what is wrong and what mends it");
    assert.doesNotMatch(
      `${f.what} ${f.mend}`,
      /undefined|\bNaN (is|follows)|\[object/,
      "no fault speaks of the program",
    );
  }
}

for (const [what, changes, faults] of badIes) {
  test(`A bad .ies file: ${what}`, () => {
    check(parseIes(changed(iesLines, changes), "bad.ies"), faults, "bad.ies");
  });
}

for (const [what, changes, faults] of badLdt) {
  test(`A bad .ldt file: ${what}`, () => {
    check(parseLdt(changed(goodLdt, changes), "bad.ldt"), faults, "bad.ldt");
  });
}

test("The unbroken samples read without a fault", () => {
  assert.ok(parseIes(iesLines.join("\n")).ok);
  assert.ok(parseLdt(goodLdt.join("\n")).ok);
});

test("Texts that are no photometric file at all are refused", () => {
  for (const text of ["", " ", "\0\0\0", "{}", "<xml/>", "\n".repeat(1000), "[".repeat(5000), "1\n2\n3"]) {
    assert.ok(!parsePhotometricFile(text, "x").ok);
    assert.ok(!parsePhotometricFile(text, "x.ies").ok);
    assert.ok(!parsePhotometricFile(text, "x.ldt").ok);
  }
});

test("Over 8 MB is refused before it is looked at", () => {
  const huge = "0 ".repeat(4 * 1024 * 1024 + 1);
  check(parseIes(huge, "bad.ies"), ["file-too-large"], "bad.ies");
  check(parseLdt(huge, "bad.ldt"), ["file-too-large"], "bad.ldt");
});

test("A table with thousands of mistakes gives a short list that says how many more there are", () => {
  const lines = changed(iesLines, {
    8: "1 -1 1 3 1000 1 2 0 0 0",
    11: Array.from({ length: 1000 }, (_, i) => i * 0.36).join(" "),
    12: "-1 -1 -1 ".repeat(1000),
    13: null,
  });
  const result = parseIes(lines, "bad.ies");
  assert.ok(!result.ok);
  assert.ok(result.faults.length < 100);
  assert.ok(result.faults.some((f) => f.code === "file-more-faults"));
});

type OddCase = readonly [what: string, text: string, warning: string];
const oddButRead: readonly OddCase[] = [
  [
    "the last plane stops at 300",
    changed(iesLines, { 8: "1 -1 1 3 3 1 2 0 0 0", 11: "0 100 300", 13: "1000 300 0 1000 200 0" }),
    "web-no-seam",
  ],
  ["planes 0 and 360 differ", changed(iesLines, { 11: "0 360" }), "web-seam"],
  ["one plane that is not at 0", changed(iesLines, { 8: "1 -1 1 3 1 1 2 0 0 0", 11: "5", 13: null }), "web-one-plane"],
  ["vertical angles to 60", changed(iesLines, { 10: "0 45 60" }), "web-vertical-part"],
  ["required keywords missing", changed(iesLines, { 2: null }), "ies-keyword-missing"],
  ["an edition to come", changed(iesLines, { 1: "IES:LM-63-2031" }), "ies-edition"],
  ["a loose line in the head", changed(iesLines, { 6: "loose words" }), "ies-loose-line"],
  ["an empty TILT", changed(iesLines, { 7: "TILT=" }), "ies-tilt-empty"],
  ["numbers after the table", changed(iesLines, { 13: "1000 300 0 7 7" }), "ies-extra-numbers"],
  ["lumens per lamp −2", changed(iesLines, { 8: "1 -2 1 3 2 1 2 0 0 0" }), "ies-lumens"],
  ["no lamps", changed(iesLines, { 8: "0 -1 1 3 2 1 2 0 0 0" }), "ies-lamps"],
  ["an opening of 600 m", changed(iesLines, { 8: "1 -1 1 3 2 1 2 300 600 0" }), "ies-size"],
  ["negative watts", changed(iesLines, { 9: "1 1 -100" }), "ies-watts"],
  ["a zero ballast-lamp factor", changed(iesLines, { 1: "IESNA91", 9: "1 0 100" }), "ies-ballast-lamp"],
  ["more light than its lamps", changed(iesLines, { 8: "1 500 1 3 2 1 2 0 0 0" }), "web-over-rated"],
  ["EULUMDAT: lamp flux 0", changed(goodLdt, { 29: "0" }), "ldt-no-flux"],
  ["EULUMDAT: no lamps", changed(goodLdt, { 27: "0" }), "ldt-lamps"],
  ["EULUMDAT: conversion factor 0", changed(goodLdt, { 24: "0" }), "ldt-conversion"],
  ["EULUMDAT: measured tilted", changed(goodLdt, { 25: "15" }), "ldt-tilt"],
  ["EULUMDAT: flux of table and lamps differ", changed(goodLdt, { 23: "10" }), "web-flux-differs"],
  ["EULUMDAT: a blank size", changed(goodLdt, { 17: "" }), "ldt-unread"],
  ["EULUMDAT: lines after the table", `${goodLdt.join("\n")}\n1\n2`, "ldt-extra-lines"],
  ["EULUMDAT: vertical angles to 80", changed(goodLdt, { 53: "80" }), "web-vertical-part"],
];

for (const [what, text, warning] of oddButRead) {
  test(`Odd but read, with a warning: ${what}`, () => {
    const result = parsePhotometricFile(text, "odd");
    assert.ok(result.ok, result.ok ? "" : result.faults.map((f) => f.what).join("; "));
    assert.ok(
      result.value.warnings.some((w) => w.code === warning),
      result.value.warnings.map((w) => w.code).join(),
    );
  });
}
