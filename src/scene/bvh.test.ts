import assert from "node:assert/strict";
import { test } from "node:test";
import { buildBvh, refitBvh } from "./bvh.ts";
import { joinBvhs } from "./join-bvhs.ts";
import { anyHit, closestHit, newHit, newStack } from "./trace.ts";

/** Integer generator (Marsaglia xorshift 32): the same rays everywhere. */
function dice(seed: number): () => number {
  let state = seed | 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 4294967296;
  };
}

function soup(count: number, seed: number) {
  const random = dice(seed);
  const positions = new Float32Array(count * 9);
  for (let t = 0; t < count; t++) {
    const at = [random() * 4 - 2, random() * 4 - 2, random() * 4 - 2];
    for (let k = 0; k < 9; k++) positions[9 * t + k] = at[k % 3]! + (random() - 0.5) * 1.2;
  }
  return { positions, indices: Uint32Array.from({ length: count * 3 }, (_, i) => i) };
}

/** Every triangle by the plane equation and edge signs: another way than the tree's own test. */
function bruteForce(mesh: ReturnType<typeof soup>, o: number[], d: number[]): number {
  let nearest = Number.POSITIVE_INFINITY;
  const p = mesh.positions;
  const at = (i: number): number[] => [p[3 * i]!, p[3 * i + 1]!, p[3 * i + 2]!];
  const minus = (a: number[], b: number[]): number[] => a.map((x, k) => x - b[k]!);
  const cross = (a: number[], b: number[]): number[] => [
    a[1]! * b[2]! - a[2]! * b[1]!,
    a[2]! * b[0]! - a[0]! * b[2]!,
    a[0]! * b[1]! - a[1]! * b[0]!,
  ];
  const dot = (a: number[], b: number[]): number => a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!;
  for (let t = 0; t < mesh.indices.length / 3; t++) {
    const [a, b, c] = [at(mesh.indices[3 * t]!), at(mesh.indices[3 * t + 1]!), at(mesh.indices[3 * t + 2]!)];
    const n = cross(minus(b, a), minus(c, a));
    const s = dot(minus(a, o), n) / dot(d, n);
    if (!(s > 1e-4 && s < nearest)) continue;
    const q = o.map((x, k) => x + s * d[k]!);
    const inside = [
      [a, b],
      [b, c],
      [c, a],
    ].every(([from, to]) => dot(cross(minus(to!, from!), minus(q, from!)), n) >= 0);
    if (inside) nearest = s;
  }
  return nearest;
}

test("the tree finds the same nearest triangle as trying every one, 2000 rays (seed 7)", () => {
  const mesh = soup(600, 7);
  const bvh = buildBvh(mesh);
  const scene = { bvh };
  const hit = newHit();
  const stack = newStack(bvh);
  const random = dice(70);
  let hits = 0;
  for (let i = 0; i < 2000; i++) {
    const o = [random() * 6 - 3, random() * 6 - 3, random() * 6 - 3];
    const d = [random() * 2 - 1, random() * 2 - 1, random() * 2 - 1];
    const want = bruteForce(mesh, o, d);
    const [ox, oy, oz] = o as [number, number, number];
    const [dx, dy, dz] = d as [number, number, number];
    const found = closestHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, 1e30, hit, stack);
    assert.equal(found, want < Number.POSITIVE_INFINITY, `ray ${i}`);
    if (found) {
      hits++;
      assert.ok(Math.abs(hit.t - want) < 1e-5 * Math.max(1, want), `ray ${i}: ${hit.t} against ${want}`);
      assert.ok(anyHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, want * 1.001, stack));
      assert.ok(!anyHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, want * 0.999, stack));
    }
  }
  assert.ok(hits > 500, `only ${hits} rays hit anything`);
});

test("rays along an axis meet axis-aligned walls (zero components of the direction)", () => {
  const positions = new Float32Array([-1, -1, 0, 1, -1, 0, 1, 1, 0, -1, 1, 0]);
  const mesh = { positions, indices: new Uint32Array([0, 1, 2, 0, 2, 3]) };
  const bvh = buildBvh(mesh);
  const hit = newHit();
  const stack = newStack(bvh);
  for (const [x, y] of [
    [0, 0],
    [0.5, -0.25],
    [-1, -1],
    [1, 1],
    [0.3, 0.3],
  ] as const) {
    assert.ok(closestHit({ bvh }, x, y, 2, 0, 0, -1, 0, 10, hit, stack), `${x}, ${y}`);
    assert.equal(hit.t, 2);
  }
  assert.ok(!closestHit({ bvh }, 1.01, 0, 2, 0, 0, -1, 0, 10, hit, stack));
});

