import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import { addScaled, cross, dot, length, normalize, subtract } from "../units/index.ts";
import * as x from "./index.ts";
import { near, nearStops, seeded } from "./kit.test.ts";

const O: Vec3 = [0, 0, 0];
const Z: Vec3 = [0, 0, 1];
const facing = { centre: [0, 0, 1.2] as Vec3, normal: [0, 0, -1] as Vec3 };
/** Rectangle x0…x1, y0…y1 at height z that shines down on the origin. */
const pane = (x0: number, x1: number, y0: number, y1: number, z: number): Vec3[] => [
  [x0, y0, z],
  [x0, y1, z],
  [x1, y1, z],
  [x1, y0, z],
];
/** F of a front from M per unit of flux: M·A. */
const factorOf = (front: x.Front, point: Vec3, axis: Vec3): number =>
  x.frontFactor(front, point, axis, x.DISC) * front.areaM2;

test("[P6] [CV39] (D) coaxial disc r 0.5 at 1 m has F 0.2, and its 24-gon agrees within 0.001 stop", () => {
  near(x.coaxialDisc(0.5, 1), 0.2, 1e-9);
  nearStops(factorOf(x.discFront({ centre: [0, 0, 1], normal: [0, 0, -1] }, 1), O, Z), 0.2, 0.001);
});

test("[P6] [CV40] (D) disc r 0.5 at 1 m, offset 0.7, has F 0.110793, and its 24-gon agrees", () => {
  near(x.offsetDisc(0.5, 1, 0.7), 0.110793, 1e-6);
  nearStops(factorOf(x.discFront({ centre: [0, 0, 1], normal: [0, 0, -1] }, 1), [0.7, 0, 0], Z), 0.110793, 0.001);
});

test("[P6] [CV41] (D) corner rectangle 0.6 × 0.9 at 1.2 has F 0.0783918", () => {
  near(x.cornerRectangle(0.6, 0.9, 1.2), 0.0783918, 1e-7);
  near(x.configurationFactor(pane(0, 0.6, 0, 0.9, 1.2), O, Z), 0.0783918, 1e-7);
});

test("[P6] [CV42] (D) perpendicular rectangle a 0.8, b 0.5, c 1 has F 0.027531", () => {
  near(x.perpendicularRectangle(0.8, 0.5, 1), 0.027531, 1e-7);
  // Standing wall at y = 1 that shines toward −y, its foot in the receiver's plane.
  const wall: Vec3[] = [
    [0, 1, 0],
    [0.5, 1, 0],
    [0.5, 1, 0.8],
    [0, 1, 0.8],
  ];
  near(x.configurationFactor(wall, O, Z), 0.027531, 1e-7);
});

test("[P6] [CV43] (D) box 0.6 × 0.9 at 1.2 m has F 0.105274, −0.18122 stop against far", () => {
  const box = x.rectangleFront(facing, 0.6, 0.9);
  near(factorOf(box, O, Z), 0.105274, 1e-6);
  near(Math.log2(x.frontGain(box, O, Z, x.DISC).size), -0.18122, 5e-4);
});

test("[P6] [CV44] (D) off-axis rectangle 0.8 × 0.6 has F 0.0381209", () => {
  near(x.parallelRectangle(-1.3, -0.5, -0.8, -0.2, 1), 0.0381209, 1e-7);
  near(x.configurationFactor(pane(-1.3, -0.5, -0.8, -0.2, 1), O, Z), 0.0381209, 1e-7);
});

test("[P6] [CV45] (D) the box of CV43 gives a facing dome M/L 0.335890", () => {
  const box = x.rectangleFront(facing, 0.6, 0.9);
  near(x.frontFactor(box, O, Z, x.DOME) * Math.PI * box.areaM2, 0.33589, 1e-6);
  near(x.domeFactor(box.outline, O, Z), 0.33589, 1e-6);
});

