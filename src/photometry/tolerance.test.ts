import assert from "node:assert/strict";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import { addScaled, metres, normalize, scale, stops, subtract } from "../units/index.ts";
import * as x from "./index.ts";
import { near } from "./kit.test.ts";

const O: Vec3 = [0, 0, 0];
const Z: Vec3 = [0, 0, 1];
const [tenth, third] = [stops(0.1), stops(1 / 3)];

test("[P14] [CV50] (D) a point source: 3.5265 and 3.4064 % for a tenth, 12.2462 and 10.9101 % for a third", () => {
  near(100 * x.pointAway(tenth), 3.5265, 5e-4);
  near(100 * x.pointToward(tenth), 3.4064, 5e-4);
  near(100 * x.pointAway(third), 12.2462, 5e-4);
  near(100 * x.pointToward(third), 10.9101, 5e-4);
});

test("[P14] [CV51] (D) disc r 0.475 at 1.2 m: a tenth is 48.819 mm away and 47.412 mm toward, also by bisection", () => {
  near(1000 * x.discAway(0.475, 1.2, tenth), 48.819, 0.005);
  near(1000 * x.discToward(0.475, 1.2, tenth), 47.412, 0.005);
  const disc = x.discFront({ centre: [0, 0, 1.2], normal: [0, 0, -1] }, 0.95);
  const lean = x.leanForChange(disc, O, Z, x.DISC, tenth);
  assert.ok(lean && lean.towardM !== null);
  near(1000 * lean.awayM, 48.819, 0.02);
  near(1000 * lean.towardM, 47.412, 0.02);
});

test("[P14] [CV52] (D) aim: 21.087° and 37.467° for the disc, 29.995° and 54.027° for the dome", () => {
  near(x.turnForChange("disc", tenth), 21.087, 0.002);
  near(x.turnForChange("disc", third), 37.467, 0.002);
  near(x.turnForChange("dome", tenth), 29.995, 0.002);
  near(x.turnForChange("dome", third), 54.027, 0.002);
});

test("[P14] [CV54] (D) 1.5 to 2.1 m loses 0.97085 stop, 3.0 to 3.6 m 0.526", () => {
  near(x.farLoss(1.5, 2.1), 0.97085, 1e-4);
  near(x.farLoss(3, 3.6), 0.526, 5e-4);
});

test("[P14] the real front's lean really changes the reading by the stops asked, gridded and off axis too", () => {
  const front = x.rectangleFront({ centre: [0.7, 0.6, 0.8], normal: [-0.6, -0.5, -0.8] }, 0.3, 1.2, {
    grid: { cellM: 0.05, depthM: 0.05, openFraction: 0.9 },
  });
  for (const receptor of [x.DISC, x.DOME]) {
    const before = x.frontFactor(front, O, Z, receptor);
    const out = normalize(scale(front.centre, -1));
    for (const gain of [-1, -0.1, 0.1, 0.3]) {
      const move = x.moveForGain(front, O, Z, receptor, stops(gain));
      assert.ok(move !== null);
      near(Math.log2(x.frontFactor(front, addScaled(O, out, move), Z, receptor) / before), gain, 1e-6);
    }
  }
});

test("[P14] what cannot be reached is null, not a number", () => {
  const box = x.rectangleFront({ centre: [0, 0, 0.3], normal: [0, 0, -1] }, 2, 2);
  assert.equal(x.moveForGain(box, O, Z, x.DISC, stops(3)), null);
  assert.equal(x.moveForGain(box, [0, 0, 1], Z, x.DISC, stops(1)), null);
  assert.equal(x.leanForChange(box, O, Z, x.DISC, tenth)?.towardM === null, false);
});

test("[P14] (D) group of three at 2.5 m: −0.599, 0, +0.587 stop under a point at 45°", () => {
  const a = Math.PI / 4;
  const lamp = x.bareFront({ centre: [2.5 * Math.sin(a), 0, 2.5 * Math.cos(a)], normal: [0, 0, -1] });
  const read = (at: number): number =>
    Math.log2(x.frontFactor(lamp, [at, 0, 0], normalize(subtract(lamp.centre, [at, 0, 0])), x.DISC));
  near(read(-0.75) - read(0), -0.599, 5e-4);
  near(read(0.75) - read(0), 0.587, 5e-4);
});

test("[P14] (D) the shadow's edge of a 0.95 m front at 1.2 m over 25 mm is 19.8 mm wide", () => {
  near(1000 * x.penumbraWidth(metres(0.95), 0.025, 1.2), 19.79, 0.01);
  near(
    x.discSlope(0.475, 1.2),
    (Math.log2(x.coaxialDisc(0.475, 1.20001)) - Math.log2(x.coaxialDisc(0.475, 1.19999))) / 2e-5,
    1e-5,
  );
});

test("[P14] apparent size: angles, solid angle and elongation of a strip", () => {
  const strip = x.rectangleFront({ centre: [0, 0, 1.2], normal: [0, 0, -1] }, 0.3, 1.2);
  const size = x.apparentSize(strip, O);
  near(size.widthDeg, (2 * Math.atan(0.125) * 180) / Math.PI, 1e-9);
  near(size.heightDeg, (2 * Math.atan(0.5) * 180) / Math.PI, 1e-9);
  near(size.elongation, size.heightDeg / size.widthDeg, 1e-12);
  near(size.solidAngleSr, x.solidAngle(strip.outline, O), 1e-12);
  near(size.sizeOverDistance, Math.sqrt((4 * 0.36) / Math.PI) / 1.2, 1e-12);
});
