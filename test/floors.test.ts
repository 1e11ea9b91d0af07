/** Floors and doors hold across src/; and the checker catches every kind of fault when one is planted. */

import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import test from "node:test";
import { type Breach, FLOORS, findBreaches, SAME_FLOOR } from "./floors.ts";

const root: string = join(import.meta.dirname, "..");

test("every import goes down through a door, and floors 0 to 2 are pure", () => {
  assert.deepEqual(findBreaches(root).map(printed), []);
});

test("the arrows within a floor stay within a floor and form no ring", () => {
  for (const [from, targets] of Object.entries(SAME_FLOOR)) {
    for (const to of targets) {
      assert.equal(FLOORS[from], FLOORS[to], `${from} -> ${to}`);
      assert.ok(!(SAME_FLOOR[to] ?? []).includes(from), `${from} <-> ${to}`);
    }
  }
});

test("a tree without source files fails", () => {
  assert.deepEqual(rulesIn({}), ["no-files"]);
});

/** Name, file, content, and the rules the checker must report there, in order. */
const PLANTED: readonly [string, string, string, readonly Breach["rule"][]][] = [
  ["an import upwards", "src/units/a.ts", 'import { b } from "../solve/index.ts";', ["arrow"]],
  ["a type-only import upwards", "src/units/a.ts", 'import type { B } from "../setup/index.ts";', ["arrow"]],
  ["a re-export upwards", "src/setup/a.ts", 'export * from "../sync/index.ts";', ["arrow"]],
  ["a named re-export upwards", "src/setup/a.ts", 'export { b } from "../sync/index.ts";', ["arrow"]],
  ["a dynamic import upwards", "src/solve/a.ts", 'export const b = () => import("../cli/index.ts");', ["arrow"]],
  ["an import type expression upwards", "src/units/a.ts", 'export type B = import("../care/index.ts").B;', ["arrow"]],
  ["an import sideways", "src/solve/a.ts", 'import { b } from "../care/index.ts";', ["arrow"]],
  ["an allowed arrow reversed", "src/solve/a.ts", 'import { b } from "../drawing/index.ts";', ["arrow"]],
  ["an import past the door", "src/solve/a.ts", 'import { b } from "../units/scale.ts";', ["door"]],
  ["a value through the door for types", "src/web/a.ts", 'import { b } from "../store/types.ts";', ["door"]],
  ["a type past both doors", "src/web/a.ts", 'import type { B } from "../store/log.ts";', ["door"]],
  ["an import out of src", "src/web/a.tsx", 'import b from "../../package.json";', ["arrow"]],
  ["an unknown room as target", "src/web/a.ts", 'import { b } from "../attic/index.ts";', ["room"]],
  ["an unknown room as home", "src/attic/a.ts", "export const a = 1;", ["room"]],
  ["the library's door reaching too high", "src/index.ts", 'export * from "./store/index.ts";', ["arrow"]],
  ["Node in the core", "src/care/a.ts", 'import { readFileSync } from "node:fs";', ["node"]],
  ["Node in the page", "src/web/a.ts", 'import { readFileSync } from "node:fs";', ["node"]],
  ["an npm package in the core", "src/solve/a.ts", 'import { Matrix } from "ml-matrix";', ["package"]],
  ["the shared document outside sync", "src/setup/a.ts", 'import * as Y from "yjs";', ["package"]],
  ["a package that is no dependency", "src/server/a.ts", 'import { x } from "@left/out/deep";', ["package"]],
  ["a computed import in the core", "src/solve/a.ts", "export const f = (p: string) => import(p);", ["impure"]],
  ["dice", "src/photometry/a.ts", "export const a = Math.random();", ["impure"]],
  ["dice by a computed name", "src/photometry/a.ts", 'export const a = Math["random"]();', ["impure"]],
  ["dice taken out of Math", "src/photometry/a.ts", "const { random, ...rest } = Math;", ["impure"]],
  ["Math under another name", "src/photometry/a.ts", "const m = Math;", ["impure"]],
  ["a clock", "src/setup/a.ts", "export const now = Date.now();", ["impure"]],
  ["a date", "src/setup/a.ts", "export const now = new Date();", ["impure"]],
  ["a date from a number", "src/setup/a.ts", "export const now = new Date(0);", ["impure"]],
  ["a timer", "src/sync/a.ts", "setTimeout(() => {}, 1);", ["impure"]],
  ["the performance clock", "src/solve/a.ts", "export const t = performance.now();", ["impure"]],
  ["the console", "src/solve/a.ts", 'console.log("x");', ["impure"]],
  ["the DOM", "src/drawing/a.ts", "export const t = document.title;", ["impure"]],
  ["the window", "src/drawing/a.ts", "export const w = window.innerWidth;", ["impure"]],
  ["the process", "src/units/a.ts", "export const e = process.env;", ["impure"]],
  ["the network", "src/units/a.ts", 'export const r = fetch("/");', ["impure"]],
  ["the global object behind a cast", "src/units/a.ts", "export const g = (globalThis as any).process;", ["impure"]],
  ["the module's own address", "src/units/a.ts", "export const u = import.meta.url;", ["impure"]],
  ["a types reference", "src/units/a.ts", '/// <reference types="node" />\nexport const a = 1;', ["impure"]],
  ["a file that does not parse", "src/units/a.ts", "export const = ;", ["syntax"]],
];