test("[P6] [CV46] (D) octagon of circumradius 0.5 at 1.2 m has F 0.135140 and Ω 0.439989 sr", () => {
  const octagon = x.octagonFront(facing, 1, "across-corners");
  near(factorOf(octagon, O, Z), 0.13514, 1e-6);
  near(x.apparentSolidAngle(octagon, O), 0.439989, 1e-6);
  near(x.solidAngle(octagon.outline, O), 0.439989, 1e-6);
  const flats = x.octagonFront(facing, Math.cos(Math.PI / 8), "across-flats");
  near(flats.areaM2, octagon.areaM2, 1e-12);
});

test("[P6] [CV47] (D) strip 0.3 × 1.2 at 0.8 m has F 0.131398, and 0.0846296 0.6 m along it", () => {
  const strip = x.rectangleFront({ centre: [0, 0, 0.8], normal: [0, 0, -1] }, 0.3, 1.2);
  near(factorOf(strip, O, Z), 0.131398, 1e-6);
  near(factorOf(strip, [0, 0.6, 0], Z), 0.0846296, 1e-6);
});

test("[P6] [CV48] (D) a disc lies −0.01436, −0.32193, −1 stop under inverse square at 5, 1, 0.5 diameters", () => {
  for (const [d, stops] of [
    [5, -0.01436],
    [1, -0.32193],
    [0.5, -1],
  ] as const) {
    const disc = x.discFront({ centre: [0, 0, d], normal: [0, 0, -1] }, 1);
    near(Math.log2(x.frontGain(disc, O, Z, x.DISC).size), stops, 1e-4);
  }
});

test("[P6] [CV49] (D) a square lies −0.0191 and −0.4107 stop under inverse square at 5 and 1 sides", () => {
  for (const [d, stops] of [
    [5, -0.0191],
    [1, -0.4107],
  ] as const) {
    const square = x.rectangleFront({ centre: [0, 0, d], normal: [0, 0, -1] }, 1, 1);
    near(Math.log2(x.frontGain(square, O, Z, x.DISC).size), stops, 2e-4);
  }
});

test("[P6] [CV53] (D) the dome reads a small light −1, −2.7716 and −3.9001 stops at 90, 135 and 150°", () => {
  const lamp = x.discFront({ centre: [0, 0, 50], normal: [0, 0, -1] }, 0.1);
  const straight = x.frontFactor(lamp, O, Z, x.DOME);
  for (const [angle, stops] of [
    [90, -1],
    [135, -2.7716],
    [150, -3.9001],
  ] as const) {
    const a = (angle * Math.PI) / 180;
    near(Math.log2(x.frontFactor(lamp, O, [Math.sin(a), 0, Math.cos(a)], x.DOME) / straight), stops, 5e-4);
  }
});

test("[P6] [CV62] (D) in a uniform field of luminance 1 the disc reads π and the dome 2π", () => {
  const walls: Vec3[][] = [
    [
      [-2, -1, 3],
      [-2, 1, 3],
      [2, 1, 3],
      [2, -1, 3],
    ],
    [
      [-2, -1, -1],
      [2, -1, -1],
      [2, 1, -1],
      [-2, 1, -1],
    ],
    [
      [2, -1, -1],
      [2, -1, 3],
      [2, 1, 3],
      [2, 1, -1],
    ],
    [
      [-2, -1, -1],
      [-2, 1, -1],
      [-2, 1, 3],
      [-2, -1, 3],
    ],
    [
      [-2, 1, -1],
      [2, 1, -1],
      [2, 1, 3],
      [-2, 1, 3],
    ],
    [
      [-2, -1, -1],
      [-2, -1, 3],
      [2, -1, 3],
      [2, -1, -1],
    ],
  ];
  const axis = normalize([0.3, -0.5, 0.8]);
  const total = (kind: x.ReceptorKind): number =>
    walls.reduce((sum, wall) => sum + x.polygonFactor(kind, wall, [0.2, 0.1, 0.4], axis), 0);
  near(total("disc"), Math.PI, 1e-9);
  near(total("dome"), 2 * Math.PI, 1e-9);
});

test("[P6] a sphere cut into many small facets follows (R/d)²·cos θ, and a long strip w/√(w²+d²)", () => {
  nearStops(x.configurationFactor(pane(-0.4, 0.4, -500, 500, 0.7), O, Z), x.infiniteStrip(0.4, 0.7), 0.001);
  let sum = 0;
  const axis = normalize([0.4, 0, 1]);
  for (const facet of facets([0, 0, 1], 0.15, 96)) sum += x.configurationFactor(facet, O, axis);
  nearStops(sum, x.sphere(0.15, 1, dot(axis, Z)), 0.005);
});

