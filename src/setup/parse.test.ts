/** Documents in and out: round trips, crafted bad documents, fuzz. */

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import fc from "fast-check";
import {
  demoKit,
  demoSetups,
  parseKit,
  parseSetup,
  parseSetupWithRepairs,
  printKit,
  printSetup,
  type Setup,
} from "./index.ts";
import { migrateWith } from "./migrate.ts";

const choir = demoSetups()[0] as Setup;
// biome-ignore lint/suspicious/noExplicitAny: crafted documents are JSON of any shape
type Json = any;
const copy = (value: unknown): Json => JSON.parse(JSON.stringify(value));

test("[S12] every demo setup and the demo kit come back the same after print and parse", () => {
  for (const setup of demoSetups()) {
    const read = parseSetup(JSON.parse(printSetup(setup)));
    assert.ok(read.ok);
    assert.deepEqual(copy(read.value), copy(setup));
    assert.equal(printSetup(read.value), printSetup(setup));
  }
  const kit = parseKit(JSON.parse(printKit(demoKit())));
  assert.ok(kit.ok);
  assert.deepEqual(copy(kit.value), copy(demoKit()));
});

test("[S12] printing does not depend on the order in which fields came", () => {
  const shuffle = (value: Json): Json => {
    if (Array.isArray(value)) return value.map(shuffle);
    if (value === null || typeof value !== "object") return value;
    return Object.fromEntries(
      Object.entries(value)
        .reverse()
        .map(([key, inner]) => [key, shuffle(inner)]),
    );
  };
  const read = parseSetup(shuffle(copy(choir)));
  assert.ok(read.ok);
  assert.equal(printSetup(read.value), printSetup(choir));
});

/** Paths of every object in a document, so that a stranger's field can be put anywhere. */
function objectsIn(value: Json, found: Json[] = []): Json[] {
  if (Array.isArray(value)) for (const item of value) objectsIn(item, found);
  else if (value !== null && typeof value === "object") {
    found.push(value);
    for (const item of Object.values(value)) objectsIn(item, found);
  }
  return found;
}

test("[S11] unknown fields survive on every object, whatever they hold (seed 77)", () => {
  const places = objectsIn(copy(choir)).length;
  fc.assert(
    fc.property(fc.nat(places - 1), fc.string({ minLength: 1 }), fc.jsonValue({ maxDepth: 4 }), (at, name, value) => {
      const json = copy(choir);
      const key = `x-${name}`;
      objectsIn(json)[at][key] = value;
      const read = parseSetup(json);
      assert.ok(read.ok);
      assert.deepEqual(copy(read.value), copy(json));
      assert.deepEqual(JSON.parse(printSetup(read.value)), copy(json));
    }),
    { seed: 77, numRuns: 300 },
  );
});

test("[S11] a field called __proto__ stays a field and changes no object", () => {
  const json = JSON.parse(JSON.stringify(choir).replace('"title"', '"__proto__":{"polluted":true},"title"'));
  const read = parseSetup(json);
  assert.ok(read.ok);
  assert.match(printSetup(read.value), /"__proto__"/);
  assert.equal((read.value as Json).polluted, undefined);
  assert.equal(({} as Json).polluted, undefined);
});

/** What to spoil, the code and the path to be named. */
type Bad = readonly [what: string, spoil: (s: Json) => void, code: string, where: string];

