import assert from "node:assert/strict";
import { test } from "node:test";
import { exposureOf, frameFrom, type RenderedSet, renderSet } from "../../test/rendered-frames.ts";
import { assignFrames } from "./assign.ts";
import { CODED_8, photograph, RAW_14 } from "./camera-model.ts";
import { linearFrame } from "./linear.ts";
import { frameOf } from "./testing.ts";
import type { Assignment, CameraNoise, LinearFrame } from "./types.ts";

const set: RenderedSet = renderSet();
const only = (j: number): (number | null)[] => [0, 1, 2, 3].map((i) => (i === j ? 0 : null));

function shoot(
  name: string,
  stops: readonly (number | null)[],
  camera: CameraNoise,
  seed: number,
  shift = 0,
): LinearFrame {
  const light = exposureOf(set, stops).map((v) => 0.7 * v);
  const moved = shift === 0 ? light : light.map((v, i) => light[i - 3 * shift] ?? v);
  return linearFrame(frameFrom(set, name, moved, camera, seed));
}

const wordOf = ({ shows }: Assignment): string =>
  shows.kind === "light" ? shows.lightId : shows.kind === "together" ? `all of ${shows.lightIds.length}` : shows.kind;

const [SIDE, LEVEL] = [96, 0.6];

/** A matt ball with blotches under one light from afar, on black (Lambert's law). */
function ball(from: readonly number[], seed: number): Float32Array {
  const length = Math.hypot(...from);
  const rgb = new Float32Array(3 * SIDE * SIDE);
  for (let y = 0; y < SIDE; y++) {
    for (let x = 0; x < SIDE; x++) {
      const [u, v] = [(x - SIDE / 2) / 40, (y - SIDE / 2) / 40];
      const z = 1 - u * u - v * v;
      if (z <= 0) continue;
      const cosine = ((from[0] as number) * u + (from[1] as number) * v + (from[2] as number) * Math.sqrt(z)) / length;
      const blotch = 0.7 + 0.3 * Math.sin(x / (3 + seed)) * Math.cos(y / 5);
      rgb.fill(LEVEL * blotch * Math.max(0, cosine), 3 * (y * SIDE + x), 3 * (y * SIDE + x) + 3);
    }
  }
  return rgb;
}

const photographed = (name: string, rgb: Float32Array, camera: CameraNoise, seed: number): LinearFrame =>
  linearFrame(frameOf(name, photograph(rgb, SIDE, SIDE, camera, seed)));

const FROM = [
  [0, 0, 1],
  [0, -1, 1],
  [0, 1, 1.4],
  [-1, 0, 1],
  [1, 0, 1],
];

for (const [name, camera] of Object.entries({ RAW_14, CODED_8 })) {
  test(`a light from between two others, which they could be mixed to, is no sum of theirs; the sum is (${name})`, () => {
    const balls = FROM.map((from) => ball(from, 1).map((v) => v / 4));
    const frames = balls.map((rgb, i) => photographed(`${i + 1}`, rgb, camera, i + 1));
    const alone = assignFrames(frames).map(wordOf);
    assert.deepEqual(alone, ["light-1", "light-2", "light-3", "light-4", "light-5"]);
    const all = (balls[0] as Float32Array).map((_, i) => balls.reduce((sum, rgb) => sum + (rgb[i] as number), 0));
    const found = assignFrames([...frames, photographed("9", all, camera, 9)]);
    assert.deepEqual(found.map(wordOf), [...alone, "all of 5"]);
    assert.ok((found[5]?.confidence ?? 0) > 0.8 && found.slice(0, 5).every(({ confidence }) => confidence > 0.8));
  });
}

test("a sum of two beside the sum of all: both are found, and which two", () => {
  const frames = [0, 1, 2, 3].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  frames.push(
    shoot("b1", [0, 0, null, null], RAW_14, 7),
    shoot("b2", [0, 0, 0, 0], RAW_14, 8),
    shoot("b3", [], RAW_14, 9),
  );
  const found = assignFrames(frames);
  assert.deepEqual(found.slice(4).map(wordOf), ["all of 2", "all of 4", "ambient"]);
  assert.deepEqual(found[4]?.shows, { kind: "together", lightIds: ["light-1", "light-2"] });
});

test("a frame of all that lies seven pixels off the others is found all the same", () => {
  const frames = [0, 1, 2, 3].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  const found = assignFrames([...frames, shoot("b1", [0, 0, 0, 0], RAW_14, 8, 7), shoot("b2", [], RAW_14, 9)]);
  assert.deepEqual(found.slice(4).map(wordOf), ["all of 4", "ambient"]);
});

test("the room's frame twice: the second repeats it, and it stays the room's", () => {
  const frames = [0, 1, 2].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  const found = assignFrames([...frames, shoot("b1", [], RAW_14, 8), shoot("b2", [], RAW_14, 9)]);
  assert.deepEqual(found.slice(3).map(wordOf).sort(), ["ambient", "repeat"]);
});

test("two sets of one size in one folder: each has its own lights, sum and room", () => {
  const { width, height } = set;
  const other = FROM.slice(0, 3).map((from) => {
    const small = ball(from, 2).map((v) => v / 3);
    return Float32Array.from({ length: 3 * width * height }, (_, i) => {
      const [x, y] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width)];
      return small[3 * (Math.floor((y * SIDE) / height) * SIDE + Math.floor((x * SIDE) / width)) + (i % 3)] as number;
    });
  });
  const sum = (other[0] as Float32Array).map((_, i) => other.reduce((all, rgb) => all + (rgb[i] as number), 0));
  const second = [...other, sum].map((rgb, i) =>
    linearFrame(frameOf(`b${i}`, photograph(rgb, width, height, RAW_14, 20 + i))),
  );
  const first = [0, 1, 2, 3].map((j) => shoot(`a${j}`, only(j), RAW_14, j + 1));
  first.push(shoot("a8", [0, 0, 0, 0], RAW_14, 8), shoot("a9", [], RAW_14, 9));
  const found = assignFrames([...first, ...second]);
  assert.deepEqual(found.map(wordOf), [
    ...["light-1", "light-2", "light-3", "light-4", "all of 4", "ambient"],
    ...["light-5", "light-6", "light-7", "all of 3"],
  ]);
  assert.deepEqual([...new Set(found.map((one) => one.set))], [1, 2]);
});