test("[P6] behind, in the plane, on an edge and on a corner give 0 or a finite value, never NaN", () => {
  const box = pane(-0.3, 0.3, -0.3, 0.3, 0);
  for (const point of [
    [0, 0, 1],
    [0, 0, 0],
    [0.3, 0, 0],
    [0.3, 0.3, 0],
    [2, 0, 0],
  ] as Vec3[]) {
    for (const kind of ["disc", "dome"] as const) assert.equal(x.polygonFactor(kind, box, point, [0, 0, -1]), 0);
  }
  const front = x.rectangleFront({ centre: O, normal: Z }, 0.6, 0.6);
  for (const point of [
    [0.3, 0.3, 1e-9],
    [0.3, 0, 1e-9],
    [0, 0, 1e-9],
    [0, 0, -1],
    [5, 0, 0],
    [0, 0, 0],
  ] as Vec3[]) {
    for (const receptor of [x.DISC, x.DOME]) {
      const m = x.frontFactor(front, point, [0, 0, -1], receptor) * Math.PI * front.areaM2;
      assert.ok(m >= 0 && m <= 1.5 * Math.PI + 1e-6, `${point} gives ${m}`);
    }
  }
  nearStops(x.frontFactor(front, [0, 0, 1e-9], [0, 0, -1], x.DISC) * front.areaM2, 1, 1e-6);
});

test("[P6] polygon against quadrature within 0.01 stop over 1000 lit configurations (seed 20261125)", () => {
  const random = seeded(20261125);
  let lit = 0;
  while (lit < 1000) {
    const [w, h] = [0.1 + 1.9 * random(), 0.1 + 1.9 * random()];
    const long = Math.max(w, h);
    const front = x.rectangleFront({ centre: O, normal: aim(random), up: aim(random) }, w, h);
    const point = addScaled(O, aim(random), long * (0.5 + 4 * random()) + Math.hypot(w, h) / 2);
    const axis = aim(random);
    const receptor = random() < 0.5 ? x.DISC : x.DOME;
    const closed = x.frontFactor(front, point, axis, receptor) * Math.PI * front.areaM2;
    if (closed < 1e-5 * Math.PI) continue;
    lit++;
    nearStops(x.polygonFactor(receptor.kind, front.outline, point, axis), closed, 1e-6, "both routines");
    const seen = receptor.kind === "disc" ? x.clipToHalfSpace(front.outline, point, axis) : front.outline;
    nearStops(byQuadrature(seen, front.normal, point, axis, receptor.kind), closed, 0.01, `configuration ${lit}`);
  }
});

test("[P6] published view factors of polygon pairs (Narayanaswamy 2015) and the unit cube", (t) => {
  const path = new URL("../../../shared/data/view_factors/view_factors.json", import.meta.url);
  if (!existsSync(path)) return t.skip("the shared data folder is not here");
  const data = JSON.parse(readFileSync(path, "utf8"));
  assert.ok(data.polygon_pairs.length >= 3);
  for (const pair of data.polygon_pairs)
    near(viewFactor(pair.polygon_A, pair.polygon_B), pair.F_AB_published, 2e-5, pair.name);
  const [bottom, top, side] = cube();
  near(viewFactor(bottom, top), data.unit_cube.opposite_faces, 1e-6);
  near(viewFactor(bottom, side), data.unit_cube.adjacent_faces, 2e-5);
});

test("[P15] Gauss–Legendre nodes and weights agree with Abramowitz & Stegun table 25.4 (from memory)", () => {
  const table: [number, number, number][] = [
    [2, 0.577350269189626, 1],
    [3, 0.774596669241483, 0.555555555555556],
    [4, 0.861136311594053, 0.347854845137454],
    [8, 0.960289856497536, 0.10122853629037626],
    [16, 0.989400934991649, 0.027152459411754],
  ];
  for (const [n, node, weight] of table) {
    const rule = x.gaussLegendre(n);
    near(2 * (rule.nodes[n - 1] as number) - 1, node, 1e-14);
    near(2 * (rule.weights[n - 1] as number), weight, 1e-14);
    // Exact to degree 2n − 1.
    let sum = 0;
    rule.nodes.forEach((u, i) => {
      sum += (rule.weights[i] as number) * u ** (2 * n - 1);
    });
    near(sum, 1 / (2 * n), 1e-14);
  }
});

