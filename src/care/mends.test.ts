/** Whatever stands there, what is offered works: random variations of the demo's setups. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { applyEdits, demoKit, demoSetups, type Light, type Setup, wrapDegrees } from "../setup/index.ts";
import { createSolver } from "../solve/index.ts";
import { type Caution, checkSetup } from "./index.ts";

const seed = 20261125;
const runs = 12;
const kit = demoKit();
const weightOf = (caution: Caution | undefined): number =>
  ({ stop: 3, care: 2, note: 1, done: 0 })[caution?.level ?? "done"];

/** What is moved about in each setup; one entry for each light. */
const change = fc.record({
  swingDeg: fc.integer({ min: -25, max: 25 }),
  distance: fc.double({ min: 0.85, max: 1.3, noNaN: true }),
  legDeg: fc.integer({ min: -180, max: 180 }),
  bagKg: fc.constantFrom(0, 0, 5, 10),
  bonded: fc.boolean(),
  weight: fc.double({ min: 0.5, max: 1.5, noNaN: true }),
  lamp: fc.boolean(),
});
const variation = fc.record({
  which: fc.constantFrom("demo-choir", "demo-luthier", "demo-one-card", "demo-clamshell"),
  lights: fc.array(change, { minLength: 4, maxLength: 4 }),
  amps: fc.constantFrom(2, 4, 16),
  tiltDeg: fc.option(fc.integer({ min: 0, max: 9 })),
  crossM: fc.double({ min: 1.4, max: 2.6, noNaN: true }),
});
type Variation = typeof variation extends fc.Arbitrary<infer T> ? T : never;

function varied(v: Variation): Setup {
  const setup = demoSetups().find(({ id }) => id === v.which) as Setup;
  const lights = setup.lights.map((light, i): Light => {
    const c = v.lights[i % v.lights.length] as Variation["lights"][number];
    const { place, rig } = light;
    const moved =
      place.kind === "polar"
        ? {
            ...place,
            azimuthDeg: wrapDegrees(place.azimuthDeg + c.swingDeg),
            distanceM: Math.round(place.distanceM * c.distance * 100) / 100,
          }
        : place;
    const boom =
      rig.boom === null
        ? null
        : { ...rig.boom, counterweightKg: Math.round(rig.boom.counterweightKg * c.weight * 10) / 10 };
    return {
      ...light,
      place: moved,
      modellingLampOn: c.lamp,
      rig: { legAzimuthDeg: c.legDeg, sandbagKg: c.bagKg, bonded: c.bonded, boom },
    };
  });
  return {
    ...setup,
    lights,
    room: {
      ...setup.room,
      crossFromLeftM: v.crossM,
      circuits: setup.room.circuits.map((circuit) => ({ ...circuit, amps: v.amps })),
    },
    subject: { ...setup.subject, spectacles: v.tiltDeg === null ? null : { tiltDeg: v.tiltDeg, baseCurveD: 4 } },
  };
}

test(`[C21] every mend on offer removes its caution or lightens it, and raises no other (seed ${seed}, ${runs} setups)`, () => {
  let [tried, moved] = [0, 0];
  fc.assert(
    fc.property(variation, (v) => {
      const setup = varied(v);
      const solver = createSolver();
      const report = solver.report(setup);
      const list = checkSetup(setup, report, kit, (changed) => solver.report(changed));
      const before = new Map(list.map((caution) => [caution.id, weightOf(caution)]));
      for (const caution of list) {
        for (const mend of caution.mends) {
          if (mend.edits.length === 0) {
            assert.ok(mend.steps.length > 0, caution.id);
            continue;
          }
          const changed = applyEdits(setup, mend.edits);
          assert.ok(changed.ok, mend.label);
          tried += 1;
          if (mend.edits.some((edit) => edit.kind !== "light" || "place" in edit.set)) moved += 1;
          // A solver that remembers nothing: the mend does not rest on what was kept.
          const after = checkSetup(changed.value, createSolver().report(changed.value), kit);
          assert.ok(
            weightOf(after.find(({ id }) => id === caution.id)) < weightOf(caution),
            `${caution.id}: ${mend.label}`,
          );
          const worse = after.filter((each) => weightOf(each) >= 2 && weightOf(each) > (before.get(each.id) ?? 0));
          assert.deepEqual(
            worse.map(({ id, what }) => `${id} ${what}`),
            [],
            `${caution.id}: ${mend.label}`,
          );
        }
      }
    }),
    { seed, numRuns: runs, endOnFailure: true },
  );
  assert.ok(tried > 20 && moved > 2, `only ${tried} mends tried, ${moved} of them moved light`);
});
