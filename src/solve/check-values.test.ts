import assert from "node:assert/strict";
import { test } from "node:test";
import { Matrix, solve } from "ml-matrix";
import { apparentSolidAngle, configurationFactor, octagonFront } from "../photometry/index.ts";
import type { DialScale } from "../units/index.ts";
import { expectOk } from "../units/index.ts";
import {
  angleOfViewDeg,
  boundedLeastSquares,
  closeUpLossStops,
  depthOfField,
  distanceForFieldMm,
  distanceOfSameSolidAngle,
  fitLine,
  fitOutput,
  glintOf,
  lensRadiusMm,
  mirrored,
  normalSpreadDeg,
  noseShadow,
  offsetForTone,
  perspectiveRatio,
  planTogether,
  predictLight,
  similarityStops,
  substitutionStops,
  toneOf,
} from "./index.ts";
import { READING_SIGMA_STOPS } from "./light-rows.ts";
import { boxInBlackRoom } from "./testing.ts";

const near = (actual: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not within ${tolerance} of ${expected}`);

test("[CV29] (D) the full chain through a setup: disc to the light gives 311.750 lx·s, Av 6.9623", () => {
  const setup = boxInBlackRoom();
  const predicted = expectOk(
    predictLight(setup, setup.lights[0]?.id ?? "", { point: "nose", receptor: "disc", aim: "light" }),
  );
  near(predicted.luxSeconds, 311.75, 0.05);
  near(predicted.av ?? Number.NaN, 6.9623, 0.001);
});

test("[CV30] (D) the full chain through a setup: dome to the camera, C 340, gives 251.029 lx·s, Av 6.2062", () => {
  const setup = boxInBlackRoom();
  const predicted = expectOk(
    predictLight(setup, setup.lights[0]?.id ?? "", { point: "nose", receptor: "dome", aim: "camera" }),
  );
  near(predicted.luxSeconds, 251.029, 0.05);
  near(predicted.av ?? Number.NaN, 6.2062, 0.001);
});

test("[CV63] (D) backdrop offsets: 0.87 to 1, 0.045 to 0.18, 0.87 to 0.01, and back to the tone", () => {
  near(offsetForTone(1, 0.87), 0.2009, 0.0005);
  near(offsetForTone(0.18, 0.045), 2, 0.0005);
  near(offsetForTone(0.01, 0.87), -6.4429, 0.0005);
  near(toneOf(0.87, 5 + offsetForTone(0.4, 0.87), 5), 0.4, 1e-12);
});

test("[CV64] (D) nose shadow of a 20 mm tip at 45°/35° falls 20 mm aside and 19.8049 mm down", () => {
  const shadow = noseShadow(45, 35, 20);
  near(shadow?.xMm ?? Number.NaN, -20, 0.001);
  near(shadow?.yMm ?? Number.NaN, -19.8049, 0.001);
  // Domain table of the same section.
  for (const [a, e, x, y] of [
    [30, 30, -11.5, -13.3],
    [0, 40, 0, -16.8],
    [60, 35, -34.6, -28],
  ] as const) {
    near(noseShadow(a, e, 20)?.xMm ?? Number.NaN, x, 0.06);
    near(noseShadow(a, e, 20)?.yMm ?? Number.NaN, y, 0.06);
  }
  assert.equal(noseShadow(120, 10), null);
});

const direction = (azimuth: number, elevation: number, distance: number): [number, number, number] => {
  const [a, e] = [(azimuth * Math.PI) / 180, (elevation * Math.PI) / 180];
  return [distance * Math.sin(a) * Math.cos(e), distance * Math.sin(e), distance * Math.cos(a) * Math.cos(e)];
};

test("[CV65] (S: cornea radius 7.80 mm, first mirror image) a far light at 45°/35° glints at 2.5422, 2.5174 mm, 1.5094 h", () => {
  const glint = glintOf([0, 0, 0], direction(45, 35, 1e6), [0, 0, 1e6]);
  near(glint.xMm, 2.5422, 0.0005);
  near(glint.yMm, 2.5174, 0.0005);
  near(glint.clock, 1.5094, 0.0005);
});

test("[CV66] (S: cornea radius 7.80 mm, first mirror image) a far light at 90°/0° glints at 5.5154 mm", () => {
  near(glintOf([0, 0, 0], direction(90, 0, 1e6), [0, 0, 1e6]).xMm, 5.5154, 0.0005);
});

test("[CV67] (D) a 100 mm disc at 1.2 m on axis with the lens at 2 m is 0.3252 mm wide in the eye", () => {
  const edge = (x: number): number => glintOf([0, 0, 0], [x, 0, 1.2], [0, 0, 2]).xMm;
  near(edge(0.05) - edge(-0.05), 0.3252, 0.001);
});

test("[CV68] (D) a flat lens tilted 8° sends the camera ray to −16° elevation", () => {
  const tilt = (8 * Math.PI) / 180;
  const [, y, z] = mirrored([0, 0, 1], [0, -Math.sin(tilt), Math.cos(tilt)]);
  near((Math.atan2(y, z) * 180) / Math.PI, -16, 1e-9);
});

test("[CV69] (D) a lens of 88 mm, half height 18, tilt 8° mirrors the camera up to 7.606° at its top", () => {
  near(-16 + 2 * normalSpreadDeg(18, 88), 7.606, 0.005);
  // Base curve 6 dioptres with the tool index 1.53 is such a lens.
  near(lensRadiusMm(6), 88.3, 0.05);
});

test("[CV70] (M: Ray, Applied Photographic Optics) 36 mm behind 50 mm sees 39.598°", () => {
  near(angleOfViewDeg(36, 50), 39.598, 0.001);
});

test("[CV71] (M: Ray, Applied Photographic Optics) 85 mm frames 600 mm on a 36 mm side from 1501.667 mm", () => {
  near(distanceForFieldMm(36, 85, 600), 1501.667, 0.001);
});

test("[CV72] (D) depth of field at 85 mm, f/8, 0.03 mm, 1500 mm, held against the blur disc itself", () => {
  const depth = depthOfField(85, 8, 0.03, 1500);
  near(depth.hyperfocalMm, 30189.17, 0.01);
  near(depth.nearMm, 1432.66, 0.01);
  near(depth.farMm ?? Number.NaN, 1573.98, 0.01);
  // Blur of a point at u with the lens focused at d: f²·|u − d|/(N·u·(d − f)).
  for (const u of [depth.nearMm, depth.farMm ?? Number.NaN]) {
    near((85 * 85 * Math.abs(u - 1500)) / (8 * u * (1500 - 85)), 0.03, 1e-9);
  }
  assert.equal(depthOfField(85, 8, 0.03, 40000).farMm, null);
});

test("the published example of a 50 mm lens at f/8, c 0.03 mm: hyperfocal 10 467 mm, sharp from half of it (M: an encyclopaedia's article on hyperfocal distance)", () => {
  const { hyperfocalMm, nearMm, farMm } = depthOfField(50, 8, 0.03, 10_467);
  near(hyperfocalMm, 10_467, 0.5);
  near(nearMm, 10_467 / 2, 1);
  assert.equal(farMm, null);
});

test("[CV73] (M: Ray, Applied Photographic Optics) close up at 1:4 a symmetrical lens loses 0.64386 stop", () => {
  near(closeUpLossStops(0.25), 0.64386, 0.0001);
});

test("[CV74] (D) at 1.5 m the nose is drawn 1.08 times as large as the plane of the ears", () => {
  near(perspectiveRatio(1.5), 1.08, 1e-9);
});

const TENTHS: DialScale = { kind: "below-full", lowestStops: -8, stepStops: 0.1 };
const H = [
  [1200, 90, 30],
  [150, 600, 20],
  [40, 25, 400],
];

test("[CV92] (D) three dials for three readings together, then in tenths −3.0, −5.1, −2.4", () => {
  const plan = expectOk(planTogether(H, [160, 40, 80], [TENTHS, TENTHS, TENTHS]));
  [-2.98244, -5.11533, -2.43017].forEach((expected, k) => {
    near(plan.exactStops[k] as number, expected, 0.0001);
  });
  // The reference library's own solution of the square system.
  const reference = solve(new Matrix(H), Matrix.columnVector([160, 40, 80])).to1DArray();
  reference.forEach((x, k) => {
    near(plan.exactStops[k] as number, Math.log2(x), 1e-9);
  });
  assert.deepEqual(
    plan.dialStops.map((dial) => Math.round(dial * 10)),
    [-30, -51, -24],
  );
  [-0.015, 0.001, 0.027].forEach((expected, j) => {
    near(plan.residualStops[j] as number, expected, 0.001);
  });
});

test("[CV90] (D) and [CV91] (D) least squares inside bounds, the free case held against ml-matrix", () => {
  const a = [
    [800, 100],
    [400, 100],
    [100, 50],
    [50, 40],
  ];
  const zero = [0, 0];
  const open = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const free = boundedLeastSquares(a, [500, 300, 100, 65], zero, open);
  near(free[0] as number, 0.5, 1e-6);
  near(free[1] as number, 1, 1e-6);
  const reference = solve(new Matrix(a), Matrix.columnVector([500, 300, 100, 65]), true).to1DArray();
  near(free[0] as number, reference[0] as number, 1e-9);
  const b = [
    [1, 0.5],
    [0.5, 1],
  ];
  const bound = boundedLeastSquares(b, [1, 0.2], zero, open);
  near(bound[0] as number, 0.88, 1e-6);
  near(bound[1] as number, 0, 1e-6);
  const residual = b.map(
    (row, i) =>
      (row[0] as number) * (bound[0] as number) + (row[1] as number) * (bound[1] as number) - ([1, 0.2][i] as number),
  );
  near(Math.hypot(...residual), 0.268328, 1e-6);
});

test("[CV93] (D) exact readings give back I 800 cd·s and r 0.45 m", () => {
  const readings = [0.8, 1.2, 1.8, 2.5].map((distanceM) => ({
    distanceM,
    luxSeconds: 800 / (distanceM ** 2 + 0.45 ** 2),
  }));
  const fit = fitOutput(readings);
  near(fit?.intensity ?? Number.NaN, 800, 0.001);
  near(fit?.radiusM ?? Number.NaN, 0.45, 0.001);
});

test("[CV94] (D) readings rounded to tenths give I 773.544 and r 0.396829, held against ml-matrix", () => {
  const distances = [0.8, 1.2, 1.8, 2.5];
  const exposures = [8.6, 7.6, 6.5, 5.6].map((av) => 2.5 * 2 ** av);
  const fit = fitOutput(distances.map((distanceM, i) => ({ distanceM, luxSeconds: exposures[i] as number })));
  near(fit?.intensity ?? Number.NaN, 773.544, 0.05);
  near(fit?.radiusM ?? Number.NaN, 0.396829, 0.0005);
  const rows = distances.map((d, i) => [exposures[i] as number, (exposures[i] as number) * d * d]);
  const reference = solve(new Matrix(rows), Matrix.columnVector([1, 1, 1, 1]), true).to1DArray();
  near(fit?.intensity ?? Number.NaN, 1 / (reference[1] as number), 1e-6);
  assert.equal(fitLine([1, 1], [2, 3], [1, 1]), null);
});

test("[CV95] (D) a setup half as large again needs 1.16993 stops more", () => {
  near(similarityStops(1.5), 1.16993, 0.0001);
});

test("[CV96] (D) an octagon of circumradius 0.6 keeps the solid angle at 1.44 m and needs 0.52607 stop", () => {
  const at = (size: number, d: number) =>
    octagonFront({ centre: [0, 0, d], normal: [0, 0, -1] }, size, "across-corners");
  const [small, large] = [at(1, 1.2), at(1.2, 1.44)];
  near(distanceOfSameSolidAngle(1.2, small.areaM2, large.areaM2), 1.44, 1e-9);
  near(apparentSolidAngle(large, [0, 0, 0]), 0.439989, 1e-6);
  near(apparentSolidAngle(small, [0, 0, 0]), 0.439989, 1e-6);
  near(
    configurationFactor(large.outline, [0, 0, 0], [0, 0, 1]),
    configurationFactor(small.outline, [0, 0, 0], [0, 0, 1]),
    1e-9,
  );
  near(substitutionStops(small.areaM2, large.areaM2), 0.52607, 0.0001);
});

test("[CV97] (D) the error budget of a rebuild without re-metering is 0.0997 stop", () => {
  const budget = [0.1 / Math.sqrt(12), 0.03, 0.05, ((2 / Math.LN2) * 0.02) / 1.2, 0.03, 0.05];
  near(Math.hypot(...budget), 0.0997, 0.0005);
  // Of these a reading alone keeps the first two; the ledger's calibration row uses that figure.
  near(READING_SIGMA_STOPS, Math.hypot(budget[0] as number, budget[1] as number), 1e-12);
});