function aim(random: () => number): Vec3 {
  const z = 2 * random() - 1;
  const a = 2 * Math.PI * random();
  const s = Math.sqrt(1 - z * z);
  return [s * Math.cos(a), s * Math.sin(a), z];
}

/** ∫ r·cos θ'/d² over a convex polygon by 24 × 24 Gauss–Legendre points in each triangle of a fan. */
function byQuadrature(polygon: readonly Vec3[], normal: Vec3, point: Vec3, axis: Vec3, kind: x.ReceptorKind): number {
  const { nodes, weights } = x.gaussLegendre(24);
  let sum = 0;
  for (let k = 2; k < polygon.length; k++) {
    const a = polygon[0] as Vec3;
    const e = subtract(polygon[k - 1] as Vec3, a);
    const f = subtract(polygon[k] as Vec3, a);
    const area = length(cross(e, f));
    nodes.forEach((u, i) => {
      nodes.forEach((v, j) => {
        const ray = subtract(addScaled(addScaled(a, e, u * (1 - v)), f, u * v), point);
        const d = length(ray);
        const off = dot(ray, axis) / d;
        const read = kind === "disc" ? Math.max(0, off) : (1 + off) / 2;
        sum += ((weights[i] as number) * (weights[j] as number) * u * area * read * -dot(ray, normal)) / d ** 3;
      });
    });
  }
  return sum;
}

/** F from A to B: our point factor averaged over the square A, 40 × 40 points of Gauss–Legendre. */
function viewFactor(a: readonly Vec3[], b: readonly Vec3[]): number {
  const [origin, next, , last] = a as [Vec3, Vec3, Vec3, Vec3];
  const u = subtract(next, origin);
  const v = subtract(last, origin);
  const { nodes, weights } = x.gaussLegendre(40);
  const middle = addScaled(addScaled(origin, u, 0.5), v, 0.5);
  const away = subtract(
    b.reduce<Vec3>((sum, corner) => addScaled(sum, corner, 1 / b.length), O),
    middle,
  );
  let normal = normalize(cross(u, v));
  if (dot(normal, away) < 0) normal = addScaled(O, normal, -1);
  const facingB = x.isInFront(b, middle) ? b : [...b].reverse();
  let sum = 0;
  nodes.forEach((s, i) => {
    nodes.forEach((t, j) => {
      const spot = addScaled(addScaled(origin, u, s), v, t);
      sum += (weights[i] as number) * (weights[j] as number) * x.configurationFactor(facingB, spot, normal);
    });
  });
  return sum;
}

function cube(): [Vec3[], Vec3[], Vec3[]] {
  return [
    [
      [0, 0, 0],
      [1, 0, 0],
      [1, 1, 0],
      [0, 1, 0],
    ],
    [
      [0, 0, 1],
      [1, 0, 1],
      [1, 1, 1],
      [0, 1, 1],
    ],
    [
      [0, 0, 0],
      [0, 1, 0],
      [0, 1, 1],
      [0, 0, 1],
    ],
  ];
}

/** A sphere as outward quadrilaterals of latitude and longitude. */
function facets(centre: Vec3, radius: number, around: number): Vec3[][] {
  const spot = (i: number, j: number): Vec3 => {
    const t = (Math.PI * i) / (around / 2);
    const a = (2 * Math.PI * j) / around;
    return addScaled(centre, [Math.sin(t) * Math.cos(a), Math.sin(t) * Math.sin(a), Math.cos(t)], radius);
  };
  const out: Vec3[][] = [];
  for (let i = 0; i < around / 2; i++) {
    for (let j = 0; j < around; j++) out.push([spot(i, j), spot(i + 1, j), spot(i + 1, j + 1), spot(i, j + 1)]);
  }
  return out;
}
