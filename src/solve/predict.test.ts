import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { frontFactor } from "../photometry/index.ts";
import { frontOf, type Light, type MeterPlace, occludersOf, pointOf, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { lensPosition, towards } from "./face.ts";
import { createSolver, type Ledger, type LedgerRow, predict, predictTogether } from "./index.ts";
import { chainsOf } from "./ledger.ts";
import { boxInBlackRoom, choir, lightOf, withLight } from "./testing.ts";

const near = (actual: number, expected: number, tolerance: number, what = ""): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual} is not within ${tolerance} of ${expected}`);

/** Recomputes a tree from its rows alone. */
function reading(ledger: Ledger): number | null {
  if (ledger.kind === "chain") {
    if (ledger.rows.some((row) => row.dark)) return null;
    return ledger.rows.reduce((sum, row) => sum + row.stops, 0);
  }
  let light = 0;
  for (const part of ledger.parts) light += 2 ** (reading(part) ?? Number.NEGATIVE_INFINITY);
  return light > 0 ? Math.log2(light) : null;
}

const ORDER = [
  "energy",
  "dial",
  "pops",
  "modifier",
  "gels",
  "size-and-distance",
  "grid",
  "direction",
  "shading",
  "shutter",
  "receptor",
  "calibration",
];

function checkTree(ledger: Ledger): void {
  const sum = reading(ledger);
  if (sum === null) assert.equal(ledger.av, null);
  else near(ledger.av ?? Number.NaN, sum, 1e-9, ledger.label);
  for (const chain of chainsOf(ledger)) {
    const order = chain.rows.map((row: LedgerRow) => ORDER.indexOf(row.row));
    assert.deepEqual(
      order,
      [...order].sort((a, b) => a - b),
      `rows of ${chain.label} are in order`,
    );
    for (const row of chain.rows)
      assert.ok(Number.isFinite(row.stops) && Number.isFinite(row.soFarAv) && row.sigmaStops >= 0);
  }
}

const SEED = 20261125;

/** A random light of the choir's kit somewhere around the sitter. */
const randomLight = (like: Light): fc.Arbitrary<Light> =>
  fc
    .record({
      azimuthDeg: fc.double({ min: -180, max: 180, noNaN: true }),
      distanceM: fc.double({ min: 0.8, max: 2, noNaN: true }),
      rise: fc.double({ min: -0.5, max: 0.7, noNaN: true }),
      rollDeg: fc.double({ min: -90, max: 90, noNaN: true }),
      dial: fc.integer({ min: -50, max: 0 }),
      pops: fc.integer({ min: 1, max: 8 }),
      ndStops: fc.double({ min: 0, max: 3, noNaN: true }),
      calibrationStops: fc.option(fc.double({ min: -1, max: 1, noNaN: true }), { nil: null }),
      hotCentre: fc.double({ min: 0, max: 0.6, noNaN: true }),
      t01S: fc.option(fc.double({ min: 0.0005, max: 0.01, noNaN: true }), { nil: null }),
    })
    .map((r) => ({
      ...like,
      place: { kind: "polar", azimuthDeg: r.azimuthDeg, distanceM: r.distanceM, heightM: 1.25 + r.rise },
      rollDeg: r.rollDeg,
      dialStops: r.dial / 10,
      pops: r.pops,
      ndStops: r.ndStops,
      calibrationStops: r.calibrationStops,
      head: { ...like.head, t01S: r.t01S, t05S: null },
      modifier: { ...like.modifier, hotCentre: like.modifier.grid === null ? r.hotCentre : 0 },
    }));

const PLACES: readonly MeterPlace[] = [
  { point: "nose", receptor: "dome", aim: "light" },
  { point: "cheek-right", receptor: "dome", aim: "camera" },
  { point: "temple-left", receptor: "disc", aim: "light" },
  { point: "crown", receptor: "disc", aim: "normal" },
  { point: "backdrop-centre", receptor: "disc", aim: "normal" },
  { point: "lens", receptor: "disc", aim: "normal" },
];

test(`every ledger sums to its reading, rows in order, over random lights (seed ${SEED})`, () => {
  const solver = createSolver();
  const setup = choir();
  const arbitrary = fc
    .tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: 0, max: PLACES.length - 1 }))
    .chain(([i, place]) =>
      randomLight(setup.lights[i] as Light).map((light) => ({ light, place: PLACES[place] as MeterPlace })),
    );
  fc.assert(
    fc.property(arbitrary, ({ light, place }) => {
      const changed: Setup = { ...setup, lights: setup.lights.map((other) => (other.id === light.id ? light : other)) };
      const predicted = solver.alone(changed, light.id, place);
      checkTree(predicted.ledger);
      assert.equal(predicted.av, predicted.ledger.av);
      const c = place.receptor === "disc" ? changed.meter.discC : changed.meter.domeC;
      const luxSeconds = predicted.av === null ? 0 : (c * 2 ** predicted.av) / changed.exposure.iso;
      near(predicted.luxSeconds, luxSeconds, 1e-9 * luxSeconds);
    }),
    { seed: SEED, numRuns: 60 },
  );
});

test(`the straight chain equals the kernel called directly, over random lights (seed ${SEED + 1})`, () => {
  const solver = createSolver();
  const setup = choir();
  const arbitrary = fc.integer({ min: 0, max: 3 }).chain((i) => randomLight(setup.lights[i] as Light));
  let lit = 0;
  fc.assert(
    fc.property(arbitrary, (light) => {
      const changed: Setup = { ...setup, lights: setup.lights.map((other) => (other.id === light.id ? light : other)) };
      const { ledger } = solver.alone(changed, light.id, { point: "cheek-left", receptor: "dome", aim: "camera" });
      const straight = chainsOf(ledger).find(({ label }) => label === "straight");
      const { head, body, panels } = occludersOf(changed);
      const occluders = [...(head ? [head] : []), ...body, ...panels.map((panel) => panel.occluder)];
      const { position } = pointOf(changed, "cheek-left");
      const axis = towards(position, lensPosition(changed));
      const factor = frontFactor(frontOf(changed, light), position, axis, { kind: "dome" }, { occluders });
      if (straight?.av === null || straight === undefined) {
        assert.equal(factor, 0);
        return;
      }
      lit += 1;
      // Flux out of the front as set, from the document alone.
      const passed = light.head.t01S === null ? 1 : 1 - 10 ** (-changed.exposure.shutterS / light.head.t01S);
      const kept = light.head.durationAtLowPower === "shorter" ? 2 ** light.dialStops : 1;
      const shutter = light.head.t01S === null ? 1 : Math.min(passed, kept) / kept;
      const flux =
        (light.head.energyWs ?? 0) *
        light.head.efficacy *
        2 ** light.head.learnedStops *
        2 ** light.dialStops *
        light.pops *
        light.modifier.transmission *
        2 ** light.modifier.learnedStops *
        2 ** (-light.ndStops + (light.calibrationStops ?? 0)) *
        shutter;
      const luxSeconds = (changed.meter.domeC * 2 ** straight.av) / changed.exposure.iso;
      // A tail cut of less than 0.005 stop has no row of its own.
      near(Math.log2(luxSeconds / (flux * factor)), 0, shutter < 1 && shutter > 0.996 ? 0.0051 : 1e-9);
    }),
    { seed: SEED + 1, numRuns: 60 },
  );
  assert.ok(lit > 20, `only ${lit} of the lights reached the cheek`);
});

test("a map is the straight chain at each of its points", () => {
  const setup = boxInBlackRoom();
  const light = setup.lights[0] as Light;
  const solver = createSolver();
  const nose = pointOf(setup, "nose").position;
  const map = solver.map(
    setup,
    light.id,
    { origin: nose, stepU: [0.1, 0, 0], stepV: [0, 0.1, 0], columns: 2, rows: 1 },
    "front",
    "disc",
  );
  const alone = solver.alone(setup, light.id, { point: "nose", receptor: "disc", aim: "light" });
  near((map[0] as number) / alone.luxSeconds, 1, 1e-12);
});

test("memory changes nothing: a solver that has seen many setups answers as a fresh one", () => {
  const solver = createSolver();
  const setup = choir();
  for (let i = 0; i < 6; i++) solver.report(withLight(setup, "MFEH"[i % 4] ?? "M", { dialStops: -1 - i / 10 }));
  solver.report(withLight(setup, "F", { place: { kind: "polar", azimuthDeg: 40, distanceM: 1.7, heightM: 1.7 } }));
  assert.deepEqual(solver.report(structuredClone(setup)), predict(setup));
});

test("a dial turned by a stop moves the light by a stop, ambient apart", () => {
  const setup: Setup = { ...choir(), room: { ...choir().room, ambientLx: null } };
  const solver = createSolver();
  for (const tag of ["M", "F", "E", "H"]) {
    const light = lightOf(setup, tag);
    const up = withLight(setup, tag, { dialStops: light.dialStops + 1 });
    const [before, after] = [setup, up].map((s) => solver.alone(s, light.id, light.meterAt).av ?? Number.NaN);
    near((after ?? 0) - (before ?? 0), 1, 1e-9, tag);
  }
});

test("together is the sum in light of what each light gives at that one place, shaded ones without their straight way", () => {
  const setup = choir();
  const solver = createSolver();
  const place: MeterPlace = { point: "cheek-right", receptor: "dome", aim: "camera" };
  const ids = setup.lights.map(({ id }) => id);
  const all = expectOk(solver.together(setup, { place, lightsOn: null, shaded: [] }));
  const dark: Setup = { ...setup, room: { ...setup.room, ambientLx: null } };
  const each = ids.reduce((sum, id) => sum + 2 ** (solver.alone(dark, id, place).av ?? Number.NEGATIVE_INFINITY), 0);
  const withoutAmbient = expectOk(solver.together(dark, { place, lightsOn: null, shaded: [] }));
  near(2 ** (withoutAmbient.av ?? 0) / each, 1, 1e-9);
  const shaded = expectOk(solver.together(setup, { place, lightsOn: null, shaded: [ids[0] as string] }));
  assert.ok((shaded.av ?? 0) < (all.av ?? 0));
  checkTree(all.ledger);
  checkTree(shaded.ledger);
});

test("readings that look at each light are not added: a fault says why", () => {
  const setup = choir();
  const result = predictTogether(setup, {
    place: { point: "nose", receptor: "dome", aim: "light" },
    lightsOn: null,
    shaded: [],
  });
  assert.equal(result.ok, false);
  if (!result.ok) assert.ok(result.faults.every(({ code }) => code === "sum-aim"));
});

test("a light that shows the meter its back is dark, not minus infinity, and the room still returns some of it", () => {
  const setup = boxInBlackRoom();
  const away = withLight(setup, "M", { aim: { kind: "pan-tilt", panDeg: 45, tiltDeg: 0 } });
  const solver = createSolver();
  const id = lightOf(away, "M").id;
  const place: MeterPlace = { point: "nose", receptor: "dome", aim: "light" };
  const predicted = solver.alone(away, id, place);
  assert.equal(predicted.av, null);
  assert.equal(predicted.luxSeconds, 0);
  const straight = chainsOf(predicted.ledger)[0];
  assert.equal(straight?.rows[straight.rows.length - 1]?.dark, true);
  const white = { ceiling: 0.8, floor: 0.3, left: 0.8, right: 0.8, back: 0.8, front: 0.8 };
  const inWhite = { ...away, room: { ...away.room, reflectance: white } };
  assert.ok(solver.alone(inWhite, id, place).av !== null);
});

test("errors of one cause add linearly, of different causes in quadrature, shares by light", () => {
  const setup = choir();
  const { ledger, sigmaStops } = createSolver().alone(setup, lightOf(setup, "F").id, {
    point: "nose",
    receptor: "dome",
    aim: "light",
  });
  const byCause = new Map<string, number>();
  for (const chain of chainsOf(ledger)) {
    if (chain.av === null) continue;
    for (const row of chain.rows) {
      byCause.set(row.cause, (byCause.get(row.cause) ?? 0) + 2 ** (chain.av - (ledger.av ?? 0)) * row.sigmaStops);
    }
  }
  near(sigmaStops, Math.hypot(...byCause.values()), 1e-12);
});

test("ambient counts once: 500 lx at 1/64 s on 160 lx·s of flash adds 0.06878 stop [CV16] (D)", () => {
  const base = boxInBlackRoom();
  const id = (base.lights[0] as Light).id;
  const place: MeterPlace = { point: "nose", receptor: "disc", aim: "light" };
  const solver = createSolver();
  // Bring the flash to f/8, 160 lx·s.
  const av = solver.alone(base, id, place).av ?? 0;
  const at8 = withLight(base, "M", { dialStops: -2.3 + 6 - av });
  const lit = { ...at8, room: { ...at8.room, ambientLx: 500 }, exposure: { ...at8.exposure, shutterS: 1 / 64 } };
  near(solver.alone(at8, id, place).av ?? 0, 6, 1e-9);
  near((solver.alone(lit, id, place).av ?? 0) - 6, 0.06878, 0.0001);
});
