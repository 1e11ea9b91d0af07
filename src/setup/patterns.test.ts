/** Starter patterns in the scenario's rooms and in many random ones. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import {
  bodyPoints,
  demoKit,
  emptyKit,
  type Kit,
  kitCanBuild,
  lightBody,
  overlapFaults,
  panelOutline,
  parseSetup,
  patterns,
  placePattern,
  printSetup,
  type Room,
  type Setup,
  targetAv,
} from "./index.ts";

const kit = demoKit();
const rehearsal = kit.rooms[0] as Room;
const place = (id: string, room: Room, from: Kit = kit): ReturnType<typeof placePattern> => {
  let n = 0;
  return placePattern(id, { kit: from, room, apertureAv: 5, newId: () => `id-${++n}` });
};

/** A kit with plenty of everything the patterns ask for. */
const rich: Kit = {
  ...kit,
  heads: kit.heads.map((head) => ({ ...head, count: 6 })),
  modifiers: kit.modifiers.map((front) => ({ ...front, count: 4 })),
  supports: kit.supports.map((support) => ({ ...support, count: 8 })),
  backdrops: [
    ...kit.backdrops,
    { ...(kit.backdrops[0] as Kit["backdrops"][number]), name: "Black paper", reflectance: 0.045 },
  ],
};
const hall: Room = {
  ...(kit.rooms[1] as Room),
  widthM: 12,
  depthM: 14,
  heightM: 6,
  crossFromLeftM: 6,
  crossFromBackM: 5,
};

/** Independent of the code under test: is any point of any light or panel past a wall, floor or ceiling? */
function throughWalls(setup: Setup): readonly string[] {
  const { room } = setup;
  const out: string[] = [];
  const check = (name: string, points: readonly (readonly [number, number, number])[]): void => {
    const past = points.some(([x, y, z]) => {
      const [fromLeft, fromBack] = [x + room.crossFromLeftM, z + room.crossFromBackM];
      return fromLeft < 0 || fromLeft > room.widthM || fromBack < 0 || fromBack > room.depthM || y > room.heightM;
    });
    if (past) out.push(name);
  };
  setup.lights.forEach((light, i) => {
    check(`lights[${i}].place`, bodyPoints(lightBody(setup, light)));
  });
  setup.panels.forEach((panel, i) => {
    check(`panels[${i}].place`, panelOutline(setup, panel));
  });
  return out;
}

test("patterns cover what the issue lists, each with its own id and a source", () => {
  assert.equal(new Set(patterns.map((p) => p.id)).size, patterns.length);
  for (const wanted of [
    "one-and-card",
    "over-under",
    "main-fill-edge",
    "main-fill-edge-hair",
    "white-ground",
    "low-key",
    "table-top",
    "panel-interview",
  ]) {
    assert.ok(
      patterns.some((p) => p.id === wanted),
      wanted,
    );
  }
  for (const pattern of patterns) assert.equal(pattern.source, "common practice, no source");
});

test("[S52] in a roomy hall with a full kit every pattern stands at its wish and nothing is listed", () => {
  for (const pattern of patterns) {
    const { setup, doesNotFit } = place(pattern.id, hall, rich);
    assert.deepEqual(doesNotFit, [], pattern.id);
    setup.lights.forEach((light, i) => {
      const wish = pattern.plan.lights[i] as (typeof pattern.plan.lights)[number];
      assert.equal(light.place.kind, "polar");
      if (light.place.kind !== "polar") return;
      assert.ok(Math.abs(light.place.azimuthDeg - wish.azimuthDeg) <= 10, `${pattern.id} ${light.tag}`);
      assert.ok(light.place.distanceM >= wish.distanceM * 0.85, `${pattern.id} ${light.tag}`);
    });
    assert.deepEqual(throughWalls(setup), []);
  }
});

test("[S51] four lights with hair fit the rehearsal room and this kit, and nothing is listed", () => {
  const { setup, doesNotFit } = place("main-fill-edge-hair", rehearsal);
  assert.deepEqual(doesNotFit, []);
  assert.deepEqual(overlapFaults(setup), []);
  assert.ok(kitCanBuild(kit, setup).ok);
  assert.deepEqual(
    setup.lights.map((l) => l.tag),
    ["M", "F", "E", "H"],
  );
  assert.equal(setup.lights[3]?.support.kind, "boom");
  assert.ok((setup.lights[3]?.rig.boom?.counterweightKg ?? 0) > 3);
  assert.equal(targetAv(setup, setup.lights[1] as Setup["lights"][number]), 2);
});