for (const [name, file, content, rules] of PLANTED) {
  test(`planted and caught: ${name}`, () => {
    assert.deepEqual(rulesIn({ [file]: content }), rules);
  });
}

test("what is allowed passes: downwards, allowed arrows, own names, tests, declared packages", () => {
  const tree = {
    "src/solve/a.ts": 'import { b } from "../units/index.ts";\nexport const c = Math.sqrt(b) + Math.PI;',
    "src/setup/b.ts": 'import { b } from "../photometry/index.ts";\nimport { c } from "./deep/c.ts";',
    "src/setup/c.ts": "export const f = (document: { process: string }) => ({ window: document.process });",
    "src/setup/d.ts": "export interface Window { location: string; fetch: Date }\nexport const t = Date.UTC(2026, 0);",
    "src/setup/e.test.ts": 'import { readFileSync } from "node:fs";\nsetTimeout(() => Math.random(), 1);',
    "src/sync/a.ts": 'import * as Y from "yjs";\nimport { s } from "../setup/index.ts";',
    "src/cli/a.ts": 'import { s } from "../server/index.ts";\nimport "node:fs";\nconsole.log(Date.now());',
    "src/web/a.tsx": 'import "./page.css";\nimport { react } from "known/deep";\ndocument.title = "x";',
    "src/web/b.ts": 'import type { B } from "../store/types.ts";\nimport { s } from "../solve/index.ts";',
    "src/index.ts": 'export * from "./sync/index.ts";\nexport * from "./units/index.ts";',
    "src/node.ts": 'export * from "./store/index.ts";\nexport * from "./server/index.ts";',
  };
  assert.deepEqual(breachesIn(tree).map(printed), []);
});

function rulesIn(tree: Readonly<Record<string, string>>): string[] {
  return breachesIn(tree).map((found) => found.rule);
}

function breachesIn(tree: Readonly<Record<string, string>>): Breach[] {
  const folder = mkdtempSync(join(tmpdir(), "stopwise-floors-"));
  try {
    writeFileSync(join(folder, "package.json"), JSON.stringify({ dependencies: { known: "1.0.0" } }));
    for (const [file, content] of Object.entries(tree)) {
      mkdirSync(dirname(join(folder, file)), { recursive: true });
      writeFileSync(join(folder, file), content);
    }
    return findBreaches(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function printed(found: Breach): string {
  return `${found.file}:${found.line} ${found.rule}: ${found.text}`;
}
