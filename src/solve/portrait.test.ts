import assert from "node:assert/strict";
import { test } from "node:test";
import type { Front } from "../photometry/index.ts";
import { discFront, rectangleFront } from "../photometry/index.ts";
import type { Setup } from "../setup/index.ts";
import { fault } from "../units/index.ts";
import { faceAngles, faceFrame } from "./face.ts";
import { glareReports } from "./glare.ts";
import {
  createSolver,
  degreesOutsideGrid,
  isInFrame,
  patternOf,
  predict,
  ratioWords,
  spreadOf,
  tailCutStops,
} from "./index.ts";
import { clockWords, noseShadow } from "./portrait.ts";
import { boxInBlackRoom, choir, lightOf, withLight } from "./testing.ts";

const near = (actual: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not within ${tolerance} of ${expected}`);

test("a head turned to picture-right sees a light at 45 degrees nearer to its nose; chin up lowers it", () => {
  const light: [number, number, number] = [Math.SQRT1_2, 0, Math.SQRT1_2];
  near(faceAngles(faceFrame(20, 0), light).azimuthDeg, 25, 1e-9);
  near(faceAngles(faceFrame(0, 10), [0, 0, 1]).elevationDeg, -10, 1e-9);
});

test("patterns by their usual angles, with neighbours where ranges meet (common practice)", () => {
  assert.equal(patternOf(0, 40, 0).name, "butterfly");
  assert.equal(patternOf(30, 30, 0).name, "loop");
  assert.equal(patternOf(-52, 38, 0).name, "Rembrandt");
  assert.equal(patternOf(88, 5, 0).name, "split");
  assert.equal(patternOf(135, 10, 0).name, "rim");
  assert.equal(patternOf(30, 80, 0).name, "none");
  assert.ok(patternOf(42, 35, 0).neighbours.length > 0);
});

test("broad when the main lights the side turned to the camera, short on the other, neither under 10 degrees", () => {
  assert.equal(patternOf(40, 30, -25).side, "broad");
  assert.equal(patternOf(40, 30, 25).side, "short");
  assert.equal(patternOf(40, 30, 5).side, null);
});

test("eye sockets go dark above 50 degrees (common practice)", () => {
  assert.equal(patternOf(30, 40, 0).eyeSockets, "both lit");
  assert.equal(patternOf(30, 47, 0).eyeSockets, "far eye at risk");
  assert.equal(patternOf(0, 60, 0).eyeSockets, "dark");
});

test("the shadow of the nose lies on the line from the light through its tip", () => {
  const shadow = noseShadow(30, 20, 20);
  // Direction of the light through the tip, followed 20 mm down to the cheek plane.
  const [a, e] = [Math.PI / 6, Math.PI / 9];
  const d = [Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e)];
  near(shadow?.xMm ?? Number.NaN, (-20 * (d[0] as number)) / (d[2] as number), 1e-9);
  near(shadow?.yMm ?? Number.NaN, (-20 * (d[1] as number)) / (d[2] as number), 1e-9);
});

test("clock words", () => {
  assert.equal(clockWords(1.51), "between 1 and 2 o'clock");
  assert.equal(clockWords(11.9), "at 12 o'clock");
  assert.equal(clockWords(0.5), "between 12 and 1 o'clock");
  assert.equal(clockWords(11.5), "between 11 and 12 o'clock");
});

const withGlasses = (setup: Setup, pitchDeg = 0): Setup => ({
  ...setup,
  camera: { ...setup.camera, position: { xM: 0, yM: 1.29, zM: 3 }, aim: { xM: 0, yM: 1.29, zM: 0 } },
  subject: {
    ...setup.subject,
    kind: "person",
    noseHeightM: 1.25,
    headYawDeg: 0,
    headPitchDeg: pitchDeg,
    spectacles: { tiltDeg: 8, baseCurveD: 6 },
  },
});

/** A large front square to the eyes, seen from them at an elevation. */
const frontAt = (elevationDeg: number): Front => {
  const [s, c] = [Math.sin((elevationDeg * Math.PI) / 180), Math.cos((elevationDeg * Math.PI) / 180)];
  return rectangleFront({ centre: [0, 1.29 + 2 * s, 2 * c], normal: [0, -s, -c] }, 0.3, 0.1);
};

test("spectacles with base curve 6 and tilt 8 mirror fronts between −39.6 and +7.6 degrees, and none above", () => {
  const setup = withGlasses(choir());
  const shown = (s: Setup, front: Front) => glareReports(s, [{ light: lightOf(choir(), "F"), front }])[0];
  for (const [elevation, shows] of [
    [5, true],
    [-16, true],
    [-36, true],
    [16, false],
    [30, false],
    [-48, false],
  ] as const) {
    assert.equal(shown(setup, frontAt(elevation))?.shows, shows, `${elevation} degrees`);
  }
  assert.match(shown(setup, frontAt(4))?.where ?? "", /^top of/);
  // Chin down moves the window down with it.
  assert.equal(shown(withGlasses(choir(), -8), frontAt(5))?.shows, false);
  assert.deepEqual(glareReports({ ...setup, subject: { ...setup.subject, spectacles: null } }, []), []);
});

test("a front in the field of view is in the frame, one beside it is not", () => {
  const setup = withGlasses(choir());
  const at = (x: number): Front => discFront({ centre: [x, 1.29, -1.5], normal: [0, 0, 1] }, 0.2);
  assert.equal(isInFrame(setup, at(0.1)), true);
  assert.equal(isInFrame(setup, at(1.5)), false);
});

test("a grid's cut-off is atan(w/t) off its nearest edge", () => {
  const front = rectangleFront({ centre: [0, 0, 0], normal: [0, 0, 1] }, 0.2, 0.2);
  const grid = { cellM: 0.05, depthM: 0.05, openFraction: 1 };
  // From the near edge at x 0.1 the point lies at atan(1.5/1) against a cut-off of 45 degrees.
  near(degreesOutsideGrid(front, grid, [1.6, 0, 1]), (Math.atan(1.5) * 180) / Math.PI - 45, 1e-9);
  assert.ok(degreesOutsideGrid(front, grid, [0.3, 0, 1]) < 0);
});

test("a bare light beside the camera axis, turned to the lens, is at risk; a panel in between flags it", () => {
  const base = boxInBlackRoom();
  const person: Setup = { ...base, subject: { ...base.subject, kind: "person", group: [] } };
  const toLens = withLight(person, "M", {
    place: { kind: "cartesian", xM: 1.1, yM: 1.5, zM: -0.6 },
    aim: { kind: "point", point: "lens" },
    dialStops: 0,
  });
  const flare = predict(toLens).flare[0];
  assert.equal(flare?.state, "at risk");
  assert.ok((flare?.lensStops ?? -9) > -3);
  const [x, y, z] = [0.55, 1.375, 1];
  const panel = {
    ...choir().panels[0],
    place: { kind: "cartesian", xM: x, yM: y, zM: z },
    facingDeg: 0,
    tiltDeg: 0,
    widthM: 1,
    heightM: 1.2,
  };
  assert.equal(predict({ ...toLens, panels: [panel as (typeof toLens.panels)[0]] }).flare[0]?.state, "flagged");
});

test("the tail of a slow flash: 1/150 s at 1/200 s loses 0.28249 stop [CV27] (D); a tail-cut head at low power none", () => {
  const head = { ...lightOf(choir(), "M").head, t01S: 1 / 150, durationAtLowPower: "longer" } as const;
  near(tailCutStops(head, 0, 1 / 200) ?? Number.NaN, -0.28249, 0.0001);
  near(tailCutStops({ ...head, durationAtLowPower: "shorter" }, -3, 1 / 200) ?? Number.NaN, 0, 1e-12);
  assert.equal(tailCutStops({ ...head, kind: "continuous" }, 0, 1 / 200), null);
});

test("a shutter shorter than the sync time is a fault; lamps alone may go shorter", () => {
  const setup = choir();
  const fast = { ...setup, exposure: { ...setup.exposure, shutterS: 1 / 1000, shutterMark: "1/1000" } };
  assert.equal(predict(fast).camera.syncFault?.code, fault("sync-too-short", "", "", "").code);
  const lamps = {
    ...fast,
    lights: fast.lights.map((light) => ({
      ...light,
      head: { ...light.head, kind: "continuous", powerW: 100 } as const,
    })),
  };
  assert.equal(predict(lamps).camera.syncFault, null);
});

test("ratios never show more digits than they know", () => {
  assert.equal(ratioWords(3, 0), "8:1");
  assert.equal(ratioWords(Math.log2(11.2), 0.05), "about 11:1");
  assert.equal(ratioWords(3.3, 0.05), "9.8:1");
  assert.equal(ratioWords(2.7, 0.05), "6.5:1");
  assert.equal(ratioWords(2.7, 0.3), "about 6:1");
  assert.equal(ratioWords(-1, 0), "1:2");
  assert.equal(ratioWords(0, 0), "1:1");
  assert.equal(ratioWords(7, 0.02), "about 130:1");
});

test("evenness over a group: a near side light is uneven, moved back it evens out [domain 5.5] (D)", () => {
  const base = boxInBlackRoom();
  const group = [-0.75, 0, 0.75].map((xM) => ({ xM, yM: 0, zM: 0 }));
  const at = (distanceM: number): number => {
    const place = { kind: "polar", azimuthDeg: 45, distanceM, heightM: 1.25 } as const;
    const modifier = { ...lightOf(base, "M").modifier, shape: "bare", widthM: 0.02, heightM: 0.02 } as const;
    const setup = withLight({ ...base, subject: { ...base.subject, group } }, "M", { place, modifier });
    return (
      createSolver()
        .report(setup)
        .evenness.find(({ name }) => name.startsWith("M alone"))?.spreadStops ?? Number.NaN
    );
  };
  // Point light at 2.5 m, 45°, level, heads at −0.75, 0, +0.75 m: spread 1.186.
  near(at(2.5), 1.186, 0.001);
  assert.ok(at(5) < 0.7);
  assert.equal(spreadOf([null, 3]), null, "a dark head beside a lit one is never even");
  assert.equal(spreadOf([null, null]), 0);
});