const light0 = "lights[0]";
const bad: readonly Bad[] = [
  ["no id", (s) => delete s.id, "missing", "id"],
  ["an id with a blank", (s) => (s.id = "a b"), "bad-id", "id"],
  ["a reserved id", (s) => (s.lights[0].id = "__proto__"), "bad-id", `${light0}.id`],
  ["a title that is a number", (s) => (s.title = 5), "not-text", "title"],
  ["a title too long", (s) => (s.title = "x".repeat(201)), "too-long", "title"],
  ["a control character", (s) => (s.notes = "a\u0000b"), "bad-character", "notes"],
  ["half a character", (s) => (s.notes = "\ud800"), "bad-character", "notes"],
  ["tags that are text", (s) => (s.tags = "portrait"), "not-a-list", "tags"],
  ["too many tags", (s) => (s.tags = Array(51).fill("t")), "too-many", "tags"],
  ["an empty tag", (s) => (s.tags = [""]), "empty", "tags[0]"],
  ["invented as text", (s) => (s.invented = "yes"), "not-yes-no", "invented"],
  ["a date without a time", (s) => (s.createdAt = "2026-11-24"), "bad-time", "createdAt"],
  ["a 13th month", (s) => (s.createdAt = "2026-13-01T00:00:00Z"), "bad-time", "createdAt"],
  ["no exposure", (s) => delete s.exposure, "not-an-object", "exposure"],
  ["an aperture that is text", (s) => (s.exposure.apertureAv = "5"), "not-a-number", "exposure.apertureAv"],
  ["an aperture too small", (s) => (s.exposure.apertureAv = 40), "out-of-range", "exposure.apertureAv"],
  ["no number", (s) => (s.exposure.iso = Number.NaN), "not-finite", "exposure.iso"],
  ["endless", (s) => (s.exposure.shutterS = Number.POSITIVE_INFINITY), "not-finite", "exposure.shutterS"],
  ["ISO 0", (s) => (s.exposure.iso = 0), "out-of-range", "exposure.iso"],
  ["a medium of its own", (s) => (s.exposure.medium = "candle"), "not-a-choice", "exposure.medium"],
  ["no frame rate field", (s) => delete s.exposure.framesPerSecond, "missing", "exposure.framesPerSecond"],
  ["a lens aimed at itself", (s) => (s.camera.aim = s.camera.position), "no-direction", "camera.aim"],
  ["a camera far away", (s) => (s.camera.position.zM = 1e9), "out-of-range", "camera.position.zM"],
  ["a focal length of 0", (s) => (s.camera.focalLengthMm = 0), "out-of-range", "camera.focalLengthMm"],
  ["a meter's empty range", (s) => (s.meter.lowestAv = 20), "order", "meter.lowestAv"],
  ["a meter constant of 0", (s) => (s.meter.domeC = 0), "out-of-range", "meter.domeC"],
  ["a room without width", (s) => (s.room.widthM = 0), "out-of-range", "room.widthM"],
  ["a cross outside", (s) => (s.room.crossFromLeftM = 4.3), "out-of-range", "room.crossFromLeftM"],
  ["a wall that gives back all", (s) => (s.room.reflectance.left = 1), "out-of-range", "room.reflectance.left"],
  ["a door in the floor", (s) => (s.room.openings[1].wall = "floor"), "not-a-choice", "room.openings[1].wall"],
  ["two circuits of one id", (s) => (s.room.circuits[1].id = "circuit-1"), "duplicate-id", "room.circuits[1].id"],
  ["furniture as a name", (s) => (s.room.furniture[0] = "piano"), "not-an-object", "room.furniture[0]"],
  ["paper blacker than black", (s) => (s.backdrop.reflectance = 0), "out-of-range", "backdrop.reflectance"],
  ["a tone of 0", (s) => (s.backdrop.targetTone = 0), "out-of-range", "backdrop.targetTone"],
  ["no backdrop field", (s) => delete s.backdrop, "not-an-object", "backdrop"],
  ["a nose in the floor", (s) => (s.subject.noseHeightM = -1), "out-of-range", "subject.noseHeightM"],
  ["hair of its own", (s) => (s.subject.hair = "blue"), "not-a-choice", "subject.hair"],
  ["a head turned twice", (s) => (s.subject.headYawDeg = 400), "out-of-range", "subject.headYawDeg"],
  ["a group of 61", (s) => (s.subject.group = Array(61).fill({ xM: 0, yM: 0, zM: 0 })), "too-many", "subject.group"],
  ["two singers of one id", (s) => (s.sitters[3].id = "singer-1"), "duplicate-id", "sitters[3].id"],
  ["a sitter without order", (s) => (s.sitters[0].order = ""), "empty", "sitters[0].order"],
  ["lights that are no list", (s) => (s.lights = {}), "not-a-list", "lights"],
  ["65 lights", (s) => (s.lights = Array(65).fill(s.lights[0])), "too-many", "lights"],
  ["a light that is null", (s) => (s.lights[2] = null), "not-an-object", "lights[2]"],
  ["two lights of one id", (s) => (s.lights[1].id = s.lights[0].id), "duplicate-id", "lights[1].id"],
  ["a tag of three", (s) => (s.lights[0].tag = "MMM"), "too-long", `${light0}.tag`],
  ["a ninth hue", (s) => (s.lights[0].hue = 9), "out-of-range", `${light0}.hue`],
  ["half a hue", (s) => (s.lights[0].hue = 1.5), "not-whole", `${light0}.hue`],
  ["a role of its own", (s) => (s.lights[0].role = "spot"), "not-a-choice", `${light0}.role`],
  ["a flash head without energy", (s) => (s.lights[0].head.energyWs = null), "missing", `${light0}.head.energyWs`],
  [
    "a panel without power",
    (s) => Object.assign(s.lights[0].head, { kind: "continuous", powerW: null }),
    "missing",
    `${light0}.head.powerW`,
  ],
  ["a dial of its own", (s) => (s.lights[0].head.dial.kind = "knob"), "not-a-choice", `${light0}.head.dial.kind`],
  [
    "a dial without steps",
    (s) => (s.lights[0].head.dial.stepStops = 0),
    "out-of-range",
    `${light0}.head.dial.stepStops`,
  ],
  ["a dial above full", (s) => (s.lights[0].dialStops = 0.5), "out-of-range", `${light0}.dialStops`],
  ["a front without width", (s) => (s.lights[0].modifier.widthM = 0), "out-of-range", `${light0}.modifier.widthM`],
  [
    "a front that gives more than it gets",
    (s) => (s.lights[0].modifier.transmission = 1.2),
    "out-of-range",
    `${light0}.modifier.transmission`,
  ],
  [
    "a grid without depth",
    (s) => (s.lights[2].modifier.grid.depthM = 0),
    "out-of-range",
    "lights[2].modifier.grid.depthM",
  ],
  [
    "a measured front without file",
    (s) => (s.lights[0].modifier.shape = "measured"),
    "missing",
    `${light0}.modifier.photometricFile`,
  ],
  [
    "a measured front with a file of nothing",
    (s) =>
      Object.assign(s.lights[0].modifier, {
        shape: "measured",
        photometricFile: { name: "a.txt", text: "hello", absolute: false },
      }),
    "photometric-unknown",
    `${light0}.modifier.photometricFile.text: a.txt`,
  ],
  ["a stand on two legs", (s) => (s.lights[0].support.legs = 2), "out-of-range", `${light0}.support.legs`],
  ["a stand upside down", (s) => (s.lights[0].support.minHeightM = 5), "order", `${light0}.support.minHeightM`],
  ["a bag of text", (s) => (s.lights[0].rig.sandbagKg = "ten"), "not-a-number", `${light0}.rig.sandbagKg`],
  [
    "a boom without a pivot",
    (s) => delete s.lights[3].rig.boom.pivotHeightM,
    "missing",
    "lights[3].rig.boom.pivotHeightM",
  ],
  ["a place of its own", (s) => (s.lights[0].place.kind = "near"), "not-a-choice", `${light0}.place.kind`],
  ["a distance of 0", (s) => (s.lights[2].place.distanceM = 0), "out-of-range", "lights[2].place.distanceM"],
  ["an impossible place", (s) => (s.lights[2].place.distanceM = 0.05), "place-impossible", "lights[2].place.distanceM"],
  [
    "a light in the nose",
    (s) => (s.lights[0].place = { kind: "cartesian", xM: 0, yM: 1.25, zM: 0 }),
    "place-at-nose",
    `${light0}.place`,
  ],
  ["an aim at nothing", (s) => (s.lights[0].aim.point = "ear"), "not-a-choice", `${light0}.aim.point`],
  ["no aim", (s) => delete s.lights[0].aim, "missing", `${light0}.aim`],
  ["a target as a number", (s) => (s.lights[0].target = 3), "not-an-object", `${light0}.target`],
  ["a target under nothing", (s) => (s.lights[1].target = { kind: "under" }), "missing", "lights[1].target.stops"],
  [
    "a receptor of its own",
    (s) => (s.lights[0].meterAt.receptor = "ball"),
    "not-a-choice",
    `${light0}.meterAt.receptor`,
  ],
  ["no pops", (s) => (s.lights[0].pops = 0), "out-of-range", `${light0}.pops`],
  ["gels in plain words", (s) => (s.lights[0].gels = ["orange"]), "not-an-object", `${light0}.gels[0]`],
  ["a tolerance of 0", (s) => (s.lights[0].toleranceStops = 0), "out-of-range", `${light0}.toleranceStops`],
  ["a panel that lies outside the angles", (s) => (s.panels[0].tiltDeg = 120), "out-of-range", "panels[0].tiltDeg"],
  ["a reading without its light", (s) => (s.readings[0].lightId = null), "missing", "readings[0].lightId"],
  ["a reading at no time", (s) => (s.readings[0].at = "today"), "bad-time", "readings[0].at"],
  ["a reading off the scale", (s) => (s.readings[0].av = 99), "out-of-range", "readings[0].av"],
  ["two readings of one id", (s) => (s.readings[1].id = s.readings[0].id), "duplicate-id", "readings[1].id"],
  [
    "a shot without lights",
    (s) => (s.asShot = [{ id: "s1", at: "2026-11-24T15:00:00Z", note: "" }]),
    "missing",
    "asShot[0].lights",
  ],
];

