import assert from "node:assert/strict";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import {
  addScaled,
  cross,
  distance,
  dot,
  iso,
  length,
  luxSeconds,
  normalize,
  scale,
  subtract,
} from "../units/index.ts";
import * as x from "./index.ts";
import { near, nearStops, seeded } from "./kit.test.ts";

const O: Vec3 = [0, 0, 0];
const Z: Vec3 = [0, 0, 1];
const facing = (d: number): x.Pose => ({ centre: [0, 0, d], normal: [0, 0, -1] });
/** The light of the handbook's full chain: azimuth 45°, elevation 35°, 1.2 m, aimed at the origin. */
const [az, el] = [Math.PI / 4, (35 * Math.PI) / 180];
const toLight: Vec3 = [Math.cos(el) * Math.sin(az), Math.sin(el), Math.cos(el) * Math.cos(az)];
const pose: x.Pose = { centre: scale(toLight, 1.2), normal: scale(toLight, -1) };
const box = x.rectangleFront(pose, 0.6, 0.9);
const wide: x.Grid = { cellM: 0.04, depthM: 0.04, openFraction: 1 };

test("[P7] [CV29] (D) full chain, disc to light: 311.75 lx·s, Av 6.962", () => {
  const q = x.lightQuantity(500, 35) * 0.45 * 2 ** -2.3;
  near(q, 1599.12, 0.005);
  const h = luxSeconds(q * x.frontFactor(box, O, toLight, x.DISC));
  near(h, 311.75, 0.05);
  near(x.flashReading(h, iso(100), x.USUAL_DISC), 6.9623, 1e-3);
});

test("[P7] [CV30] (D) full chain, dome to camera: 251.03 lx·s, Av 6.206 with C 340", () => {
  const m = luxSeconds(17500 * 0.45 * 2 ** -2.3 * x.frontFactor(box, O, Z, x.DOME));
  near(m, 251.029, 0.05);
  near(x.flashReading(m, iso(100), x.USUAL_DOME), 6.2062, 1e-3);
  near(Math.log2(x.frontFactor(box, O, Z, x.DISC) / x.frontFactor(box, O, toLight, x.DISC)), -0.788, 5e-4);
});

test("[P6] [CV55] (D) the box spills −2.7241 stops onto the backdrop 2 m behind", () => {
  const spill = x.frontFactor(box, [0, 0, -2], Z, x.DISC);
  near(Math.log2(spill / x.frontFactor(box, O, toLight, x.DISC)), -2.7241, 5e-4);
});

test("[P9] [CV56] (D) a 40° lobe has n 11.1434 and gain 6.0717; cos⁸ of 1000 cd holds 698.13 lm", () => {
  near(x.lobeExponentOf(40), 11.1434, 5e-4);
  near(x.lobeGain(x.lobeExponentOf(40)), 6.0717, 5e-4);
  near(x.lobeFlux(1000, 8), 698.13, 0.01);
  const small = x.lobeFront(facing(20), 40, 0.2);
  near(x.frontFactor(small, O, Z, x.DISC) / x.frontFactor(x.discFront(facing(20), 0.2), O, Z, x.DISC), 6.0717, 0.002);
});

test("[P8] [CV57] (D) a grid w = t on the box takes 0.4740 stop at 1.2 m, 0.9460 at 0.6 m, 0.233 at 2.4 m", () => {
  for (const [d, stops] of [
    [1.2, -0.474],
    [0.6, -0.946],
    [2.4, -0.233],
  ] as const) {
    const gridded = x.rectangleFront(facing(d), 0.6, 0.9, { grid: wide });
    near(Math.log2(x.frontGain(gridded, O, Z, x.DISC).grid), stops, 0.002);
  }
});

