/** The random numbers: range, distribution, and that any order of asking gives the same ones. */

import assert from "node:assert/strict";
import test from "node:test";
import { pcgHash, reverseBits, sobolSample, sobolWord, unitOf } from "./random.ts";

test("the first Sobol points in four dimensions are the published ones (Joe & Kuo 2008, from memory)", () => {
  // 0; ½ in all; then ¾ and ¼ in the order of each dimension's direction numbers.
  const points = [0, 1, 2, 3].map((i) => [0, 1, 2, 3].map((axis) => sobolWord(i, axis) / 2 ** 32));
  assert.deepEqual(points[0], [0, 0, 0, 0]);
  assert.deepEqual(points[1], [0.5, 0.5, 0.5, 0.5]);
  assert.deepEqual(points[2], [0.25, 0.75, 0.75, 0.75]);
  assert.deepEqual(points[3], [0.75, 0.25, 0.25, 0.25]);
});

test("bits turned round twice are the bits, and the hash of a word is a word", () => {
  for (const word of [0, 1, 0x80000000, 0xdeadbeef, 0xffffffff]) {
    assert.equal(reverseBits(reverseBits(word)), word);
    const hash = pcgHash(word);
    assert.ok(Number.isInteger(hash) && hash >= 0 && hash < 2 ** 32);
  }
});

test("every run of 2^k scrambled samples fills each of 2^k slices of each dimension once (seeds 1 to 8)", () => {
  for (let seed = 1; seed <= 8; seed++) {
    for (let dimension = 0; dimension < 12; dimension++) {
      const slices = new Set<number>();
      for (let i = 0; i < 64; i++) slices.add(Math.floor(sobolSample(i, dimension, seed) * 64));
      assert.equal(slices.size, 64, `dimension ${dimension}, seed ${seed}`);
    }
  }
});

test("pairs of dimensions of one set are (0, m, 2)-nets: every elementary box of 16 points holds one (seed 5)", () => {
  for (let a = 1; a <= 3; a++) {
    const boxes = new Set<number>();
    for (let i = 0; i < 16; i++)
      boxes.add(Math.floor(sobolSample(i, 0, 5) * 4) * 4 + Math.floor(sobolSample(i, a, 5) * 4));
    // Dimension 0 with 1 is a perfect net; higher ones may miss boxes, but not many.
    assert.ok(boxes.size >= (a === 1 ? 16 : 8), `axes 0 and ${a}: ${boxes.size}`);
  }
});

test("samples lie in [0, 1) and different pixels differ (seeds 0 to 999)", () => {
  const first = new Set<number>();
  for (let seed = 0; seed < 1000; seed++) {
    const x = sobolSample(0, 1, seed);
    assert.ok(x >= 0 && x < 1);
    first.add(x);
  }
  assert.ok(first.size > 990);
  assert.equal(unitOf(0xffffffff), 1 - 2 ** -24);
});