for (const [what, spoil, code, where] of bad) {
  test(`[S10] ${what}: ${code} at ${where}`, () => {
    const json = copy(choir);
    spoil(json);
    const read = parseSetup(json);
    assert.equal(read.ok, false);
    if (read.ok) return;
    const found = read.faults.find((f) => f.code === code && f.where === where);
    assert.ok(found, `found ${JSON.stringify(read.faults)}`);
    assert.ok(found.what.length > 3 && found.mend.length > 3);
  });
}

test("[S10] all faults come at once, those that span parts included", () => {
  const json = copy(choir);
  json.exposure.iso = -1;
  json.lights[0].place.distanceM = 0.05;
  json.lights[1].id = json.lights[0].id;
  json.readings[2].av = null;
  const read = parseSetup(json);
  assert.ok(!read.ok);
  assert.deepEqual(read.faults.map((f) => [f.code, f.where]).sort(), [
    ["duplicate-id", "lights[1].id"],
    ["not-a-number", "readings[2].av"],
    ["out-of-range", "exposure.iso"],
    ["place-impossible", "lights[0].place.distanceM"],
  ]);
});

test("[S10] what is no document at all is refused in plain words", () => {
  for (const json of [undefined, null, 5, "x", [], {}, { format: "stopwise-kit" }, new Date(0)]) {
    const read = parseSetup(json);
    assert.ok(!read.ok && read.faults.length === 1);
  }
  assert.ok(!parseKit(copy(choir)).ok);
  assert.ok(!parseSetup(copy(demoKit())).ok);
});

