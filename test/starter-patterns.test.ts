/**
 * Starter patterns as a user meets them: placed for the room and the kit, dials planned by the prediction, then judged by
 * the care room. In the demo's four rooms at three apertures nothing may stop that was not said when it was placed;
 * in random rooms nothing clashes in silence. The demo book is judged the same way.
 */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { type Caution, checkSetup } from "../src/care/index.ts";
import {
  applyEdits,
  demoKit,
  demoSetups,
  latestReading,
  lightBody,
  type PlacedPattern,
  patterns,
  placePattern,
  type Room,
  type Setup,
} from "../src/setup/index.ts";
import { createSolver, planDials } from "../src/solve/index.ts";
import { expectOk } from "../src/units/index.ts";

const kit = demoKit();
const solver = createSolver();

const planned = (setup: Setup): Setup => expectOk(applyEdits(setup, planDials(setup, solver.report(setup).lights)));

function placed(id: string, room: Room, apertureAv: number): PlacedPattern {
  let n = 0;
  return placePattern(id, { kit, room, apertureAv, newId: () => `id-${++n}`, planDials: planned });
}

const judged = (setup: Setup): readonly Caution[] =>
  checkSetup(setup, solver.report(setup), kit, (changed) => solver.report(changed));

const words = (list: readonly Caution[]): readonly string[] => list.map(({ level, what }) => `${level}: ${what}`);
const ofLevel = (list: readonly Caution[], level: Caution["level"]): readonly Caution[] =>
  list.filter((caution) => caution.level === level);

/** A dial at its end is the kit's limit: then there is a way out that was proved. Everything else is said by the placing. */
function assertNothingStops(
  list: readonly Caution[],
  setup: Setup,
  doesNotFit: PlacedPattern["doesNotFit"],
  name: string,
): void {
  for (const caution of ofLevel(list, "stop")) {
    if (caution.topic === "dial") assert.ok(caution.mends.length > 0, `${name}: ${caution.what} has no mend`);
    else assert.ok(said(caution, setup, doesNotFit), `${name}: ${caution.what}, not said`);
  }
}

/** Whether a fault of the placing owns up to a caution: of its kind, and about the same light or the whole room. */
function said(caution: Caution, setup: Setup, doesNotFit: PlacedPattern["doesNotFit"]): boolean {
  const codes: Partial<Record<Caution["topic"], readonly string[]>> = {
    clearance: ["in-the-way", "does-not-fit"],
    fit: ["does-not-fit", "in-the-way", "room-short", "room-narrow", "room-low", "support-reach"],
    "way-out": ["way-out"],
    boom: ["support-reach", "in-the-way", "does-not-fit", "way-out"],
    tipping: ["kit-lacks"],
    overhead: ["kit-lacks"],
    kit: ["kit-lacks"],
  };
  const index = setup.lights.findIndex(({ id }) => id === caution.about.id);
  const ofIt = (where: string): boolean =>
    index < 0 || !where.startsWith("lights") || where.startsWith(`lights[${index}]`);
  return doesNotFit.some(({ code, where }) => codes[caution.topic]?.includes(code) === true && ofIt(where));
}

const apertures = [
  ["f/4", 4],
  ["f/5.6", 5],
  ["f/8", 6],
] as const;

for (const pattern of patterns) {
  test(`${pattern.name}: in the demo's rooms at f/4, f/5.6 and f/8 nothing stops that was not said, and little wants a look`, (t) => {
    let looks = 0;
    for (const room of kit.rooms) {
      for (const [mark, av] of apertures) {
        const { setup, doesNotFit } = placed(pattern.id, room, av);
        const list = judged(setup);
        const name = `${pattern.name}, ${room.name}, ${mark}`;
        assertNothingStops(list, setup, doesNotFit, name);
        // What the kit has not got is all that is left to look at.
        const unavoidable = doesNotFit.some(({ code }) => code === "kit-lacks") ? ["kit"] : [];
        const avoidable = ofLevel(list, "care").filter(({ topic }) => !unavoidable.includes(topic));
        assert.deepEqual(words(avoidable), [], name);
        looks += ofLevel(list, "care").length;
      }
    }
    t.diagnostic(`${pattern.id}: ${looks} of level care in ${kit.rooms.length * apertures.length} placings`);
  });
}

test("the four lights with hair: the boom stands clear of the edge light, balanced, bagged, bonded, its weight over nobody", () => {
  const { setup, doesNotFit } = placed("main-fill-edge-hair", kit.rooms[0] as Room, 5);
  assert.deepEqual(doesNotFit, []);
  const hair = setup.lights.find(({ tag }) => tag === "H") as Setup["lights"][number];
  assert.ok(hair.rig.bonded && hair.rig.sandbagKg >= 10);
  const [x = 0, , z = 0] = lightBody(setup, hair).boom?.tail ?? [];
  assert.ok(Math.hypot(x, z) > 0.7);
  const list = judged(setup);
  const level = (id: string): string | undefined => list.find((caution) => caution.id === id)?.level;
  for (const topic of ["boom", "tipping", "overhead"]) assert.equal(level(`${topic}:${hair.id}`), "done", topic);
  assert.equal(level("way-out:room"), "done");
});