/** Midpoints over the front's bounding box: slow, plain, and independent of the kernel's pieces. */
function byMidpoints(
  front: x.Front,
  w: number,
  h: number,
  point: Vec3,
  axis: Vec3,
  kind: x.ReceptorKind,
  side: number,
): number {
  const right = x.rightOf(front);
  let sum = 0;
  for (let i = 0; i < side; i++) {
    for (let j = 0; j < side; j++) {
      const [u, v] = [((i + 0.5) / side - 0.5) * w, ((j + 0.5) / side - 0.5) * h];
      const spot = addScaled(addScaled(front.centre, right, u), front.up, v);
      const ray = subtract(point, spot);
      const d = length(ray);
      const up = dot(ray, front.normal);
      const off = -dot(ray, axis) / d;
      const read = kind === "disc" ? Math.max(0, off) : (1 + off) / 2;
      let value = (read * Math.max(0, up)) / d ** 3;
      if (front.grid) {
        const ratio = front.grid.depthM / front.grid.cellM;
        value *= Math.max(0, 1 - (ratio * Math.abs(dot(ray, right))) / up);
        value *= Math.max(0, 1 - (ratio * Math.abs(dot(ray, front.up))) / up) * front.grid.openFraction;
      }
      const n = front.lobeExponent ?? 1;
      value *= ((n + 1) / 2) * (up / d) ** (n - 1);
      sum += value;
    }
  }
  return sum / (side * side) / Math.PI;
}

test("[P8] [P9] grids and lobes agree with plain midpoints within 0.01 stop over 120 poses (seed 57)", () => {
  const random = seeded(57);
  let lit = 0;
  for (let tries = 0; tries < 2000 && lit < 120; tries++) {
    const [w, h] = [0.2 + random(), 0.2 + random()];
    const front: x.Front = {
      ...x.rectangleFront({ centre: O, normal: Z }, w, h),
      ...(random() < 0.6
        ? { grid: { cellM: 0.04, depthM: 0.02 + 0.06 * random(), openFraction: 0.9 } }
        : { lobeExponent: 1 + 6 * random() }),
    };
    const point: Vec3 = [1.5 * (random() - 0.5), 1.5 * (random() - 0.5), 0.5 + random()];
    const axis = normalize([random() - 0.5, random() - 0.5, -random()]);
    const kind = random() < 0.5 ? "disc" : "dome";
    const ours = x.frontFactor(front, point, axis, { kind });
    if (ours < 1e-3) continue;
    lit++;
    nearStops(
      ours,
      byMidpoints(front, w, h, point, axis, kind, 160),
      0.01,
      JSON.stringify({ w, h, point, axis, kind }),
    );
  }
  assert.equal(lit, 120);
});

test("[P8] a hot centre is the stack of rings it stands for, keeps its flux and looks smaller", () => {
  const [d, k] = [0.9, 0.8];
  const even = x.discFront(facing(d), 1);
  const hot = x.discFront(facing(d), 1, { hotCentre: k });
  // On axis a ring of radius s holds dF = d(s²/(s² + d²)); L/L̄ = (1 − k·ρ²)/(1 − k/2).
  const { nodes, weights } = x.gaussLegendre(24);
  let sum = 0;
  nodes.forEach((rho, i) => {
    const s = 0.5 * rho;
    sum += ((weights[i] as number) * 0.5 * (1 - k * rho * rho) * 2 * s * d * d) / (s * s + d * d) ** 2 / (1 - k / 2);
  });
  nearStops(x.frontFactor(hot, O, Z, x.DISC) * hot.areaM2, sum, 0.001);
  assert.ok(x.frontFactor(hot, O, Z, x.DISC) > x.frontFactor(even, O, Z, x.DISC));
  const far: Vec3 = [0, 0, -60];
  nearStops(x.frontFactor(hot, far, Z, x.DISC), x.frontFactor(even, far, Z, x.DISC), 0.001);
});

test("[P8] a lip shades only from the side, by the part that its rim hides", () => {
  const bare = x.rectangleFront({ centre: O, normal: Z }, 0.6, 0.6);
  const lipped = x.rectangleFront({ centre: O, normal: Z }, 0.6, 0.6, { lipM: 0.1 });
  const down: Vec3 = [0, 0, -1];
  assert.equal(x.frontFactor(lipped, [0, 0, 1], down, x.DISC), x.frontFactor(bare, [0, 0, 1], down, x.DISC));
  // From far along 60° off axis the rim hides 0.1·tan 60° of the 0.6 m.
  const a = Math.PI / 3;
  const far: Vec3 = [400 * Math.sin(a), 0, 400 * Math.cos(a)];
  const axis = normalize(scale(far, -1));
  near(x.frontFactor(lipped, far, axis, x.DISC) / x.frontFactor(bare, far, axis, x.DISC), 1 - Math.tan(a) / 6, 0.001);
  assert.equal(x.frontFactor(lipped, [3, 0, 0.05], [-1, 0, 0], x.DISC), 0);
});

