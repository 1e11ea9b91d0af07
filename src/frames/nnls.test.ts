import assert from "node:assert/strict";
import { test } from "node:test";
import { boundedLeastSquares } from "../solve/index.ts";
import { seededRandom } from "./camera-model.ts";
import { addRow, type Gram, newGram, sigmasOf, solveBounded, squaresOf } from "./nnls.ts";

const gramOf = (a: readonly (readonly number[])[], b: readonly number[]): Gram => {
  const gram = newGram(a[0]?.length ?? 0);
  a.forEach((row, i) => {
    addRow(gram, row, b[i] as number);
  });
  return gram;
};

test("[CV90] (D) two lights at four patches: half the first, all of the second", () => {
  const x = solveBounded(
    gramOf(
      [
        [800, 100],
        [400, 100],
        [100, 50],
        [50, 40],
      ],
      [500, 300, 100, 65],
    ),
  );
  assert.ok(Math.abs((x[0] as number) - 0.5) < 1e-6 && Math.abs((x[1] as number) - 1) < 1e-6, `${x}`);
});

test("[CV91] (D) a light that would have to be negative stands at 0", () => {
  const gram = gramOf(
    [
      [1, 0.5],
      [0.5, 1],
    ],
    [1, 0.2],
  );
  const x = solveBounded(gram);
  assert.ok(Math.abs((x[0] as number) - 0.88) < 1e-6 && x[1] === 0, `${x}`);
  assert.ok(Math.abs(Math.sqrt(squaresOf(gram, x)) - 0.268328) < 1e-6);
});

for (let seed = 1; seed <= 20; seed++) {
  test(`bounds of both kinds: the same as the active-set solver of the solve room (seed ${seed})`, () => {
    const random = seededRandom(seed);
    const n = 2 + (seed % 6);
    const a = Array.from({ length: 4 * n }, () => Array.from({ length: n }, () => random.uniform() ** 3));
    const b = a.map((row) => row.reduce((sum, v, j) => sum + v * (j % 3 === 0 ? -0.3 : j), 0) + 0.1 * random.normal());
    const [low, high] = [new Array<number>(n).fill(0), new Array<number>(n).fill(2.5)];
    const [x, wanted] = [solveBounded(gramOf(a, b), low, high), boundedLeastSquares(a, b, low, high)];
    wanted.forEach((value, i) => {
      assert.ok(Math.abs((x[i] as number) - value) < 1e-6, `${[...x]} for ${wanted}`);
    });
  });
}

test("standard deviations are those of a straight repetition (seed 11)", () => {
  const random = seededRandom(11);
  const a = [
    [3, 1],
    [1, 2],
    [2, 2],
    [1, 0.2],
  ];
  const sigma = sigmasOf(gramOf(a, [0, 0, 0, 0]));
  const squares = [0, 0];
  for (let k = 0; k < 4000; k++) {
    const x = solveBounded(
      gramOf(
        a,
        a.map(() => random.normal()),
      ),
      [-1e9, -1e9],
    );
    for (const i of [0, 1]) squares[i] = (squares[i] as number) + (x[i] as number) ** 2 / 4000;
  }
  for (const i of [0, 1]) assert.ok(Math.abs(Math.sqrt(squares[i] as number) / (sigma[i] as number) - 1) < 0.05);
});
