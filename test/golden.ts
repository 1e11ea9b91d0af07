/** For tests: a drawing's SVG against the one that is kept. UPDATE=1 writes it anew; look at it before committing. */

import assert from "node:assert/strict";
import { existsSync, readFileSync, writeFileSync } from "node:fs";

const folder = new URL("../fixtures/golden/", import.meta.url);

/** One element to a line, so that a difference shows where it is. */
export function matchesGolden(name: string, svg: string): void {
  const file = new URL(`${name}.svg`, folder);
  const lined = `${svg.replaceAll("><", ">\n<")}\n`;
  if (process.env.UPDATE === "1") writeFileSync(file, lined);
  assert.ok(existsSync(file), `no golden drawing ${name}: run with UPDATE=1 and look at it`);
  assert.equal(lined, readFileSync(file, "utf8"), `${name} changed: if that was wanted, run with UPDATE=1`);
}