test("[P9] a measured Lambertian field gives what the plain front gives, as a point and as a face", () => {
  const web = {
    intensity: (theta: number): number => (theta < 90 ? Math.cos((theta * Math.PI) / 180) : 0),
    fluxLm: Math.PI,
  };
  const plain = x.rectangleFront(pose, 0.6, 0.9);
  nearStops(
    x.frontFactor(x.measuredFront(pose, web, 0.6, 0.9), O, Z, x.DOME),
    x.frontFactor(plain, O, Z, x.DOME),
    0.001,
  );
  const far = scale(toLight, -60);
  nearStops(
    x.frontFactor(x.measuredFront(pose, web), far, toLight, x.DISC),
    x.frontFactor(plain, far, toLight, x.DISC),
    0.001,
  );
});

test("[P9] a measured field is turned with its front: φ 0 at up, 90 to the right seen from in front", () => {
  const web = {
    intensity: (theta: number, phi: number): number => (theta > 10 && Math.abs(phi - 90) < 20 ? 1 : 0),
    fluxLm: 1,
  };
  const front = x.measuredFront({ centre: O, normal: Z }, web);
  assert.ok(x.frontFactor(front, [1, 0, 1], [0, 0, -1], x.DISC) > 0);
  assert.equal(x.frontFactor(front, [-1, 0, 1], [0, 0, -1], x.DISC), 0);
  assert.equal(x.frontFactor(front, [0, 1, 1], [0, 0, -1], x.DISC), 0);
});

test("[P6] a measured receptor table that repeats the cosine or the cardioid gives the closed forms", () => {
  const table = (r: (a: number) => number): x.ResponseTable =>
    Array.from({ length: 181 }, (_, i) => [i, r((i * Math.PI) / 180)] as const);
  const flat = { kind: "disc" as const, response: table((a) => Math.max(0, Math.cos(a))) };
  const round = { kind: "dome" as const, response: table((a) => (1 + Math.cos(a)) / 2) };
  nearStops(x.frontFactor(box, O, Z, flat), x.frontFactor(box, O, Z, x.DISC), 0.001);
  nearStops(x.frontFactor(box, O, Z, round), x.frontFactor(box, O, Z, x.DOME), 0.001);
});

test("[P7] all light that leaves a front lands on a sphere around it: box, octagon, hot disc, lobe, bare tube", () => {
  const fronts = [
    x.rectangleFront({ centre: O, normal: Z }, 0.6, 0.9),
    x.octagonFront({ centre: O, normal: [1, 2, 3] }, 1.2, "across-flats"),
    x.discFront({ centre: O, normal: [0, -1, 0.2] }, 0.5, { hotCentre: 0.7 }),
    x.lobeFront({ centre: O, normal: Z }, 60, 0.2),
    x.lobeFront({ centre: O, normal: Z }, 60, 0),
    x.bareFront({ centre: O, normal: Z }),
  ];
  for (const front of fronts) near(landsOnSphere(front, 2), 1, 0.002, front.shape);
});

test("[P8] a grid on a small far front passes the share that its product form holds in every direction", () => {
  const front = x.rectangleFront({ centre: O, normal: Z }, 0.05, 0.05, { grid: wide });
  // ∫∫ (1 − |x|)(1 − |y|)/(1 + x² + y²)² dx dy / π over the unit square, x = tan θ_x, y = tan θ_y.
  const { nodes, weights } = x.gaussLegendre(40);
  let share = 0;
  nodes.forEach((u, i) => {
    nodes.forEach((v, j) => {
      share +=
        (4 * (weights[i] as number) * (weights[j] as number) * (1 - u) * (1 - v)) / (1 + u * u + v * v) ** 2 / Math.PI;
    });
  });
  near(landsOnSphere(front, 2, 240), share, 0.002);
});

/** ∫ E dA over a sphere of radius R about the origin that faces inward, per unit of flux. */
function landsOnSphere(front: x.Front, radius: number, side = 120): number {
  let sum = 0;
  const u = normalize(cross(front.normal, [0.31, 0.87, -0.2]));
  const v = cross(front.normal, u);
  const { nodes, weights } = x.gaussLegendre(side);
  nodes.forEach((t, i) => {
    // The equator of the front is a kink: two halves.
    for (const c of [t, -t]) {
      for (let j = 0; j < 48; j++) {
        const a = (2 * Math.PI * (j + 0.5)) / 48;
        const s = Math.sqrt(1 - c * c);
        const out = addScaled(addScaled(scale(front.normal, c), u, s * Math.cos(a)), v, s * Math.sin(a));
        sum += ((weights[i] as number) / 48) * x.frontFactor(front, scale(out, radius), scale(out, -1), x.DISC);
      }
    }
  });
  return sum * 2 * Math.PI * radius * radius;
}

