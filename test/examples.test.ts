/** The example files: what the kept script makes, readable, marked invented, nothing in them that surprises. */

import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { exampleFiles } from "../scripts/make-examples.ts";
import { parseSetupWithRepairs, printSetup } from "../src/setup/index.ts";
import { chainsOf, predict } from "../src/solve/index.ts";
import { expectOk } from "../src/units/index.ts";

const folder: string = join(import.meta.dirname, "..", "examples");
const made = exampleFiles();

test("examples/ holds exactly what scripts/make-examples.ts makes", () => {
  assert.deepEqual(
    readdirSync(folder)
      .filter((name) => name.endsWith(".json"))
      .sort(),
    [...made.keys()].sort(),
  );
});

for (const [name, text] of made) {
  test(`examples/${name} is as made, needs no repair, is marked invented and is predicted in full`, () => {
    const file = readFileSync(join(folder, name), "utf8");
    assert.equal(file, text, "run node scripts/make-examples.ts");
    const { setup, repairs } = expectOk(parseSetupWithRepairs(JSON.parse(file)));
    assert.deepEqual(repairs, []);
    assert.equal(setup.invented, true);
    assert.equal(printSetup(setup), file);
    const report = predict(setup);
    assert.equal(report.lights.length, setup.lights.length);
    for (const { tag, predicted } of report.lights) {
      assert.ok(predicted.av !== null && Number.isFinite(predicted.av), tag);
      assert.ok(chainsOf(predicted.ledger).length > 0);
    }
  });
}
