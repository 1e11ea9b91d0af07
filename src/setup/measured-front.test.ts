/** A main whose front is a laboratory's measured file: it survives the document and keeps its candela. */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { test } from "node:test";
import { intensity, parsePhotometricFile } from "../photometry/index.ts";
import { expectOk } from "../units/index.ts";
import { applyEdits, demoSetups, frontOf, type Light, parseSetup, printSetup, type Setup } from "./index.ts";

const file = new URL("../../../shared/data/photometric_lab_files/B1_module.ies", import.meta.url);
const skip = existsSync(file) ? false : "the shared data folder is missing";

test("a measured .ies front keeps its file's candela through edit, print and parse", { skip }, () => {
  const text = readFileSync(file, "utf8");
  const choir = demoSetups()[0] as Setup;
  const main = choir.lights[0] as Light;
  const photometricFile = { name: "module.ies", text, absolute: true };
  const modifier = { ...main.modifier, shape: "measured", photometricFile } as const;
  const edited = expectOk(applyEdits(choir, [{ kind: "light", id: main.id, set: { modifier } }]));
  const read = expectOk(parseSetup(JSON.parse(printSetup(edited))));
  const front = frontOf(read, read.lights[0] as Light);
  assert.equal(front.shape, "measured");
  const web = expectOk(parsePhotometricFile(text, "module.ies"));
  for (const [theta, phi] of [
    [0, 0],
    [20, 0],
    [45, 90],
  ] as const) {
    assert.equal(front.web?.intensity(theta, phi), intensity(web, theta, phi));
  }
  assert.equal(frontOf(read, read.lights[0] as Light).web, front.web, "the file is read once");
});