const metres = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min, max, noNaN: true });
const rooms: fc.Arbitrary<Room> = fc
  .record({
    w: metres(2.2, 8),
    d: metres(2.6, 9),
    h: metres(2.1, 4),
    x: metres(0.2, 0.8),
    z: metres(0.2, 0.7),
    wall: fc.constantFrom("left", "right", "back", "front"),
    door: metres(0, 1),
    inward: fc.boolean(),
    size: metres(0.3, 1.2),
    bx: metres(0, 1),
    bz: metres(0, 1),
  })
  .map(
    (r): Room => ({
      ...(kit.rooms[0] as Room),
      name: "Random room",
      widthM: r.w,
      depthM: r.d,
      heightM: r.h,
      crossFromLeftM: r.x * r.w,
      crossFromBackM: r.z * r.d,
      detectors: [],
      openings: [
        {
          id: "door",
          kind: "door",
          name: "door",
          wall: r.wall as "left",
          fromM: r.door * ((r.wall === "left" || r.wall === "right" ? r.d : r.w) - 0.9),
          widthM: 0.9,
          sillM: 0,
          heightM: 2,
          opensInward: r.inward,
          covered: false,
        },
      ],
      furniture: [
        {
          id: "box",
          name: "box",
          fromLeftM: r.bx * (r.w - r.size),
          fromBackM: r.bz * (r.d - r.size),
          widthM: r.size,
          depthM: r.size,
          heightM: 1,
        },
      ],
    }),
  );

const seed = 60_2511;
test(`in 60 random rooms no light clashes, tips or narrows the way to a stop in silence (seed ${seed})`, (t) => {
  let [owned, fitting] = [0, 0];
  fc.assert(
    fc.property(rooms, fc.constantFrom(...patterns.map(({ id }) => id)), (room, id) => {
      const { setup, doesNotFit } = placed(id, room, 5);
      const list = checkSetup(setup, solver.report(setup), kit);
      const stops = ofLevel(list, "stop").filter(({ topic }) => topic !== "dial");
      const silent = stops.filter((caution) => !said(caution, setup, doesNotFit));
      owned += stops.length - silent.length;
      if (doesNotFit.every(({ code }) => code === "kit-lacks")) fitting += 1;
      const size = `${id} in ${room.widthM.toFixed(2)} × ${room.depthM.toFixed(2)} × ${room.heightM.toFixed(2)}`;
      assert.deepEqual(words(silent), [], size);
    }),
    { seed, numRuns: 60, endOnFailure: true },
  );
  t.diagnostic(`${fitting} of 60 fit; of the others ${owned} stops, each said when it was placed`);
  assert.ok(fitting > 10 && owned > 0, `${fitting} fit, ${owned} stops`);
});

test("all nine patterns are placed in the rehearsal room while a finger still lies on the aperture", (t) => {
  const all = (): number => {
    const from = performance.now();
    for (const { id } of patterns) {
      placePattern(id, { kit, room: kit.rooms[0] as Room, apertureAv: 5, newId: () => "id" });
    }
    return performance.now() - from;
  };
  // The best of three: other tests share the machine. Wanted are 150 ms on an idle one; four times that is a fault anywhere.
  const ms = Math.min(all(), all(), all());
  t.diagnostic(`nine patterns: ${ms.toFixed(0)} ms`);
  assert.ok(ms < 600, `${ms.toFixed(0)} ms`);
});

test("demo book: what was metered lies within 0.3 of the prediction from the catalogue alone", () => {
  for (const setup of demoSetups()) {
    const bare = { ...setup, readings: [] };
    for (const { lightId, tag, predicted } of solver.report(bare).lights) {
      const reading = latestReading(setup, lightId);
      if (reading === null) continue;
      const off = reading.av - (predicted.av ?? Number.NEGATIVE_INFINITY);
      assert.ok(Math.abs(off) <= 0.3 + 1e-9, `${setup.title} ${tag}: ${off.toFixed(2)}`);
    }
  }
});

test("demo book: the only stop is the choir's hair light, 0.4 to 0.5 over at its lowest dial; its way out is narrow, and mends work", () => {
  for (const setup of demoSetups()) {
    const list = judged(setup);
    const stops = ofLevel(list, "stop");
    if (setup.id !== "demo-choir") {
      assert.deepEqual(words(stops), [], setup.title);
      continue;
    }
    assert.deepEqual(
      stops.map(({ id }) => id),
      ["dial:light-h"],
    );
    const over = stops[0]?.figures[0]?.value ?? 0;
    assert.ok(over >= 0.35 && over < 0.55 && (stops[0]?.mends.length ?? 0) > 0, `${over}`);
    const way = list.find(({ id }) => id === "way-out:room") as Caution;
    assert.equal(way.level, "care");
    assert.match(way.what, /1\.0 m wanted, 0\.65 m left between .*F's/);
    const wide = way.mends.find(({ leaves }) => leaves === "way out 1.0 m");
    assert.ok(wide !== undefined, way.mends.map(({ leaves }) => leaves).join(", "));
  }
});