test("[S15] a nest of a hundred thousand lists is a fault, not a fall", () => {
  let nest: unknown = [];
  for (let i = 0; i < 100_000; i++) nest = [nest];
  const read = parseSetup({ ...copy(choir), extra: nest });
  assert.ok(!read.ok);
  assert.equal(read.faults[0]?.code, "too-deep");
  const round: Json = copy(choir);
  round.extra = round;
  assert.equal(parseSetup(round).ok, false);
});

test("[S15] 20,000 readings are kept, one more is refused; faults are counted, not endless", () => {
  const reading = copy(choir.readings[0]);
  const many = (n: number): Json => ({
    ...copy(choir),
    readings: Array.from({ length: n }, (_, i) => ({ ...reading, id: `r${i}` })),
  });
  assert.ok(parseSetup(many(20_000)).ok);
  assert.equal(parseSetup(many(20_001)).ok, false);
  const spoiled = many(2000);
  for (const each of spoiled.readings) each.av = "x";
  const read = parseSetup(spoiled);
  assert.ok(!read.ok && read.faults.length === 501);
  assert.equal(read.faults.at(-1)?.code, "more-faults");
});

test("[S10] more than JSON holds is refused: functions, big integers", () => {
  const read = parseSetup({ ...choir, extra: { run: () => 1 }, count: 5n });
  assert.ok(!read.ok);
  assert.deepEqual(read.faults.map((f) => [f.code, f.where]).sort(), [
    ["not-json", "count"],
    ["not-json", "extra.run"],
  ]);
});

test("[S13] newer, older and nonsense versions", () => {
  const of = (version: unknown): string => {
    const read = parseSetup({ ...copy(choir), version });
    return read.ok ? "ok" : (read.faults[0]?.code ?? "");
  };
  assert.equal(of(2), "newer-version");
  assert.equal(of(1), "ok");
  for (const version of [0, -1, 1.5, "1", null, undefined]) assert.equal(of(version), "bad-version");
});

test("[S13] the document saved by version 1 opens for ever and prints as it was saved", () => {
  const saved = readFileSync(new URL("../../fixtures/setup-v1.json", import.meta.url), "utf8");
  const read = parseSetup(JSON.parse(saved));
  assert.ok(read.ok);
  assert.equal(printSetup(read.value), saved);
  assert.equal((read.value.lights[0] as Json)["x-later"], "kept");
});