test("[P10] the steps multiply to the whole, for every front, pose and receptor (200 draws, seed 10)", () => {
  const random = seeded(10);
  for (let k = 0; k < 200; k++) {
    const pick = Math.floor(random() * 6);
    const where: x.Pose = {
      centre: [random() - 0.5, random(), 1 + random()],
      normal: [random() - 0.5, random() - 0.7, -1],
    };
    const front = [
      x.rectangleFront(where, 0.6, 0.9, { lipM: 0.08 }),
      x.rectangleFront(where, 0.3, 1.2, { grid: wide, lipM: 0.05 }),
      x.discFront(where, 0.8, { hotCentre: 0.5 }),
      x.lobeFront(where, 50, 0.18, { grid: wide }),
      x.bareFront(where),
      x.octagonFront(where, 1.2, "across-flats"),
    ][pick] as x.Front;
    const axis = normalize([random() - 0.5, random() - 0.5, random()]);
    const receptor = random() < 0.5 ? x.DISC : x.DOME;
    const head: x.Occluder = { kind: "capsule", a: [0.1, 0.1, 0.6], b: [0.1, 0.5, 0.6], radiusM: 0.08 };
    const g = x.frontGain(front, O, axis, receptor, [head]);
    near(g.far * g.size * g.grid * g.direction * g.shading, g.total, 1e-12 + 1e-9 * g.total);
    near(g.total, x.frontFactor(front, O, axis, receptor, { occluders: [head] }), 1e-12 + 1e-9 * g.total);
    near(g.far, g.beam * g.spread, 1e-12);
  }
});

test("[P10] a meter turned its back on a light is dark at the step that turned it", () => {
  const g = x.frontGain(box, O, scale(toLight, -1), x.DISC);
  assert.deepEqual([g.total, g.receptorTurn, g.shading], [0, 0, 1]);
  const behind = x.frontGain(box, scale(toLight, 3), toLight, x.DOME);
  assert.deepEqual([behind.total, behind.frontTurn, behind.receptorTurn], [0, 0, 1]);
});

test("[P7] light depends only on where things stand to each other (rigid motion, seed 7)", () => {
  const random = seeded(7);
  for (let k = 0; k < 50; k++) {
    const a = normalize([random() - 0.5, random() - 0.5, random() - 0.5]);
    const b = normalize(cross(a, [random(), random(), 0.1]));
    const c = cross(a, b);
    const turn = (v: Vec3): Vec3 => addScaled(addScaled(scale(a, v[0]), b, v[1]), c, v[2]);
    const move = (v: Vec3): Vec3 => addScaled(turn(v), [1, 2, 3], 1);
    const front = x.rectangleFront(pose, 0.3, 1.2, { grid: wide, lipM: 0.04 });
    const moved: x.Front = {
      ...front,
      ...{
        centre: move(front.centre),
        normal: turn(front.normal),
        up: turn(front.up),
        outline: front.outline.map(move),
      },
    };
    nearStops(x.frontFactor(moved, move(O), turn(Z), x.DOME), x.frontFactor(front, O, Z, x.DOME), 1e-9);
  }
});

test("[P15] the falloff map repeats the kernel at every point of its sheet", () => {
  const sheet: x.PointSheet = { origin: [-1, 0, -1], stepU: [0.5, 0, 0], stepV: [0, 0, 0.5], columns: 5, rows: 4 };
  const map = x.falloffMap(box, sheet, [0, 1, 0], x.DISC);
  const toward = x.falloffMap(box, sheet, "front", x.DOME);
  for (let j = 0; j < 4; j++) {
    for (let i = 0; i < 5; i++) {
      const point: Vec3 = [-1 + 0.5 * i, 0, -1 + 0.5 * j];
      near(map[j * 5 + i] as number, x.frontFactor(box, point, [0, 1, 0], x.DISC), 1e-12);
      const axis = normalize(subtract(box.centre, point));
      near(toward[j * 5 + i] as number, x.frontFactor(box, point, axis, x.DOME), 1e-12);
    }
  }
  assert.ok(distance(box.centre, O) > 1);
});