test("[S53] a pattern takes no more of a piece than the kit holds, and says what it had to plan without", () => {
  const { setup, doesNotFit } = place("panel-interview", rehearsal);
  const ours = setup.lights.filter((l) => l.head.id === "head-led-60");
  assert.equal(ours.length, 1);
  assert.equal(doesNotFit.filter((f) => f.code === "kit-lacks" && /LED panel/.test(f.what)).length, 2);
  for (const pattern of patterns) {
    const placed = place(pattern.id, hall);
    const { missing } = kitCanBuild(kit, placed.setup);
    for (const line of missing) assert.match(line, /plain/, `${pattern.id}: ${line}`);
    const lacks = placed.doesNotFit.some((f) => f.code === "kit-lacks");
    if (missing.length > 0) assert.ok(lacks, pattern.id);
  }
});

test("[S51] a room too short says by how much and what the picture becomes", () => {
  const { doesNotFit } = place("one-and-card", {
    ...rehearsal,
    depthM: 2.4,
    crossFromBackM: 1.2,
    furniture: [],
    openings: [],
  });
  const short = doesNotFit.find((f) => f.code === "room-short");
  assert.match(short?.what ?? "", /Rehearsal room is 0\.4 m too short/);
  assert.match(short?.mend ?? "", /picture is 0\.\d\d m high instead of 0\.66/);
});

test("[S51] a low ceiling: the hair light comes down, or is listed", () => {
  for (const heightM of [2.2, 2.4, 2.6]) {
    const { setup, doesNotFit } = place("main-fill-edge-hair", { ...rehearsal, heightM, detectors: [] });
    for (const where of throughWalls(setup))
      assert.ok(
        doesNotFit.some((f) => f.where === where),
        `${heightM} ${where}`,
      );
  }
});

test("hair and the caller's dials are taken up", () => {
  let n = 0;
  const { setup } = placePattern("main-fill-edge-hair", {
    kit,
    room: rehearsal,
    apertureAv: 6,
    newId: () => `n${++n}`,
    hair: "dark",
    title: "Mine",
    createdAt: "2026-11-25T10:00:00Z",
    planDials: (s) => ({ ...s, lights: s.lights.map((l) => ({ ...l, dialStops: -2 })) }),
  });
  assert.equal(setup.title, "Mine");
  assert.equal(targetAv(setup, setup.lights[3] as Setup["lights"][number]), 5);
  assert.ok(setup.lights.every((l) => l.dialStops === -2));
  assert.throws(() => place("no-such-pattern", rehearsal), RangeError);
});

test("[S50] [S51] in random rooms with random kits: a valid document, and nothing through a wall in silence (seed 5150)", () => {
  const size = (low: number, high: number): fc.Arbitrary<number> => fc.double({ min: low, max: high, noNaN: true });
  const rooms = fc.record({
    w: size(1.2, 9),
    d: size(1.2, 12),
    h: size(1.9, 5),
    x: size(0, 1),
    z: size(0, 1),
    fw: size(0.2, 1.5),
    fx: size(0, 1),
  });
  const kits = fc.constantFrom(kit, rich, emptyKit());
  fc.assert(
    fc.property(rooms, kits, fc.constantFrom(...patterns.map((p) => p.id)), (r, from, id) => {
      const room: Room = {
        ...rehearsal,
        widthM: r.w,
        depthM: r.d,
        heightM: r.h,
        crossFromLeftM: r.x * r.w,
        crossFromBackM: r.z * r.d,
        furniture: [
          { id: "box", name: "box", fromLeftM: r.fx * r.w, fromBackM: 0, widthM: r.fw, depthM: r.fw, heightM: 1 },
        ],
      };
      const { setup, doesNotFit } = place(id, room, from);
      const read = parseSetup(JSON.parse(printSetup(setup)));
      assert.ok(read.ok, JSON.stringify(read));
      for (const where of throughWalls(setup)) {
        assert.ok(
          doesNotFit.some((f) => f.where === where),
          `${where} in ${r.w} × ${r.d} × ${r.h}`,
        );
      }
    }),
    { seed: 5150, numRuns: 150 },
  );
});
