/**
 * The main job on a light that nobody here made: a goniometer report from a public collection of test files
 * (MIT licence) kept beside the repository, planned as a setup's main and checked by hand against the
 * candela written in the file. (Its lamp is a special one, measured in mW/sr: what is checked is the arithmetic.)
 */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import type { Aim, Setup } from "../setup/index.ts";
import { applyEdits } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { createSolver, planDials } from "./index.ts";
import { boxInBlackRoom, lightOf, withLight } from "./testing.ts";

const path = join(import.meta.dirname, "../../../shared/data/photometric_lab_files/B1_module.ies");
const skip = existsSync(path) ? false : "the measured file is not beside the repository";

/** That light 3 m straight before the nose, level, as a lamp over 1/64 s. */
function measuredMain(aim: Aim): Setup {
  const base = boxInBlackRoom();
  const main = lightOf(base, "M");
  const file = { name: "goniometer report", text: readFileSync(path, "utf8"), absolute: true };
  return withLight({ ...base, exposure: { ...base.exposure, shutterS: 1 / 64, iso: 800 } }, "M", {
    head: {
      ...main.head,
      kind: "continuous",
      powerW: 12.6,
      dial: { kind: "below-full", lowestStops: -5, stepStops: 0.1 },
    },
    modifier: {
      ...main.modifier,
      shape: "measured",
      widthM: 0,
      heightM: 0,
      transmission: 1,
      layers: [],
      photometricFile: file,
    },
    place: { kind: "cartesian", xM: 0, yM: 1.25, zM: 3 },
    aim,
    dialStops: 0,
    target: { kind: "under", stops: 4 },
  });
}

const lux = (setup: Setup): number => {
  const place = { point: "nose", receptor: "disc", aim: "light" } as const;
  return createSolver().alone(setup, lightOf(setup, "M").id, place).luxSeconds * 64;
};

// Of the file: multiplier 1.32, ballast factor 1; plane 0: 114 cd at 0°, 99 at 20°; plane 90: 83 at 20°.
const cases: readonly (readonly [string, Aim, number])[] = [
  ["on its axis: 114 × 1.32 cd", { kind: "point", point: "nose" }, 114],
  ["turned 20° aside, plane 90: 83 × 1.32 cd", { kind: "pan-tilt", panDeg: 160, tiltDeg: 0 }, 83],
  ["tilted 20° up, plane 0: 99 × 1.32 cd", { kind: "pan-tilt", panDeg: 180, tiltDeg: 20 }, 99],
];

for (const [name, aim, candela] of cases) {
  test(`a measured main at 3 m reads I/d² by the file's own candela ${name}`, { skip }, () => {
    const expected = (candela * 1.32) / 9;
    const actual = lux(measuredMain(aim));
    assert.ok(Math.abs(actual / expected - 1) < 1e-6, `${actual} lx against ${expected} lx`);
  });
}

test("the dial planned for it brings the predicted reading to its target", { skip }, () => {
  const setup = measuredMain({ kind: "point", point: "nose" });
  const solver = createSolver();
  const light = solver.report(setup).lights[0];
  assert.ok(light);
  // By hand: 16.72 lx over 1/64 s at ISO 800 with C 250 is Av −0.259.
  assert.ok(Math.abs((light.predicted.av ?? 9) - Math.log2((16.72 / 64) * (800 / 250))) < 1e-6);
  const bright = { ...setup, exposure: { ...setup.exposure, apertureAv: 1 } };
  const planned = expectOk(applyEdits(bright, planDials(bright, solver.report(bright).lights)));
  const after = solver.report(planned).lights[0];
  assert.ok(Math.abs((after?.predicted.av ?? 9) - (after?.targetAv ?? 0)) <= 0.05 + 1e-9);
  assert.ok((after?.plan.dialFromStops ?? 0) < -2);
});
