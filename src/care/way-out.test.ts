/** The widest way to a door, on floors where it is known by hand. */

import assert from "node:assert/strict";
import { test } from "node:test";
import type { Door, Obstacle, PlanPoint, WayOutPlan } from "./index.ts";
import { findWayOut } from "./index.ts";
import { distanceTo } from "./way-out-grid.ts";
import { overlap } from "./way-out-search.ts";

const door: Door = { id: "d", name: "door", middle: [2, 2], inward: [-1, 0], widthM: 0.9, opensInward: true };
const rectangle = (words: string, x: number, z: number, w: number, d: number): Obstacle => ({
  owner: { kind: "furniture", id: words, words, legs: false },
  outline: [
    [x, z],
    [x + w, z],
    [x + w, z + d],
    [x, z + d],
  ],
});
const floor = (obstacles: readonly Obstacle[], doors: readonly Door[] = [door]): WayOutPlan => ({
  left: -2,
  right: 2,
  back: -2,
  front: 3,
  from: [0, 0],
  doors,
  obstacles,
});
const width = (obstacles: readonly Obstacle[]): number => findWayOut(floor(obstacles))?.widthM ?? Number.NaN;

test("[C5] an empty room lets a metre through its door", () => assert.ok(Math.abs(width([]) - 1) < 1e-9));

test("[C5] without a door there is nothing to search", () => assert.equal(findWayOut(floor([], [])), null));

test("[C5] a gap between two cupboards is measured exactly, whatever the grid", () => {
  for (const gap of [0.31, 0.555, 0.62, 0.847, 0.93, 0.991]) {
    const found = findWayOut(
      floor([rectangle("a", -2, 0.8, 2.1, 0.3), rectangle("b", 0.1 + gap, 0.8, 1.9 - gap, 0.3)]),
    );
    assert.ok(Math.abs((found?.widthM ?? 0) - gap) < 1e-6, `${gap}: ${found?.widthM}`);
    assert.deepEqual(found?.between.map(({ words }) => words).sort(), ["a", "b"]);
  }
});

test("[C5] a slanted gap is measured at right angles: two cupboards along lines turned by every angle", () => {
  for (let deg = 5; deg < 90; deg += 17) {
    const a = (deg * Math.PI) / 180;
    // Two long thin pieces on one line through (0.4, 1), 0.7 m apart, from wall to wall.
    const along = (t: number): PlanPoint => [0.4 + t * Math.cos(a) * 1, 1 + t * Math.sin(a) * 0.2];
    const unit = Math.hypot(Math.cos(a), 0.2 * Math.sin(a));
    const half = 0.35 / unit;
    const piece = (words: string, from: number, to: number): Obstacle => ({
      owner: { kind: "furniture", id: words, words, legs: false },
      outline: [along(from), along(to)],
    });
    const ahead: Door = { ...door, middle: [0, 3], inward: [0, -1] };
    const found = findWayOut(floor([piece("a", -20, -half), piece("b", half, 20)], [ahead]));
    assert.ok(Math.abs((found?.widthM ?? 0) - 0.7) < 1e-6, `${deg}: ${found?.widthM}`);
  }
});

test("[C5] of two ways the wider is taken", () => {
  // Gaps of 0.5 m on the left and 0.8 m on the right of one cupboard.
  assert.ok(Math.abs(width([rectangle("a", -1.5, 0.8, 2.7, 0.3)]) - 0.8) < 1e-6);
});

test("[C5] shut in means no way at all", () => {
  assert.equal(width([rectangle("a", -2, 0.8, 4, 0.2)]), 0);
});

test("[C5] a stand beside the door narrows the way to what lies between it and the wall's end", () => {
  const stand = rectangle("stand", 1.3, 1.7, 0.2, 0.6);
  const found = findWayOut(floor([stand, rectangle("c", 1.2, 2.7, 0.8, 0.3)]));
  assert.ok(found !== null && found.widthM < 1 && found.widthM > 0.4, `${found?.widthM}`);
  assert.ok(found.between.some(({ words }) => words === "stand"));
});

test("[C5] the leaf needs its quarter circle free, about either end", () => {
  const clear = findWayOut(floor([]))?.leaf;
  assert.deepEqual([clear?.low, clear?.high], [true, true]);
  // Hinged at z 2.45 the leaf sweeps about (2, 2.45); a box near that corner's sweep only.
  const high = findWayOut(floor([rectangle("a", 1.2, 2.5, 0.3, 0.3)]))?.leaf;
  assert.deepEqual([high?.low, high?.high], [true, true]);
  const both = findWayOut(floor([rectangle("a", 1.4, 1.9, 0.3, 0.2)]))?.leaf;
  assert.deepEqual([both?.low, both?.high, both?.blockedBy.length], [false, false, 1]);
  const one = findWayOut(floor([rectangle("a", 1.2, 2.3, 0.1, 0.1)]))?.leaf;
  assert.deepEqual([one?.low, one?.high], [true, false]);
  const outward = findWayOut(floor([rectangle("a", 1.4, 1.9, 0.3, 0.2)], [{ ...door, opensInward: false }]))?.leaf;
  assert.deepEqual([outward?.low, outward?.high], [true, true]);
});

test("[C5] distance to an outline is 0 inside and exact outside; outlines that only touch do not overlap", () => {
  const { outline } = rectangle("a", 0, 0, 1, 1);
  assert.equal(distanceTo(outline, [0.5, 0.5]), 0);
  assert.ok(Math.abs(distanceTo(outline, [2, 2]) - Math.SQRT2) < 1e-12);
  assert.equal(overlap(outline, rectangle("b", 1, 0, 1, 1).outline), false);
  assert.equal(overlap(outline, rectangle("b", 0.9, 0.9, 1, 1).outline), true);
  assert.equal(
    overlap(outline, [
      [0.5, -1],
      [0.5, 2],
    ]),
    true,
  );
  assert.equal(
    overlap(outline, [
      [1.5, -1],
      [1.5, 2],
    ]),
    false,
  );
});
