/** One hair and a surface of hairs: energy, sampling, and what the published melanin values look like. */

import assert from "node:assert/strict";
import test from "node:test";
import { type Fibre, fibreDirection, fibreValue, makeFibre, sampleFibre, scaledBessel0 } from "./fibre.ts";
import { fibreMean, fibreTable } from "./fibre-table.ts";
import { sobolSample } from "./random.ts";
import { walkStrands } from "./strands.ts";
import { luminanceOf } from "./sums.ts";

/** σ of melanin per unit of concentration, rgb (d'Eon et al. 2011, as Chiang et al. 2016 use them; from memory). */
const melanin = (eumelanin: number): [number, number, number] => [
  0.419 * eumelanin,
  0.697 * eumelanin,
  1.37 * eumelanin,
];
const none = new Float32Array(0);
const clear = makeFibre([0, 0, 0], 0.3, 0.3, 2, 1.55);
const brown = makeFibre(melanin(1.3), 0.3, 0.3, 2, 1.55);

for (const [name, fibre] of [
  ["clear", clear],
  ["brown", brown],
] as const) {
  test(`drawn directions of a ${name} fibre carry what an even sum over the sphere finds, within 1 % (seed 1)`, () => {
    for (const [o, h] of [
      [[0.1, 0, 0.995], 0.2],
      [[0.6, 0, 0.8], -0.5],
    ] as const) {
      const even = evenSum(fibre, o, h);
      const drawn = drawnSum(fibre, o, h);
      for (let c = 0; c < 3; c++) {
        assert.ok(Math.abs((drawn[c] as number) / (even[c] as number) - 1) < 0.01, `${drawn[c]} ${even[c]}`);
      }
    }
  });
}

test("the Bessel function is its own power series, within 1e-6 of it (Abramowitz & Stegun 9.6.12)", () => {
  for (const x of [0, 0.5, 3, 3.74, 3.76, 8, 20]) {
    let [sum, term] = [0, 1];
    for (let i = 1; i < 80; i++) {
      sum += term;
      term *= (x * x) / (4 * i * i);
    }
    assert.ok(Math.abs((scaledBessel0(x) * Math.exp(x)) / sum - 1) < 1e-6, `${x}`);
  }
});

test("from afar a fibre gives the mean over its offsets, within 3 % of the brightest direction", () => {
  const table = fibreTable(brown);
  const [mean, value] = [new Float64Array(3), new Float64Array(3)];
  let [most, worst] = [0, 0];
  for (const o of [
    [0.05, 0, 0.99875],
    [0.5, 0.3, 0.812],
    [-0.8, 0.6, 0],
  ] as [number, number, number][]) {
    for (let k = 0; k < 200; k++) {
      const x = -0.95 + (1.9 * (k % 20)) / 19;
      const turn = (2 * Math.PI * Math.floor(k / 20)) / 10;
      const across = Math.sqrt(1 - x * x);
      const i: [number, number, number] = [x, across * Math.cos(turn), across * Math.sin(turn)];
      let even = 0;
      for (let n = 0; n < 512; n++) {
        fibreValue(brown, ...i, ...o, (2 * (n + 0.5)) / 512 - 1, value);
        even += (value[1] as number) / 512;
      }
      fibreMean(brown, table, 0, ...i, ...o, mean);
      most = Math.max(most, even);
      worst = Math.max(worst, Math.abs((mean[1] as number) - even));
    }
  }
  assert.ok(worst < 0.03 * most, `${worst} of ${most}`);
});

test("a fibre that absorbs nothing sends back all light: albedo 1 within 1 %", () => {
  for (const h of [-0.8, -0.3, 0, 0.5, 0.9]) {
    assert.ok(Math.abs((evenSum(clear, [0.3, 0, 0.954], h)[1] as number) - 1) < 0.01);
  }
});

test("a surface of hairs in a uniform field never sends back more than it gets, and melanin darkens it (seeds 1000 to 4999)", () => {
  // Walks end after 256 meetings, so hairs without any absorption lose the longest ways.
  const white = strandsAlbedo(clear);
  assert.ok(white > 0.8 && white <= 1.001, `${white}`);
  const [black, dark, fair] = [8, 1.3, 0.3].map((eumelanin) =>
    strandsAlbedo(makeFibre(melanin(eumelanin), 0.3, 0.3, 2, 1.55)),
  ) as [number, number, number];
  assert.ok(black < dark && dark < fair && fair < 1, `${black} ${dark} ${fair}`);
});

function evenSum(fibre: Fibre, o: readonly [number, number, number], h: number): number[] {
  const sum = [0, 0, 0];
  const value = new Float64Array(3);
  const [rows, columns] = [200, 400];
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) {
      const x = -1 + (2 * (i + 0.5)) / rows;
      const phi = (2 * Math.PI * (j + 0.5)) / columns;
      const r = Math.sqrt(1 - x * x);
      fibreValue(fibre, x, r * Math.cos(phi), r * Math.sin(phi), ...o, h, value);
      for (let c = 0; c < 3; c++) sum[c] = (sum[c] as number) + ((value[c] as number) * 4 * Math.PI) / (rows * columns);
    }
  }
  return sum;
}

function drawnSum(fibre: Fibre, o: readonly [number, number, number], h: number): number[] {
  const sum = [0, 0, 0];
  const weight = new Float64Array(3);
  const count = 4096;
  for (let i = 0; i < count; i++) {
    const u = [0, 1, 2, 3].map((d) => sobolSample(i, d, 1)) as [number, number, number, number];
    sampleFibre(fibre, ...o, h, ...u, weight);
    assert.ok(Math.abs(Math.hypot(fibreDirection.x, fibreDirection.y, fibreDirection.z) - 1) < 1e-6);
    for (let c = 0; c < 3; c++) sum[c] = (sum[c] as number) + (weight[c] as number) / count;
  }
  return sum;
}

/** Luminance out of a surface of strands in a uniform field, seen 30° off its normal across the strands. */
function strandsAlbedo(fibre: Fibre): number {
  const exit = { x: 0, y: 0, z: 0, throughput: new Float64Array(3) };
  let sum = 0;
  const count = 4000;
  for (let i = 0; i < count; i++) {
    if (!walkStrands(fibre, none, 0, 0, 0.5, 0.866, 0, 0, 1, [], new Float64Array(0), exit, 1000 + i)) continue;
    sum += luminanceOf(exit.throughput[0] as number, exit.throughput[1] as number, exit.throughput[2] as number);
  }
  return sum / count;
}
