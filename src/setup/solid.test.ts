/** Gaps between solids against boxes and balls whose gaps are known by arithmetic, and a boom's counterweight. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import type { Vec3 } from "../units/index.ts";
import { demoSetups } from "./index.ts";
import { lightBody } from "./light-body.ts";
import { gapM, solid } from "./solid.ts";
import { clashFaults } from "./standing-things.ts";
import { bagNeedKg, counterweightKg } from "./steadiness.ts";
import type { Light, Setup } from "./types.ts";

const near = (is: number, wanted: number, by = 1e-6): void =>
  assert.ok(Math.abs(is - wanted) <= by, `${is} instead of ${wanted}`);

test("the gap of two balls, of a tube and a ball, and of a ball in a box", () => {
  near(gapM(solid([[0, 0, 0]], 0.5), solid([[0, 3, 4]], 1)), 3.5);
  const tube = solid(
    [
      [-1, 0, 0],
      [1, 0, 0],
    ],
    0.1,
  );
  near(gapM(tube, solid([[0.3, 0.7, 0]], 0.2)), 0.4);
  const box = solid([0, 1].flatMap((x) => [0, 1].flatMap((y) => [0, 1].map((z): Vec3 => [x, y, z]))));
  assert.ok(gapM(box, solid([[0.5, 0.5, 0.5]], 0.1)) < 0);
  assert.throws(() => solid([]), RangeError);
});

const corner = fc.tuple(...[0, 1, 2].map(() => fc.double({ min: 0, max: 4, noNaN: true })));
const sides = fc.tuple(...[0, 1, 2].map(() => fc.double({ min: 0.01, max: 2, noNaN: true })));
const angle = fc.double({ min: 0, max: 6.28, noNaN: true });

test("the gap of two boxes turned together is the gap of their sides (seed 1988)", () => {
  fc.assert(
    fc.property(corner, sides, corner, sides, angle, angle, (a, sa, b, sb, spin, tip) => {
      const turned = (low: readonly number[], side: readonly number[]): readonly Vec3[] =>
        [0, 1].flatMap((i) =>
          [0, 1].flatMap((j) =>
            [0, 1].map((k): Vec3 => {
              const [x, y, z] = [i, j, k].map((f, at) => (low[at] as number) + f * (side[at] as number)) as [
                number,
                number,
                number,
              ];
              const [u, v] = [x * Math.cos(spin) - y * Math.sin(spin), x * Math.sin(spin) + y * Math.cos(spin)];
              return [u, v * Math.cos(tip) - z * Math.sin(tip), v * Math.sin(tip) + z * Math.cos(tip)];
            }),
          ),
        );
      const apart = [0, 1, 2].map((at) => {
        const [a0, b0] = [a[at] as number, b[at] as number];
        return Math.max(0, a0 - b0 - (sb[at] as number), b0 - a0 - (sa[at] as number));
      });
      near(Math.max(0, gapM(solid(turned(a, sa)), solid(turned(b, sb)))), Math.hypot(...apart), 1e-5);
    }),
    { seed: 1988, numRuns: 1000 },
  );
});

const choir = demoSetups()[0] as Setup;
const hair = choir.lights.find(({ tag }) => tag === "H") as Light;

test("[CV98] (D) 4 kg at 1.5 m, arm 2.5 kg with its middle 0.3 m to the load, tail 0.8 m: 8.4375 kg, to a tenth 8.4", () => {
  // An even arm has its middle at (reach − tail)/2 = 0.35 m: its mass is set so that its moment is the example's.
  const support = { ...hair.support, boomTailM: 0.8, boomArmKg: (2.5 * 0.3) / 0.35 };
  const light = { head: { ...hair.head, massKg: 3 }, modifier: { ...hair.modifier, massKg: 1 }, support };
  assert.equal(counterweightKg(light, 1.5), 8.4);
});

test("a bag makes a boom stand steady, a wider foot wants less, and a light on the ceiling none", () => {
  const need = (light: Light): number => bagNeedKg(light, lightBody(choir, light)) ?? Number.POSITIVE_INFINITY;
  const bare = need(hair);
  assert.ok(bare > 5 && bare < 20, `${bare}`);
  assert.ok(need({ ...hair, support: { ...hair.support, footRadiusM: 0.7 } }) < bare);
  assert.equal(need({ ...hair, support: { ...hair.support, kind: "ceiling" } }), 0);
});

test("[S54] the demo book stands clear; a boom whose arm is swung into the edge light is named", () => {
  for (const setup of demoSetups()) assert.deepEqual(clashFaults(setup), [], setup.title);
  const edge = lightBody(choir, choir.lights[2] as Light).bracket;
  const load = lightBody(choir, hair).bracket;
  const boom = hair.rig.boom as NonNullable<Light["rig"]["boom"]>;
  const swung = { ...boom, standXM: (edge[0] + load[0]) / 2, standZM: (edge[2] + load[2]) / 2, pivotHeightM: 1.7 };
  const lights = choir.lights.map((light) => (light === hair ? { ...hair, rig: { ...hair.rig, boom: swung } } : light));
  const named = clashFaults({ ...choir, lights }).map(({ what }) => what);
  assert.ok(named.includes("H stands in E"), named.join("; "));
});