test("[N7] every triangle stands in exactly one leaf, inside its box, children after their parent", () => {
  const mesh = soup(1000, 3);
  const { floats, words, order, nodeCount } = buildBvh(mesh);
  const seen = new Uint8Array(1000);
  for (let node = 0; node < nodeCount; node++) {
    if (node === 1) continue;
    const [first, count] = [words[node * 8 + 3]!, words[node * 8 + 7]!];
    if (count === 0) {
      assert.ok(first > node && first % 2 === 0);
      continue;
    }
    for (let i = first; i < first + count; i++) {
      const t = order[i]!;
      seen[t]! += 1;
      for (let k = 0; k < 9; k++) {
        const value = mesh.positions[9 * t + k]!;
        assert.ok(value >= floats[node * 8 + (k % 3)]! && value <= floats[node * 8 + 4 + (k % 3)]!);
      }
    }
  }
  assert.ok(seen.every((n) => n === 1));
});

test("a refitted tree finds what a new tree finds after every vertex moved (seed 11)", () => {
  const mesh = soup(400, 11);
  const bvh = buildBvh(mesh);
  const random = dice(5);
  for (let i = 0; i < mesh.positions.length; i++) mesh.positions[i] = mesh.positions[i]! + random() * 0.2;
  refitBvh(bvh, mesh);
  const fresh = buildBvh(mesh);
  const hit = newHit();
  const other = newHit();
  const stack = newStack(bvh);
  const freshStack = newStack(fresh);
  for (let i = 0; i < 500; i++) {
    const d = [random() * 2 - 1, random() * 2 - 1, random() * 2 - 1] as const;
    closestHit({ bvh }, 0, 0, 0, ...d, 1e-4, 1e30, hit, stack);
    closestHit({ bvh: fresh }, 0, 0, 0, ...d, 1e-4, 1e30, other, freshStack);
    assert.equal(hit.t, other.t);
  }
});

test("thousands of triangles in one point make a finite tree; no triangles make one that nothing hits", () => {
  const mesh = {
    positions: new Float32Array(9 * 3000).fill(0.5),
    indices: Uint32Array.from({ length: 9000 }, (_, i) => i),
  };
  const bvh = buildBvh(mesh);
  assert.ok(bvh.depth <= 60);
  const none = { positions: new Float32Array(0), indices: new Uint32Array(0) };
  const bare = buildBvh(none);
  const hit = newHit();
  assert.ok(!closestHit({ bvh: bare }, 0, 0, 0, 0, 0, 1, 0, 10, hit, newStack(bare)));
});

test("[N7] joined trees find what one tree over all their triangles finds, 2000 rays (seed 21); empty ones are left out", () => {
  const parts = [soup(300, 21), soup(1, 22), soup(0, 23), soup(120, 24)];
  const positions = Float32Array.from(parts.flatMap((part) => [...part.positions]));
  const mesh = { positions, indices: Uint32Array.from({ length: positions.length / 3 }, (_, i) => i) };
  const joined = { bvh: joinBvhs(parts.map(buildBvh)) };
  const whole = { bvh: buildBvh(mesh) };
  assert.deepEqual(
    [...joined.bvh.order].sort((a, b) => a - b),
    [...whole.bvh.order].sort((a, b) => a - b),
  );
  assert.deepEqual(joined.bvh.floats.slice(0, 3), whole.bvh.floats.slice(0, 3));
  assert.equal(joinBvhs([buildBvh(soup(0, 1))]).order.length, 0);
  const random = dice(21);
  const [one, two] = [newHit(), newHit()];
  let met = 0;
  for (let i = 0; i < 2000; i++) {
    const o = [random() * 6 - 3, random() * 6 - 3, random() * 6 - 3] as const;
    const d = [random() - 0.5, random() - 0.5, random() - 0.5] as const;
    const a = closestHit(joined, ...o, ...d, 1e-4, 1e3, one, newStack(joined.bvh));
    const b = closestHit(whole, ...o, ...d, 1e-4, 1e3, two, newStack(whole.bvh));
    assert.equal(a, b);
    if (!a) continue;
    met++;
    assert.equal(one.triangle, two.triangle);
    assert.ok(Math.abs(one.t - two.t) < 1e-6);
  }
  assert.ok(met > 300, String(met));
});
