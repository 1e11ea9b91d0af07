/** The check values of the handbook's safety section, and worked figures of standards. */

import assert from "node:assert/strict";
import { test } from "node:test";
import {
  boomBalance,
  capacitorEnergy,
  chargingPowerFactor,
  circuitLoad,
  counterweightAtM,
  dischargeTime,
  dropEnergy,
  edgeFactor,
  flashRate,
  footReachM,
  rechargePower,
  type Stand,
  sandbagFor,
  standTipping,
  windPushN,
} from "./index.ts";

const near = (value: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(value - expected) <= tolerance, `${value} is not ${expected} ± ${tolerance}`);

const lever = { loadKg: 4, loadM: 1.5, armKg: 2.5, armCentreM: 0.3, tailM: 0.8 };

test("[C3] [CV98] (D) 4 kg at 1.5 m with an arm of 2.5 kg at 0.3 m balance 8.4375 kg at 0.8 m", () => {
  near(boomBalance(lever).counterweightKg, 8.4375, 1e-6);
});

test("[C3] a boom in balance has no moment left, and a heavier weight goes farther in", () => {
  near(boomBalance(lever, 8.4375).excessKgM, 0, 1e-9);
  const at = counterweightAtM(lever, 10) ?? Number.NaN;
  near(10 * at, 8.4375 * 0.8, 1e-9);
  assert.equal(counterweightAtM(lever, 8), null);
  assert.throws(() => boomBalance({ ...lever, tailM: 0 }), RangeError);
});

test("[C1] [CV99] (D) the tipping edge of three legs lies at 0.5 R, of four at 0.7071 R", () => {
  near(edgeFactor(3), 0.5, 1e-6);
  near(edgeFactor(4), Math.SQRT1_2, 1e-6);
  assert.throws(() => edgeFactor(2), RangeError);
});

test("[C1] toward a foot the foot reaches R, between two feet R·cos(π/n)", () => {
  near(footReachM(3, 0.6, 0), 0.6, 1e-9);
  near(footReachM(3, 0.6, 60), 0.3, 1e-9);
  near(footReachM(3, 0.6, -120), 0.6, 1e-9);
});

/** 24.5 kg with a moment of 1.95 kg·m toward +Z at 1.7 m, on a tripod of 0.6 m with an edge toward the load. */
const example = (legAzimuthDeg: number, bagKg = 0): Stand => ({
  legs: 3,
  footRadiusM: 0.6,
  legAzimuthDeg,
  masses: [
    { massKg: 24.5, xM: 0, zM: 1.95 / 24.5, heightM: 1.7 },
    { massKg: bagKg, xM: 0, zM: 0, heightM: 0.15 },
  ],
});

test("[C1] [CV100] (D) critical tilt bare 7.387°, with a bag of 10 kg 11.016°, a leg under the load 17.021°", () => {
  near(standTipping(example(60)).worst.tiltDeg, 7.387, 0.002);
  near(standTipping(example(60)).alongLoad.tiltDeg, 7.387, 0.002);
  near(standTipping(example(60, 10)).worst.tiltDeg, 11.016, 0.002);
  near(standTipping(example(0)).alongLoad.tiltDeg, 17.021, 0.002);
});

test("[C1] [CV101] (D) push at 1.6 m bare 33.109 N, with the bag 51.503 N", () => {
  near(standTipping(example(60)).worst.pushN, 33.109, 0.005);
  near(standTipping(example(60, 10)).worst.pushN, 51.503, 0.005);
});

test("[C1] with a leg under the load the edges beside it are the worst way, and better than before", () => {
  const { worst, alongLoad } = standTipping(example(0));
  near(worst.marginM, 0.3 - (1.95 / 24.5) * Math.cos(Math.PI / 3), 1e-9);
  assert.ok(worst.tiltDeg > standTipping(example(60)).worst.tiltDeg && worst.tiltDeg < alongLoad.tiltDeg);
});

test("[C1] the margin found edge by edge is the least over all ways to fall, searched every tenth of a degree", () => {
  for (const azimuth of [0, 13, 37, 60, 101]) {
    const stand = example(azimuth);
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 3600; i++) {
      const a = (i * Math.PI) / 1800;
      // Support of the foot's corners along a direction, less the centre of mass along it.
      const corners = [0, 120, 240].map((k) => 0.6 * Math.cos(a - ((azimuth + k) * Math.PI) / 180));
      least = Math.min(least, Math.max(...corners) - (1.95 / 24.5) * Math.cos(a));
    }
    near(standTipping(stand).worst.marginM, least, 1e-4);
  }
});

test("[C2] the smallest bag reaches 10° and 50 N, ten grams less do not", () => {
  const stand = example(60);
  const goal = { tiltDeg: 10, pushN: 50, pushAtM: 1.6 };
  const bagKg = sandbagFor(stand, goal) ?? Number.NaN;
  const push = (kg: number): number => standTipping(example(60, kg)).worst.pushN;
  assert.ok(push(bagKg) >= 50 && push(bagKg - 0.01) < 50, `${bagKg} kg`);
  assert.equal(sandbagFor(example(60, 40), goal), 0);
  assert.equal(sandbagFor({ ...stand, footRadiusM: 0.01 }, goal), null);
});

test("[C2] wind of 5 m/s on a square metre pushes with 18 N (fluid mechanics, C_d 1.2)", () =>
  near(windPushN(5, 1), 18.4, 0.1));

test("[C7] [CV102] (S) NEC 210.19(A), 210.20(A): 80 % of 15 A at 120 V is 1440 W, of 20 A 1920 W", () => {
  near(circuitLoad({ volts: 120, amps: 15 }, []).lastingW, 1440, 1e-9);
  near(circuitLoad({ volts: 120, amps: 20 }, []).lastingW, 1920, 1e-9);
});

test("[C7] 16, 13 and 10 A at 230 V carry 3680, 2990 and 2300 W", () => {
  const rating = (amps: number): number => circuitLoad({ volts: 230, amps }, []).ratingW;
  assert.deepEqual([rating(16), rating(13), rating(10)], [3680, 2990, 2300]);
});

test("[C7] 500 Ws in 1.2 s at 0.75 draw 556 W, 7.1 A at 120 V with a power factor of 0.65 (common practice)", () => {
  const powerW = rechargePower(500, 1.2);
  near(powerW, 556, 0.5);
  near(circuitLoad({ volts: 120, amps: 15 }, [{ powerW, powerFactor: chargingPowerFactor }]).currentA, 7.1, 0.05);
});

test("[C9] [CV103] (D) 2000 µF at 400 V hold 160 J and take 379.424 s through 100 kΩ down to 60 V", () => {
  near(capacitorEnergy(2000e-6, 400), 160, 1e-9);
  near(dischargeTime(2000e-6, 100e3, 400, 60), 379.424, 0.001);
});

test("[C4] [CV104] (D) 5 kg dropped 0.15 m: 7.3575 J (fall in a bond: a trade body's 150 mm; IEC 60598-2-17, cl. 17.6.6)", () => {
  near(dropEnergy(5, 0.15), 7.3575, 1e-6);
});

test("[C10] pops come as fast as the head recycles, faster when turned down", () => {
  assert.equal(flashRate(1, 1, 0), 1);
  assert.equal(flashRate(8, 1, 0), 2);
  assert.equal(flashRate(8, 1, -2), 5);
  assert.equal(flashRate(3, 1, -5), 3);
  assert.equal(flashRate(4, 0, 0), 4);
});
