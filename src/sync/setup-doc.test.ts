import assert from "node:assert/strict";
import { test } from "node:test";
import * as Y from "yjs";
import { pick, sampleKit, sampleLight, sampleReading, sampleSetup, seeded } from "../../test/sample-book.ts";
import { applyEdits, parseKit, parseSetup, printSetup, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import {
  docToKit,
  docToSetup,
  keptReadings,
  kitToDoc,
  orderAfter,
  orderBetween,
  readingsLost,
  setupToDoc,
  setupUndo,
  watchSetup,
  writeKit,
  writeSetup,
} from "./index.ts";

const sample = (seed: number): Setup => expectOk(parseSetup(sampleSetup(seeded(seed), "s1")));

function open(setup: Setup): Y.Doc {
  const doc = new Y.Doc();
  setupToDoc(doc, setup);
  return doc;
}

function copyOf(doc: Y.Doc): Y.Doc {
  const copy = new Y.Doc();
  Y.applyUpdate(copy, Y.encodeStateAsUpdate(doc));
  return copy;
}

function exchange(a: Y.Doc, b: Y.Doc): void {
  Y.applyUpdate(b, Y.encodeStateAsUpdate(a, Y.encodeStateVector(b)));
  Y.applyUpdate(a, Y.encodeStateAsUpdate(b, Y.encodeStateVector(a)));
}

test("100 invented setups come out of a document as they went in (seeds 1 to 100)", () => {
  for (let seed = 1; seed <= 100; seed++) {
    const setup = sample(seed);
    assert.equal(printSetup(expectOk(docToSetup(copyOf(open(setup))))), printSetup(setup), `seed ${seed}`);
  }
});

test("fields that this version does not know survive, at the top, in a section, in a light and in a reading", () => {
  const plain = sample(3);
  const odd = {
    ...plain,
    weather: { sky: "grey" },
    exposure: { ...plain.exposure, note: "bracket" },
    lights: plain.lights.map((light) => ({ ...light, __proto__note: 1, scrim: ["half"] })),
    readings: [{ ...sampleReading(seeded(1), "r-odd", null, "2026-11-01T10:00:00Z"), lux: 12 }],
  };
  const setup = expectOk(parseSetup(odd));
  const doc = open(setup);
  assert.deepEqual(expectOk(docToSetup(doc)), setup);
  const edited = { ...setup, title: "Another" };
  writeSetup(doc, setup, edited, null);
  assert.deepEqual(expectOk(docToSetup(doc)), edited);
});

test("an edit writes only what differs, and nothing when nothing does", () => {
  const setup = sample(4);
  const doc = open(setup);
  let bytes = 0;
  doc.on("update", (update: Uint8Array) => {
    bytes += update.length;
  });
  writeSetup(doc, setup, structuredClone(setup), null);
  assert.equal(bytes, 0);
  writeSetup(
    doc,
    setup,
    expectOk(applyEdits(setup, [{ kind: "light", id: setup.lights[0]?.id ?? "", set: { dialStops: -1.5 } }])),
    null,
  );
  assert.ok(bytes > 0 && bytes < 60, `${bytes} bytes for one dial`);
});

test("edits of two devices to different fields of one light both stay; to one field, one of the two stays", () => {
  const setup = sample(5);
  const [a, b] = [open(setup), new Y.Doc()];
  exchange(a, b);
  const id = setup.lights[0]?.id ?? "";
  const set = (doc: Y.Doc, change: object): void =>
    writeSetup(
      doc,
      setup,
      { ...setup, lights: setup.lights.map((light) => (light.id === id ? { ...light, ...change } : light)) },
      null,
    );
  const placeA = { kind: "polar", azimuthDeg: 10, distanceM: 2, heightM: 1.5 };
  const placeB = { kind: "cartesian", xM: 1, yM: 1.5, zM: 1 };
  set(a, { dialStops: -3, place: placeA });
  set(b, { rollDeg: 90, place: placeB });
  exchange(a, b);
  const [fromA, fromB] = [expectOk(docToSetup(a)), expectOk(docToSetup(b))];
  assert.deepEqual(fromA, fromB);
  const light = fromA.lights.find((item) => item.id === id);
  assert.equal(light?.dialStops, -3);
  assert.equal(light?.rollDeg, 90);
  assert.ok([placeA, placeB].some((place) => JSON.stringify(place) === JSON.stringify(light?.place)));
});

test("a light deleted on one device while another turns it stays deleted, and its readings stay", () => {
  const base = sample(6);
  const lightId = base.lights[0]?.id ?? "";
  const setup = expectOk(
    applyEdits(base, [
      { kind: "add-reading", reading: sampleReading(seeded(9), "kept", lightId, "2026-11-02T09:00:00Z") },
    ]),
  );
  const [a, b] = [open(setup), new Y.Doc()];
  exchange(a, b);
  writeSetup(a, setup, expectOk(applyEdits(setup, [{ kind: "remove-light", id: lightId }])), null);
  writeSetup(b, setup, expectOk(applyEdits(setup, [{ kind: "light", id: lightId, set: { dialStops: -2 } }])), null);
  exchange(a, b);
  const merged = expectOk(docToSetup(b));
  assert.deepEqual(merged, expectOk(docToSetup(a)));
  assert.equal(
    merged.lights.some((light) => light.id === lightId),
    false,
  );
  assert.equal(
    merged.readings.some((reading) => reading.id === "kept"),
    true,
  );
});

test("Undo takes back this device's steps only, and a reading taken back stays in the document", () => {
  const setup = sample(7);
  const [mine, theirs] = [open(setup), new Y.Doc()];
  exchange(mine, theirs);
  const origin = {};
  const undo = setupUndo(mine, origin);
  const retitled = expectOk(applyEdits(setup, [{ kind: "setup", set: { title: "Mine" } }]));
  writeSetup(mine, setup, retitled, origin);
  undo.stopCapturing();
  const metered = expectOk(
    applyEdits(retitled, [
      {
        kind: "add-reading",
        reading: sampleReading(seeded(2), "r9", setup.lights[0]?.id ?? "", "2026-11-03T09:00:00Z"),
      },
    ]),
  );
  writeSetup(mine, retitled, metered, origin);
  writeSetup(theirs, setup, { ...setup, notes: "Theirs" }, {});
  exchange(mine, theirs);
  undo.undo();
  assert.equal(expectOk(docToSetup(mine)).readings.find((reading) => reading.id === "r9")?.undone, true);
  assert.equal(expectOk(docToSetup(mine)).title, "Mine");
  undo.undo();
  assert.equal(undo.undo(), null);
  const after = expectOk(docToSetup(mine));
  assert.equal(after.title, setup.title);
  assert.equal(after.notes, "Theirs");
  undo.redo();
  undo.redo();
  assert.equal(expectOk(docToSetup(mine)).readings.find((reading) => reading.id === "r9")?.undone, false);
});

test("a reading that an update takes out or alters is found, and its counting may change", () => {
  const setup = expectOk(
    applyEdits(sample(8), [
      { kind: "add-reading", reading: sampleReading(seeded(2), "r1", null, "2026-11-03T09:00:00Z") },
    ]),
  );
  const before = open(setup);
  const undone = copyOf(before);
  writeSetup(undone, setup, expectOk(applyEdits(setup, [{ kind: "undo-reading", id: "r1", undone: true }])), null);
  assert.deepEqual(readingsLost(keptReadings(before), undone), []);
  const without = copyOf(before);
  without.getMap("readings").delete("r1");
  assert.deepEqual(readingsLost(keptReadings(before), without), ["readings r1"]);
  const altered = copyOf(before);
  altered.getMap("readings").set("r1", { ...(altered.getMap("readings").get("r1") as object), av: 1 });
  assert.deepEqual(readingsLost(keptReadings(before), altered), ["readings r1"]);
});

test("merges of valid edits that contradict each other are mended, alike on both devices, and never written back", () => {
  const setup = { ...sample(10), backdrop: null };
  const id = setup.lights[0]?.id ?? "";
  const [a, b] = [open(setup), new Y.Doc()];
  exchange(a, b);
  const edit = (doc: Y.Doc, ...edits: Parameters<typeof applyEdits>[1]): void =>
    writeSetup(doc, setup, expectOk(applyEdits(setup, edits)), null);
  edit(a, { kind: "light", id, set: { place: { kind: "cartesian", xM: 0, yM: 1.6, zM: 0 }, circuitId: "circuit-1" } });
  edit(b, { kind: "subject", set: { noseHeightM: 1.6 } }, { kind: "room", set: { circuits: [] } });
  exchange(a, b);
  const state = Y.encodeStateVector(a);
  const merged = expectOk(docToSetup(a));
  assert.deepEqual(merged, expectOk(docToSetup(b)));
  assert.deepEqual(merged.lights[0]?.place, { kind: "cartesian", xM: 0, yM: 1.6, zM: 0.05 });
  assert.equal(merged.lights[0]?.circuitId, null);
  assert.deepEqual(Y.encodeStateVector(a), state);
});

test("two devices that together add more lights than a setup may have still read the same setup", () => {
  const setup = { ...sample(11), lights: [] };
  const [a, b] = [open(setup), new Y.Doc()];
  exchange(a, b);
  for (const [doc, prefix] of [
    [a, "a"],
    [b, "b"],
  ] as const) {
    const lights = Array.from({ length: 40 }, (_, i) => sampleLight(seeded(i), `${prefix}${i}`, i));
    writeSetup(doc, setup, { ...setup, lights }, null);
  }
  exchange(a, b);
  assert.equal(
    parseSetup({ ...setup, lights: Array.from({ length: 65 }, (_, i) => sampleLight(seeded(i), `c${i}`, i)) }).ok,
    false,
  );
  const merged = expectOk(docToSetup(a));
  assert.equal(merged.lights.length, 64);
  assert.deepEqual(merged, expectOk(docToSetup(b)));
});

test("an empty document is a fault, not an exception", () => {
  assert.equal(docToSetup(new Y.Doc()).ok, false);
  assert.equal(docToKit(new Y.Doc()).ok, false);
});

test("watchSetup tells of edits here and from elsewhere until it is stopped", () => {
  const setup = sample(12);
  const doc = open(setup);
  const titles: string[] = [];
  const stop = watchSetup(doc, (result) => titles.push(expectOk(result).title));
  writeSetup(doc, setup, { ...setup, title: "One" }, null);
  const other = copyOf(doc);
  writeSetup(other, { ...setup, title: "One" }, { ...setup, title: "Two" }, null);
  exchange(doc, other);
  stop();
  writeSetup(doc, { ...setup, title: "Two" }, { ...setup, title: "Three" }, null);
  assert.deepEqual(titles, ["One", "Two"]);
});

test("a kit keeps its order, and an item put in the middle stays there", () => {
  const kit = expectOk(parseKit(sampleKit()));
  const doc = new Y.Doc();
  kitToDoc(doc, kit);
  assert.deepEqual(expectOk(docToKit(doc)), kit);
  const head = { ...(kit.heads[0] as (typeof kit.heads)[number]), id: "new-head", name: "new" };
  const edited = { ...kit, heads: kit.heads.toSpliced(2, 0, head), bonds: 5, modifiers: kit.modifiers.slice(1) };
  writeKit(doc, kit, edited, null);
  assert.deepEqual(expectOk(docToKit(copyOf(doc))), edited);
});

test("a key of order lies between its neighbours, whatever text they are (seed 5)", () => {
  const random = seeded(5);
  const keys: string[] = [];
  for (let i = 0; i < 300; i++) {
    const at = Math.floor(random() * (keys.length + 1));
    keys.splice(at, 0, orderBetween(keys[at - 1] ?? null, keys[at] ?? null));
  }
  assert.deepEqual([...keys].sort(), keys);
  assert.equal(new Set(keys).size, keys.length);
  for (const odd of ["0", "zz top", "ß", "", pick(random, keys)]) assert.ok(orderAfter([{ order: odd }]) > odd);
});
