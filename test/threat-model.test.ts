/** Holds docs/threat-model.md to its word: each numbered line names a test, and that test is there. */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";

const root: string = join(import.meta.dirname, "..");

/** What a line of the table names. */
interface Line {
  readonly number: number;
  readonly file: string;
  readonly title: string;
}

/** The numbered lines; a line that names no test has an empty file and title. */
function linesOf(text: string): readonly Line[] {
  return text.split("\n").flatMap((row) => {
    const number = /^\| (\d+) \|/.exec(row)?.[1];
    if (number === undefined) return [];
    const named = /`([^`]+\.test\.ts)`: "([^"]+)" \|$/.exec(row);
    return [{ number: Number(number), file: named?.[1] ?? "", title: named?.[2] ?? "" }];
  });
}

/** What is wrong with the lines. */
function faultsOf(lines: readonly Line[], textOf: (file: string) => string | null): readonly string[] {
  return lines.flatMap(({ number, file, title }, i) => {
    if (number !== i + 1) return [`line ${number} stands at place ${i + 1}`];
    if (file === "") return [`line ${number} names no test`];
    const text = textOf(file);
    if (text === null) return [`line ${number}: ${file} is not there`];
    return text.includes(JSON.stringify(title)) ? [] : [`line ${number}: ${file} has no test "${title}"`];
  });
}

test("every line of the threat model names a test that is there", () => {
  const lines = linesOf(readFileSync(join(root, "docs", "threat-model.md"), "utf8"));
  assert.ok(lines.length >= 10, `${lines.length} lines found`);
  const textOf = (file: string): string | null =>
    existsSync(join(root, file)) ? readFileSync(join(root, file), "utf8") : null;
  assert.deepEqual(faultsOf(lines, textOf), []);
});

test("a missing test, a missing file, a line without a test and a gap in the numbers are found", () => {
  const lines = linesOf(
    [
      '| 1 | kept | V1 | `a.test.ts`: "there" |',
      '| 2 | kept | V1 | `a.test.ts`: "gone" |',
      '| 3 | kept | V1 | `b.test.ts`: "there" |',
      "| 4 | kept | V1 | later |",
      '| 6 | kept | V1 | `a.test.ts`: "there" |',
    ].join("\n"),
  );
  const found = faultsOf(lines, (file) => (file === "a.test.ts" ? 'test("there", () => {});' : null));
  assert.deepEqual(
    found.map((fault) => fault.slice(0, 6)),
    ["line 2", "line 3", "line 4", "line 6"],
  );
});
