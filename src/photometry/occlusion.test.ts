import assert from "node:assert/strict";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import * as x from "./index.ts";
import { near, seeded } from "./kit.test.ts";

const O: Vec3 = [0, 0, 0];
const Z: Vec3 = [0, 0, 1];
const far = x.rectangleFront({ centre: [0, 0, 2], normal: [0, 0, -1] }, 1, 1);
const ball = (centre: Vec3, r: number): x.Occluder => ({
  kind: "ellipsoid",
  centre,
  axes: [
    [r, 0, 0],
    [0, r, 0],
    [0, 0, r],
  ],
});
/** Square flag of half-width w at height z, its middle at x. */
const flag = (z: number, w: number, at = 0): x.Occluder => ({
  kind: "polygon",
  points: [
    [at - w, -w, z],
    [at + w, -w, z],
    [at + w, w, z],
    [at - w, w, z],
  ],
});

test("[P11] a flag half-way hides the front that its shadow covers", () => {
  // At half the distance a half-width of 0.125 covers ±0.25 of the ±0.5 front: closed form of what it hides.
  const hidden = x.rectangleFront({ centre: [0, 0, 2], normal: [0, 0, -1] }, 0.5, 0.5);
  const share = (x.frontFactor(hidden, O, Z, x.DISC) * hidden.areaM2) / (x.frontFactor(far, O, Z, x.DISC) * far.areaM2);
  near(x.shadedFactor(far, O, Z, x.DISC, [flag(1, 0.125)]), 1 - share, 0.007);
  near(x.shadedFactor(far, O, Z, x.DISC, [flag(1, 0.25, 0.25)]), 0.5, 0.007);
});

test("[P11] a ball hides the cone of its outline", () => {
  // Ball r 0.1 at 0.8 m: a disc of radius 2·tan(asin(0.125)) on the front plane.
  const radius = 2 * Math.tan(Math.asin(0.1 / 0.8));
  const hidden = x.coaxialDisc(radius, 2) / (x.frontFactor(far, O, Z, x.DISC) * far.areaM2);
  near(x.shadedFactor(far, O, Z, x.DISC, [ball([0, 0, 0.8], 0.1)]), 1 - hidden, 0.007);
});

test("[P11] a full screen makes dark, nothing in the way costs and changes nothing", () => {
  assert.equal(x.shadedFactor(far, O, Z, x.DISC, [flag(1, 2)]), 0);
  const aside = [ball([1.5, 0, 1], 0.3), flag(-0.5, 3), ball([0, 0, 3], 0.2), flag(2.5, 3)];
  assert.equal(x.shadedFactor(far, O, Z, x.DISC, aside), 1);
});

test("[P11] a skin point is shaded by its own head only where the ray goes inward", () => {
  const head: x.Occluder = {
    kind: "ellipsoid",
    centre: O,
    axes: [
      [0.08, 0, 0],
      [0, 0.11, 0],
      [0, 0, 0.1],
    ],
  };
  assert.equal(x.isBlocked(head, [0, 0, 0.1], [0, 0.5, 2]), false);
  assert.equal(x.isBlocked(head, [0, 0, 0.1], [0, 0, -2]), true);
  assert.equal(x.isBlocked(head, [0, 0, 0.1], [3, 0, 0.1 - 0.001]), true);
  assert.equal(x.isBlocked(head, O, [0, 0, 2]), true);
});

test("[P11] a capsule stops rays that pass nearer than its radius, its ends and its skin included", () => {
  const body: x.Occluder = { kind: "capsule", a: [0, -0.5, 0], b: [0, 0, 0], radiusM: 0.2 };
  assert.equal(x.isBlocked(body, [-1, -0.2, 0.19], [1, -0.2, 0.19]), true);
  assert.equal(x.isBlocked(body, [-1, -0.2, 0.21], [1, -0.2, 0.21]), false);
  assert.equal(x.isBlocked(body, [-1, 0.19, 0], [1, 0.19, 0]), true);
  assert.equal(x.isBlocked(body, [-1, 0.21, 0], [1, 0.21, 0]), false);
  assert.equal(x.isBlocked(body, [0.2, -0.2, 0], [2, 0, 0]), false);
  assert.equal(x.isBlocked(body, [0.2, -0.2, 0], [-2, 0, 0]), true);
});

test("[P11] a flag that touches the meter or the light does not stop its own ray", () => {
  assert.equal(x.isBlocked(flag(0, 1), O, [0, 0, 1]), false);
  assert.equal(x.isBlocked(flag(1, 1), O, [0, 0, 1]), false);
  assert.equal(x.isBlocked(flag(0.5, 1), O, [0, 0, 1]), true);
});

test("[P11] a point source is seen or not, and shading enters the ledger", () => {
  const tube = x.bareFront({ centre: [0, 0, 2], normal: [0, 0, -1] });
  assert.equal(x.frontGain(tube, O, Z, x.DOME, [flag(1, 0.1)]).shading, 0);
  assert.equal(x.frontGain(tube, O, Z, x.DOME, [flag(1, 0.1, 0.3)]).shading, 1);
});

test("[P11] the shaded part agrees with rays to 64 × 64 spots over 60 poses of heads and bodies (seed 11)", () => {
  const random = seeded(11);
  const between = (low: number, high: number): number => low + (high - low) * random();
  let partial = 0;
  for (let k = 0; k < 60; k++) {
    const centre: Vec3 = [between(-1, 1), between(0, 1), between(0.8, 1.5)];
    const front = x.rectangleFront({ centre, normal: [-centre[0], -centre[1], -centre[2]] }, 0.6, 0.9);
    const head: x.Occluder = {
      kind: "ellipsoid",
      centre: [between(-0.4, 0.4), between(-0.2, 0.4), between(-0.1, 0.6)],
      axes: [
        [0.08, 0, 0],
        [0, 0.11, 0],
        [0, 0, 0.1],
      ],
    };
    const arm: x.Occluder = { kind: "capsule", a: [0.1, 0.1, 0.2], b: [between(0, 0.5), 0.3, 0.5], radiusM: 0.05 };
    let all = 0;
    let seen = 0;
    for (const spot of x.patchGrid(front.outline as [Vec3, Vec3, Vec3, Vec3], 64, 64)) {
      const weight = x.frontFactor(spot, O, Z, x.DOME);
      all += weight;
      if (!x.isBlocked(head, O, spot.centre) && !x.isBlocked(arm, O, spot.centre)) seen += weight;
    }
    const ours = x.shadedFactor(front, O, Z, x.DOME, [head, arm]);
    if (ours > 0 && ours < 1) partial++;
    near(ours, seen / all, 0.01, `pose ${k}`);
  }
  assert.ok(partial > 15, `${partial} partial shadows`);
});

test("[P11] a thin pole across the front is not lost between the samples", () => {
  for (const at of [-0.31, -0.07, 0.013, 0.22]) {
    const pole: x.Occluder = { kind: "capsule", a: [at, -2, 1.9], b: [at, 2, 1.9], radiusM: 0.012 };
    const seen = x.shadedFactor(far, O, Z, x.DISC, [pole]);
    near(seen, 1 - 0.025, 0.01, `pole at ${at}`);
  }
});
