import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { overlapArea, placeLabels } from "./labels.ts";
import { boxCorners, ellipse, hatch, hull, type Point, pathPoints } from "./shape.ts";

const point = fc.tuple(fc.double({ min: -50, max: 50, noNaN: true }), fc.double({ min: -50, max: 50, noNaN: true }));

const cross = (o: Point, a: Point, b: Point): number => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

test("a hull holds every point on its inner side, seed 7", () => {
  fc.assert(
    fc.property(fc.array(point, { minLength: 3, maxLength: 40 }), (points) => {
      const outline = hull(points);
      if (outline.length < 3) return;
      outline.forEach((a, i) => {
        const b = outline[(i + 1) % outline.length] as Point;
        for (const p of points) assert.ok(cross(a, b, p) > -1e-6);
      });
    }),
    { seed: 7 },
  );
});

test("the area that two boxes share is the product of their overlaps, seed 11", () => {
  const box = fc.record({
    x: fc.double({ min: -9, max: 9, noNaN: true }),
    y: fc.double({ min: -9, max: 9, noNaN: true }),
    width: fc.double({ min: 0.1, max: 9, noNaN: true }),
    height: fc.double({ min: 0.1, max: 9, noNaN: true }),
  });
  const shared = (a0: number, a: number, b0: number, b: number): number =>
    Math.max(0, Math.min(a0 + a, b0 + b) - Math.max(a0, b0));
  fc.assert(
    fc.property(box, box, (a, b) => {
      const wanted = shared(a.x, a.width, b.x, b.width) * shared(a.y, a.height, b.y, b.height);
      assert.ok(Math.abs(overlapArea(boxCorners(a), b) - wanted) < 1e-6);
    }),
    { seed: 11 },
  );
});

test("a label takes the free spot, not the liked one that is covered", () => {
  const spots = [
    { x: 10, y: 10, anchor: "start" },
    { x: 10, y: 60, anchor: "start" },
  ] as const;
  const label = { runs: [{ text: "1.25 m" }], size: 10, weight: 400, fill: "ink", halo: "floor", spots } as const;
  const page = { x: 0, y: 0, width: 100, height: 100 };
  assert.equal(placeLabels([label], [], page)[0]?.y, 10);
  const blocked = { outline: boxCorners({ x: 0, y: 0, width: 100, height: 20 }), weight: 4 };
  assert.equal(placeLabels([label], [blocked], page)[0]?.y, 60);
  const two = placeLabels([label, label], [], page);
  assert.notEqual(two[0]?.y, two[1]?.y);
});

test("hatching stays inside its outline", () => {
  const outline = boxCorners({ x: 3, y: 4, width: 20, height: 7 });
  const points = pathPoints(hatch(outline, 3, {}));
  assert.ok(points.length >= 8);
  for (const [x, y] of points) assert.ok(x > 2.99 && x < 23.01 && y > 3.99 && y < 11.01);
});

test("the circle of four curves passes through its quarter points at 45 degrees", () => {
  const circle = ellipse(0, 0, 100, 100, {});
  const [, curve] = circle.steps;
  assert.ok(curve !== undefined && curve[0] === "C");
  const [, x1, y1, x2, y2, x3, y3] = curve;
  // The middle of a cubic: (p0 + 3 p1 + 3 p2 + p3)/8.
  const middle = [(100 + 3 * x1 + 3 * x2 + x3) / 8, (3 * y1 + 3 * y2 + y3) / 8];
  assert.ok(Math.abs(Math.hypot(middle[0] ?? 0, middle[1] ?? 0) - 100) < 0.03);
});