test("[S13] migrations run one version at a time and keep what they do not know", () => {
  const steps = {
    1: (d: Record<string, unknown>) => ({ ...d, notes: `${String(d.note)}, then` }),
    2: (d: Record<string, unknown>) => ({ ...d, notes: `${String(d.notes)} two` }),
  };
  const moved = migrateWith({ format: "f", version: 1, note: "one", strange: [1] }, "f", steps, 3);
  assert.ok(moved.ok);
  assert.deepEqual(moved.value, { format: "f", version: 3, note: "one", notes: "one, then two", strange: [1] });
  assert.throws(() => migrateWith({ format: "f", version: 1 }, "f", {}, 2), RangeError);
});

test("[S14] dangling references are mended and reported, orphaned readings stay", () => {
  const json = copy(choir);
  json.lights[0].circuitId = "gone";
  json.lights[1].calibratedFrom = "gone";
  json.lights.pop();
  json.readings.push({ ...json.readings[0], id: "orphan", lightId: "light-h" });
  const read = parseSetupWithRepairs(json);
  assert.ok(read.ok);
  assert.equal(read.value.setup.lights[0]?.circuitId, null);
  assert.equal(read.value.setup.lights[1]?.calibratedFrom, null);
  assert.equal(read.value.setup.readings.length, 4);
  assert.deepEqual(
    read.value.repairs.map((r) => [r.code, r.where]),
    [
      ["circuit-gone", "lights[0].circuitId"],
      ["reading-gone", "lights[1].calibratedFrom"],
    ],
  );
  const again = parseSetupWithRepairs(copy(read.value.setup));
  assert.ok(again.ok && again.value.repairs.length === 0);
});

test("[S14] a kit's room that is gone becomes none", () => {
  const kit = parseKit({ ...copy(demoKit()), roomHereId: "gone" });
  assert.ok(kit.ok && kit.value.roomHereId === null);
});

test("[S16] only a merged document may move an impossible place", () => {
  const json = copy(choir);
  json.subject.noseHeightM = 3.2;
  assert.equal(parseSetup(json).ok, false);
  const merged = parseSetupWithRepairs(json, { merged: true });
  assert.ok(merged.ok);
  assert.ok(merged.value.repairs.some((r) => r.code === "place-moved"));
  assert.ok(parseSetup(copy(merged.value.setup)).ok);
});

test("[S15] a kit with two heads of one id, or none of a field, is refused with the path", () => {
  const json = copy(demoKit());
  json.heads[1].id = json.heads[0].id;
  assert.deepEqual(
    (parseKit(json) as Json).faults.map((f: Json) => f.where),
    ["heads[1].id"],
  );
  delete json.bonds;
  json.sandbagsKg[0] = 0;
  assert.deepEqual((parseKit(json) as Json).faults.map((f: Json) => f.where).sort(), ["bonds", "sandbagsKg[0]"]);
});

test("[S10] whatever is put anywhere in a document, parsing answers and never throws (seed 9041)", () => {
  const odd = fc.oneof(
    fc.jsonValue({ maxDepth: 3 }),
    fc.constantFrom<unknown>(Number.NaN, Number.POSITIVE_INFINITY, -0, 1e308, "\ud800", undefined, "", [], {}),
  );
  fc.assert(
    fc.property(fc.nat(), fc.nat(), odd, fc.boolean(), (where, which, value, remove) => {
      const json = copy(choir);
      const all = objectsIn(json);
      const holder = all[where % all.length];
      const keys = Object.keys(holder);
      const key = keys[which % Math.max(1, keys.length)] as string;
      if (remove) delete holder[key];
      else holder[key] = value;
      const read = parseSetup(json);
      if (read.ok) assert.ok(parseSetup(JSON.parse(printSetup(read.value))).ok);
      else for (const f of read.faults) assert.ok(f.code !== "" && f.what !== "" && f.mend !== "");
    }),
    { seed: 9041, numRuns: 1500 },
  );
});

test("[S10] documents of pure noise are refused with a fault (seed 9042)", () => {
  fc.assert(
    fc.property(fc.jsonValue(), (json) => {
      const read = parseSetup(json);
      assert.ok(!read.ok && read.faults.length > 0);
    }),
    { seed: 9042, numRuns: 500 },
  );
});
