import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { applyEdits, type Reading, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import {
  createSolver,
  fitDialTable,
  fitOutput,
  learnFrom,
  meterToCamera,
  planDials,
  planTogether,
  predict,
  tellsSize,
} from "./index.ts";
import { choir, lightOf, withLight } from "./testing.ts";

const near = (actual: number, expected: number, tolerance: number, what = ""): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual} is not within ${tolerance} of ${expected}`);

const aloneReading = (setup: Setup, tag: string, av: number, set: Partial<Reading> = {}): Reading => {
  const light = lightOf(setup, tag);
  return {
    id: `reading-${tag}-${av}`,
    lightId: light.id,
    kind: "alone",
    place: light.meterAt,
    lightsOn: [light.id],
    shaded: [],
    av,
    typed: String(av),
    iso: setup.exposure.iso,
    shutterS: setup.exposure.shutterS,
    dialStops: light.dialStops,
    at: "2026-11-21T15:00:00Z",
    device: "test",
    undone: false,
    ...set,
  };
};

test("after one reading the prediction is that reading, it rests on the meter, its error bar is the meter's", () => {
  const setup = choir();
  for (const [tag, av] of [
    ["M", 5.4],
    ["F", 1.6],
    ["E", 3.7],
    ["H", 2.9],
  ] as const) {
    const read: Setup = { ...setup, readings: [aloneReading(setup, tag, av)] };
    const learned = expectOk(learnFrom(read, `reading-${tag}-${av}`));
    const after = predict(expectOk(applyEdits(read, learned.edits))).lights.find((light) => light.tag === tag);
    near(after?.predicted.av ?? Number.NaN, av, 1e-9, tag);
    const before = predict(read).lights.find((light) => light.tag === tag);
    assert.ok((after?.predicted.sigmaStops ?? 9) < (before?.predicted.sigmaStops ?? 0), tag);
    if (tag === "E") assert.equal(after?.predicted.restsOn, "metered");
    // Offered to the kit with the head's own count of readings.
    const { head } = lightOf(setup, tag);
    assert.equal(learned.kitOffer.headId, head.id);
    assert.equal(learned.kitOffer.learnedReadings, head.learnedReadings + 1);
    near(learned.kitOffer.learnedStops - head.learnedStops, learned.stops / learned.kitOffer.learnedReadings, 1e-9);
  }
});

test("learning holds at another dial and another distance: only what the reading fixed has moved", () => {
  const setup: Setup = { ...choir(), room: { ...choir().room, ambientLx: null } };
  const read: Setup = { ...setup, readings: [aloneReading(setup, "M", 5.6)] };
  const learned = expectOk(learnFrom(read, "reading-M-5.6"));
  const calibrated = expectOk(applyEdits(read, learned.edits));
  const solver = createSolver();
  const id = lightOf(setup, "M").id;
  for (const set of [
    { dialStops: -2 },
    { place: { kind: "polar", azimuthDeg: -60, distanceM: 1.6, heightM: 1.7 } },
  ] as const) {
    const at = (s: Setup): number => solver.alone(withLight(s, "M", set), id, lightOf(s, "M").meterAt).av ?? Number.NaN;
    near(at(calibrated) - at(setup), learned.stops, 1e-9);
  }
});

test("readings that teach nothing are faults that say why", () => {
  const setup = choir();
  const code = (s: Setup, id: string): string => {
    const result = learnFrom(s, id);
    return result.ok ? "ok" : (result.faults[0]?.code ?? "");
  };
  assert.equal(code(setup, "nothing"), "no-such-reading");
  const together = aloneReading(setup, "M", 5, { id: "t", kind: "together", lightId: null });
  assert.equal(code({ ...setup, readings: [together] }, "t"), "reading-not-alone");
  const gone = aloneReading(setup, "M", 5, { id: "g", lightId: "gone" });
  assert.equal(code({ ...setup, readings: [gone] }, "g"), "no-such-light");
});

test("a dial table comes from four positions or more and must rise", () => {
  const table = expectOk(fitDialTable([-3, -2, -1, 0].map((dialStops) => ({ dialStops, av: 7 + 0.9 * dialStops }))));
  table.forEach(({ dialStops, measuredStops }) => {
    near(measuredStops, 0.9 * dialStops, 1e-9);
  });
  const few = fitDialTable([{ dialStops: 0, av: 7 }]);
  assert.equal(few.ok ? "" : few.faults[0]?.code, "dial-table-few");
  const falls = fitDialTable([0, -1, -2, -3].map((dialStops) => ({ dialStops, av: 7 - dialStops })));
  assert.equal(falls.ok ? "" : falls.faults[0]?.code, "dial-table-falls");
});

test("size is fitted only from readings that can tell it", () => {
  const at = (...distances: number[]) =>
    distances.map((distanceM) => ({ distanceM, luxSeconds: 800 / (distanceM ** 2 + 0.2) }));
  assert.equal(tellsSize(at(0.6, 1, 2), 0.45), true);
  assert.equal(tellsSize(at(1.2, 1.8), 0.45), false);
  assert.equal(fitOutput(at(1.2)), null);
});

test("meter to camera: an 18 % card that comes out at 0.09 asks one stop more; clipped cards say nothing", () => {
  near(expectOk(meterToCamera(0.18, 0.09)), 1, 1e-12);
  assert.equal(meterToCamera(0.18, 1).ok, false);
  assert.equal(meterToCamera(0.18, 0).ok, false);
});

test("planning sets every dial to its target as near as its head goes, and planning again changes nothing", () => {
  const setup = { ...choir(), readings: [] };
  const solver = createSolver();
  const planned = expectOk(applyEdits(setup, planDials(setup, solver.report(setup).lights)));
  for (const light of solver.report(planned).lights) {
    assert.equal(light.plan.dialFromStops, light.plan.dialToStops, light.tag);
    if (light.plan.state === "planned")
      assert.ok(Math.abs(light.plan.residualStops) <= light.toleranceStops, light.tag);
  }
  assert.deepEqual(planDials(planned, solver.report(planned).lights), []);
});

test("dark targets and too few readings are faults", () => {
  const scale = { kind: "below-full", lowestStops: -5, stepStops: 0.1 } as const;
  const code = (result: ReturnType<typeof planTogether>): string => (result.ok ? "ok" : (result.faults[0]?.code ?? ""));
  assert.equal(code(planTogether([[100]], [0], [scale])), "plan-target");
  assert.equal(code(planTogether([[100, 50]], [10], [scale, scale])), "plan-shape");
});

const SEED = 4711;
test(`joint plans keep to their dials and no single step of one head is better (seed ${SEED})`, () => {
  const scale = { kind: "below-full", lowestStops: -6, stepStops: 0.1 } as const;
  const cell = fc.double({ min: 1, max: 60, noNaN: true });
  const matrix = fc
    .array(fc.tuple(cell, cell, cell), { minLength: 3, maxLength: 3 })
    .map((rows) => rows.map((row, j) => row.map((value, k) => (j === k ? 500 + value : value))));
  const targets = fc.array(fc.double({ min: 20, max: 400, noNaN: true }), { minLength: 3, maxLength: 3 });
  fc.assert(
    fc.property(matrix, targets, (h, t) => {
      const plan = expectOk(planTogether(h, t, [scale, scale, scale]));
      const worst = (dials: readonly number[]): number =>
        Math.max(
          ...h.map((row, j) =>
            Math.abs(Math.log2(row.reduce((sum, v, k) => sum + v * 2 ** (dials[k] as number), 0) / (t[j] as number))),
          ),
        );
      const best = worst(plan.dialStops);
      near(Math.max(...plan.residualStops.map(Math.abs)), best, 1e-9);
      plan.dialStops.forEach((dial, k) => {
        assert.ok(dial <= 0 && dial >= -6 - 1e-9);
        for (const step of [-0.1, 0.1]) {
          const other = plan.dialStops.with(k, Math.min(0, Math.max(-6, dial + step)));
          assert.ok(worst(other) >= best - 1e-6);
        }
      });
    }),
    { seed: SEED, numRuns: 200 },
  );
});
