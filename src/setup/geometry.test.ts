/** Places, points, fronts and bodies against numbers worked out by hand and the figures of the scenario. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { isBlocked } from "../photometry/index.ts";
import { add, addScaled, distance, dot, length, normalize, subtract, type Vec3 } from "../units/index.ts";
import {
  asCartesian,
  asPolar,
  axisOf,
  demoSetups,
  frontOf,
  headOf,
  latestReading,
  lightBody,
  litCheek,
  occludersOf,
  panelNormal,
  panelOutline,
  placeFault,
  pointNames,
  pointOf,
  polarOf,
  positionOf,
  type Setup,
  shadowCheek,
} from "./index.ts";

const [choir, , vase] = demoSetups() as [Setup, Setup, Setup];
const close = (actual: number, expected: number, tolerance: number, what = ""): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual}, expected ${expected}`);

const at = (noseHeightM: number): Setup => ({ ...choir, subject: { ...choir.subject, noseHeightM } });

test("[S2] (D) 45°, 35°, 1.2 m from the nose is x 0.695, z 0.695, 0.688 above it (domain 13.1)", () => {
  const setup = at(1.25);
  const rise = 1.2 * Math.sin((35 * Math.PI) / 180);
  const [x, y, z] = positionOf({ kind: "polar", azimuthDeg: 45, distanceM: 1.2, heightM: 1.25 + rise }, setup);
  close(x, 0.695, 0.0005);
  close(z, 0.695, 0.0005);
  close(y - 1.25, 0.688, 0.0005);
  close(polarOf([x, y, z], setup).elevationDeg, 35, 1e-9);
});

test("[S2] polar to Cartesian and back is the same place (seed 4201)", () => {
  const angle = fc.double({ min: -179.9, max: 179.9, noNaN: true });
  const share = fc.double({ min: -0.99, max: 0.99, noNaN: true });
  const distances = fc.double({ min: 0.2, max: 20, noNaN: true });
  fc.assert(
    fc.property(angle, distances, share, (azimuthDeg, distanceM, rise) => {
      const setup = at(1.4);
      const place = { kind: "polar", azimuthDeg, distanceM, heightM: Math.max(0, 1.4 + rise * distanceM) } as const;
      if (placeFault(place, setup, "") !== null) return;
      const back = asPolar(asCartesian(place, setup), setup);
      assert.equal(back.kind, "polar");
      if (back.kind !== "polar") return;
      close(back.azimuthDeg, azimuthDeg, 1e-6);
      close(back.distanceM, distanceM, 1e-9);
      close(back.heightM, place.heightM, 1e-9);
      close(distance(positionOf(place, setup), [0, 1.4, 0]), distanceM, 1e-9);
    }),
    { seed: 4201 },
  );
});

test("[S3] a front cannot be nearer to the nose than it is above it", () => {
  const setup = at(1.25);
  assert.equal(
    placeFault({ kind: "polar", azimuthDeg: 0, distanceM: 0.5, heightM: 1.8 }, setup, "p")?.code,
    "place-impossible",
  );
  assert.equal(placeFault({ kind: "polar", azimuthDeg: 0, distanceM: 0.55, heightM: 1.8 }, setup, "p"), null);
});

test("[S7] stands of the scenario stand where the plan says, measured from the cross", () => {
  const wanted: Record<string, [number, number]> = {
    M: [-1.1, 1.1],
    F: [1.08, 2.31],
    E: [1.53, -1.19],
    H: [-1.15, -1.48],
  };
  for (const light of choir.lights) {
    const foot = lightBody(choir, light).stand?.foot as Vec3;
    const [x, z] = wanted[light.tag] as [number, number];
    close(foot[0], x, 0.005, `${light.tag} x`);
    close(foot[2], z, 0.005, `${light.tag} z`);
    assert.equal(foot[1], 0);
  }
});

test("[S7] three legs stand at the foot radius, 120° apart, one of them where the rig says", () => {
  const light = choir.lights[0] as Setup["lights"][number];
  const stand = lightBody(choir, light).stand as NonNullable<ReturnType<typeof lightBody>["stand"]>;
  assert.equal(stand.legEnds.length, 3);
  for (const end of stand.legEnds) close(distance(end, stand.foot), 0.42, 1e-9);
  close(distance(stand.legEnds[0] as Vec3, stand.legEnds[1] as Vec3), 0.42 * Math.sqrt(3), 1e-9);
  const leg = subtract(stand.legEnds[0] as Vec3, stand.foot);
  close((Math.atan2(leg[0], leg[2]) * 180) / Math.PI, light.rig.legAzimuthDeg, 1e-9);
});

test("[S7] load, pivot and tail of a boom lie on one line, the tail as far as the arm's short end", () => {
  const boom = lightBody(choir, choir.lights[3] as Setup["lights"][number]).boom;
  assert.ok(boom !== null);
  close(distance(boom.tail, boom.pivot), 0.95, 1e-9);
  close(distance(boom.load, boom.tail), boom.reachM + 0.95, 1e-9);
});

test("[S5] head: length, breadth and height of the published means, nose 20 mm before the skin", () => {
  const head = headOf(choir);
  assert.ok(head !== null);
  assert.deepEqual(
    head.halfAxesM.map((half) => 2 * half),
    [0.15, 0.225, 0.19],
  );
  // Straight back from the nose tip the skin is met after 20 mm.
  const inFrame = (p: Vec3): number => {
    const d = subtract(p, head.centre);
    return Math.hypot(dot(d, head.right) / 0.075, dot(d, head.up) / 0.1125, dot(d, head.forward) / 0.095);
  };
  close(inFrame(addScaled(head.nose, head.forward, -0.02)), 1, 1e-9);
  close(distance(head.nose, head.earAxis), 0.125, 1e-9);
});

test("[S5] yaw turns the nose to picture-right, pitch lifts the chin; the nose tip stays at P0", () => {
  const turned: Setup = { ...choir, subject: { ...choir.subject, headYawDeg: 30, headPitchDeg: 20 } };
  const head = headOf(turned);
  assert.ok(head !== null);
  assert.deepEqual(head.nose, [0, 1.25, 0]);
  assert.ok(head.forward[0] > 0 && head.forward[1] > 0 && head.forward[2] > 0);
  close((Math.atan2(head.forward[0], head.forward[2]) * 180) / Math.PI, 30, 1e-9);
  close((Math.asin(head.forward[1]) * 180) / Math.PI, 20, 1e-9);
  for (const [a, b] of [
    ["right", "up"],
    ["up", "forward"],
    ["right", "forward"],
  ] as const)
    close(dot(head[a], head[b]), 0, 1e-12);
  close(length(head.up), 1, 1e-12);
});

test("[S5] points of the head stand half a dome off the skin and face outward, mirrored left and right", () => {
  const head = headOf(choir);
  assert.ok(head !== null);
  for (const side of ["cheek", "temple"] as const) {
    const [left, right] = [pointOf(choir, `${side}-left`), pointOf(choir, `${side}-right`)];
    assert.ok(left.position[0] < 0 && right.position[0] > 0);
    close(left.position[0], -right.position[0], 1e-12);
    close(left.position[2], right.position[2], 1e-12);
    close(length(left.normal), 1, 1e-12);
    const skin = subtract(addScaled(left.position, left.normal, -0.015), head.centre);
    close(Math.hypot(skin[0] / 0.075, skin[1] / 0.1125, skin[2] / 0.095), 1, 1e-9);
  }
  close(
    (Math.atan2(pointOf(choir, "cheek-right").normal[0], pointOf(choir, "cheek-right").normal[2]) * 180) / Math.PI,
    40,
    1e-9,
  );
  assert.ok(pointOf(choir, "crown").position[1] > 1.37 && pointOf(choir, "crown").position[1] < 1.42);
  assert.ok(pointOf(choir, "shoulder-left").position[1] < 1.13);
});

test("[S4] words say camera side and sitter's side", () => {
  assert.equal(pointOf(choir, "cheek-left").words, "cheek, camera left (sitter's right)");
  assert.equal(pointOf(choir, "shoulder-right").words, "shoulder, camera right (sitter's left)");
});

test("[S4] the lit cheek is the one nearer to the main", () => {
  assert.equal(litCheek(choir), "cheek-left");
  assert.equal(shadowCheek(choir), "cheek-right");
  const mirrored = {
    ...choir,
    lights: choir.lights.map((l) =>
      l.place.kind === "polar" ? { ...l, place: { ...l.place, azimuthDeg: -l.place.azimuthDeg } } : l,
    ),
  };
  assert.equal(litCheek(mirrored), "cheek-right");
  assert.equal(litCheek({ ...choir, lights: [] }), "cheek-left");
});

test("[S5] an object has no head and no body, and fewer points", () => {
  assert.equal(headOf(vase), null);
  const { head, body, panels } = occludersOf(vase);
  assert.equal(head, null);
  assert.deepEqual(body, []);
  assert.equal(panels.length, 1);
  assert.deepEqual(pointNames(vase).slice(0, 2), ["nose", "backdrop-centre"]);
  assert.deepEqual(pointOf(vase, "nose").position, [0, 1, 0]);
});

test("[S5] the head shades the far cheek from a light beside it, not the near one, and no point shades itself", () => {
  const { head } = occludersOf(choir);
  assert.ok(head !== null);
  const light: Vec3 = [-3, 1.25, -0.5];
  assert.equal(isBlocked(head, pointOf(choir, "cheek-right").position, light), true);
  assert.equal(isBlocked(head, pointOf(choir, "cheek-left").position, light), false);
  const { body } = occludersOf(choir);
  for (const name of ["nose", "cheek-left", "temple-right", "crown", "shoulder-left"] as const) {
    const point = pointOf(choir, name);
    const out = addScaled(point.position, point.normal, 2);
    for (const solid of [head, ...body]) assert.equal(isBlocked(solid, point.position, out), false, name);
  }
});

test("[S6] the picture at the nose is 0.44 × 0.66 m (135 mm, 2.60 m) and its corners on the paper follow", () => {
  const flat: Setup = { ...choir, camera: { ...choir.camera, aim: { xM: 0, yM: 1.25, zM: 0 } } };
  const upperLeft = pointOf(flat, "backdrop-upper-left").position;
  const lowerRight = pointOf(flat, "backdrop-lower-right").position;
  // Slopes from the field at the nose: 24 and 36 mm times (2600 − 135)/135.
  const scale = (2.6 - 0.135) / 0.135;
  close(lowerRight[0] - upperLeft[0], (0.024 * scale * 4.45) / 2.6, 1e-9);
  close(upperLeft[1] - lowerRight[1], (0.036 * scale * 4.45) / 2.6, 1e-9);
  close(0.024 * scale, 0.44, 0.002);
  close(0.036 * scale, 0.66, 0.003);
});

test("[S6] corners stay on the paper when the field is wider than it", () => {
  const narrow: Setup = {
    ...choir,
    backdrop: { ...(choir.backdrop as NonNullable<Setup["backdrop"]>), xM: 0, widthM: 0.5, heightM: 1.2 },
  };
  assert.deepEqual(
    pointOf(narrow, "backdrop-upper-left").position.map((v) => Math.round(v * 1e6) / 1e6),
    [-0.25, 1.2, -1.85],
  );
});

test("[S6] without paper the back wall stands in for it", () => {
  const bare = { ...choir, backdrop: null };
  close(pointOf(bare, "backdrop-centre").position[2], -2.2, 1e-12);
  assert.match(pointOf(bare, "backdrop-centre").words, /^back wall/);
  assert.ok(!pointNames(bare).includes("backdrop-centre"));
});

test("a light's axis passes through what it is aimed at; pan and tilt are world angles", () => {
  for (const light of choir.lights) {
    const from = positionOf(light.place, choir);
    const to = pointOf(choir, light.aim.kind === "point" ? light.aim.point : "nose").position;
    close(dot(axisOf(choir, light), normalize(subtract(to, from))), 1, 1e-12);
  }
  const main = choir.lights[0] as Setup["lights"][number];
  const axis = axisOf(choir, { ...main, aim: { kind: "pan-tilt", panDeg: 90, tiltDeg: -30 } });
  close(axis[0], Math.cos(Math.PI / 6), 1e-12);
  close(axis[1], -0.5, 1e-12);
});

test("a light aimed at its own middle still has a direction", () => {
  const main = choir.lights[0] as Setup["lights"][number];
  const [xM, yM, zM] = positionOf(main.place, choir);
  close(length(axisOf(choir, { ...main, aim: { kind: "xyz", xM, yM, zM } })), 1, 1e-12);
});

test("fronts have the area of their modifier; a strip stands at roll 0 and lies at 90", () => {
  const [m, , e, h] = choir.lights as unknown as [
    Setup["lights"][number],
    Setup["lights"][number],
    Setup["lights"][number],
    Setup["lights"][number],
  ];
  // Octagon across flats s: area 2(√2 − 1)s².
  close(frontOf(choir, m).areaM2, 2 * (Math.SQRT2 - 1) * 0.81, 1e-9);
  close(frontOf(choir, e).areaM2, 0.36, 1e-12);
  const spread = (light: typeof e, axis: 0 | 1 | 2): number => {
    const all = frontOf(choir, light).outline.map((p) => p[axis]);
    return Math.max(...all) - Math.min(...all);
  };
  assert.ok(spread(e, 1) > 1.1, "the edge strip stands");
  assert.ok(spread(h, 0) > 0.8, "the hair strip lies across");
});

test("panels are rectangles that face where they say", () => {
  for (const panel of choir.panels) {
    const outline = panelOutline(choir, panel);
    close(distance(outline[0] as Vec3, outline[1] as Vec3), 2, 1e-12);
    close(distance(outline[1] as Vec3, outline[2] as Vec3), 1, 1e-12);
    const middle = outline.reduce((sum, p) => add(sum, p), [0, 0, 0] as Vec3);
    const toNose = normalize(subtract([0, 1, 0], [middle[0] / 4, middle[1] / 4, middle[2] / 4]));
    assert.ok(dot(panelNormal(panel), toNose) > 0.99);
  }
});

test("the newest reading alone that was not taken back is the one that counts", () => {
  const light = choir.lights[0] as Setup["lights"][number];
  const reading = choir.readings[0] as Setup["readings"][number];
  const later = { ...reading, id: "r2", av: 5.3, at: "2026-11-24T15:00:00Z" };
  assert.equal(latestReading({ readings: [later, reading] }, light.id)?.id, "r2");
  assert.equal(latestReading({ readings: [reading, { ...later, undone: true }] }, light.id)?.id, reading.id);
  assert.equal(latestReading({ readings: [{ ...later, kind: "together" }] }, light.id), null);
});
