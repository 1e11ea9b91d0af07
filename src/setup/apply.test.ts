/** Edits: each kind, what they refuse, and that nothing else changes. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { applyEdits, demoSetups, type Edit, type Light, parseSetup, printSetup, type Setup } from "./index.ts";

const choir = demoSetups()[0] as Setup;
const main = choir.lights[0] as Light;

function done(edits: readonly Edit[], setup: Setup = choir): Setup {
  const result = applyEdits(setup, edits);
  assert.ok(result.ok, JSON.stringify(result));
  return result.value;
}

function refused(edits: readonly unknown[]): readonly (readonly [string, string])[] {
  const before = printSetup(choir);
  const result = applyEdits(choir, edits as readonly Edit[]);
  assert.ok(!result.ok);
  assert.equal(printSetup(choir), before);
  return result.faults.map((f) => [f.code, f.where] as const);
}

test("[S20] no edits leave the same setup; an edit leaves the one given as it was", () => {
  assert.equal(done([]), choir);
  const before = printSetup(choir);
  const after = done([{ kind: "light", id: main.id, set: { dialStops: -4 } }]);
  assert.equal(after.lights[0]?.dialStops, -4);
  assert.equal(printSetup(choir), before);
  assert.equal(after.lights[1], choir.lights[1]);
});

test("[S20] every part can be set, and the outcome is a valid document", () => {
  const edits: readonly Edit[] = [
    { kind: "setup", set: { title: "New", tags: ["a"], notes: "n" } },
    { kind: "exposure", set: { apertureAv: 6 } },
    { kind: "camera", set: { focalLengthMm: 85 } },
    { kind: "meter", set: { offsetStops: 0.1 } },
    { kind: "room", set: { widthM: 3.6, crossFromLeftM: 1.8 } },
    { kind: "backdrop", set: { targetTone: 0.3 } },
    { kind: "subject", set: { hair: "dark" } },
    { kind: "panel", id: choir.panels[0]?.id ?? "", set: { facingDeg: -90 } },
    { kind: "sitter", id: "singer-1", set: { frames: "0401-0410" } },
    { kind: "remove-sitter", id: "singer-2" },
    { kind: "remove-panel", id: choir.panels[1]?.id ?? "" },
    { kind: "add-light", light: { ...main, id: "light-x", order: "b", tag: "E2" } },
    { kind: "light", id: "light-x", set: { place: { kind: "cartesian", xM: 1, yM: 1.5, zM: 1 } } },
    { kind: "add-as-shot", asShot: { id: "shot-1", at: "2026-11-24T15:00:00Z", note: "", lights: [] } },
  ];
  const after = done(edits);
  assert.ok(parseSetup(JSON.parse(printSetup(after))).ok);
  assert.equal(after.title, "New");
  assert.equal(after.exposure.apertureAv, 6);
  assert.equal(after.backdrop?.targetTone, 0.3);
  assert.equal(after.sitters.length, 23);
  assert.equal(after.panels.length, 1);
  assert.deepEqual(after.lights[4]?.place, { kind: "cartesian", xM: 1, yM: 1.5, zM: 1 });
  assert.equal(after.asShot.length, 1);
});

test("[S20] the backdrop goes and comes back whole; half a backdrop is refused", () => {
  const bare = done([{ kind: "backdrop", set: null }]);
  assert.equal(bare.backdrop, null);
  assert.equal(applyEdits(bare, [{ kind: "backdrop", set: { widthM: 2 } }]).ok, false);
  const back = choir.backdrop as NonNullable<Setup["backdrop"]>;
  assert.deepEqual(done([{ kind: "backdrop", set: back }], bare).backdrop, back);
});

test("[S21] the faults of all edits come together, with the paths of the document", () => {
  assert.deepEqual(
    refused([
      { kind: "exposure", set: { iso: 0 } },
      { kind: "light", id: main.id, set: { dialStops: 1 } },
      { kind: "light", id: "nobody", set: {} },
    ]),
    [
      ["out-of-range", "exposure.iso"],
      ["out-of-range", "lights[0].dialStops"],
      ["no-such-id", "edits[2].id"],
    ],
  );
});

test("[S3] an impossible place is refused, by the light's place or by the nose's height", () => {
  assert.deepEqual(
    refused([
      { kind: "light", id: main.id, set: { place: { kind: "polar", azimuthDeg: 0, distanceM: 0.3, heightM: 2 } } },
    ]),
    [["place-impossible", "lights[0].place.distanceM"]],
  );
  assert.ok(refused([{ kind: "subject", set: { noseHeightM: 3.1 } }]).length > 0);
});

test("[S22] ids never change, halves of a place are refused, unknown fields stay", () => {
  assert.deepEqual(refused([{ kind: "light", id: main.id, set: { id: "other" } }]), [
    ["fixed-field", "edits[0].set.id"],
  ]);
  assert.deepEqual(refused([{ kind: "setup", set: { id: "other" } }]), [["fixed-field", "edits[0].set.id"]]);
  assert.ok(refused([{ kind: "light", id: main.id, set: { place: { kind: "polar", azimuthDeg: 3 } } }]).length === 2);
  const strange = { ...choir, lights: [{ ...main, later: { deep: [1] } }], readings: [] } as unknown as Setup;
  const after = done([{ kind: "light", id: main.id, set: { on: false } }], strange);
  assert.deepEqual((after.lights[0] as unknown as { later: unknown }).later, { deep: [1] });
});

test("[S23] a light goes, its readings stay; a reading is undone and counted again", () => {
  const after = done([{ kind: "remove-light", id: main.id }]);
  assert.equal(after.lights.length, 3);
  assert.equal(after.readings.length, choir.readings.length);
  const undone = done([{ kind: "undo-reading", id: "reading-m", undone: true }]);
  assert.equal(undone.readings[0]?.undone, true);
  assert.equal(done([{ kind: "undo-reading", id: "reading-m", undone: false }], undone).readings[0]?.undone, false);
});

test("[S15] ids stay unique and lists stay short", () => {
  assert.deepEqual(refused([{ kind: "add-light", light: main }]), [["duplicate-id", "lights[4].id"]]);
  const many = Array.from({ length: 61 }, (_, i) => ({ kind: "add-light", light: { ...main, id: `x${i}` } }));
  assert.deepEqual(refused(many), [["too-many", "lights[64]"]]);
});

test("[S14] a circuit that goes leaves its lights on none", () => {
  const after = done([{ kind: "room", set: { circuits: choir.room.circuits.slice(0, 1) } }]);
  assert.deepEqual(
    after.lights.map((l) => l.circuitId),
    ["circuit-1", null, null, null],
  );
});

test("[S10] what is no edit is refused in plain words", () => {
  for (const edit of [
    null,
    5,
    {},
    { kind: "explode" },
    { kind: "light" },
    { kind: "light", id: main.id },
    { kind: "exposure", set: [] },
  ]) {
    assert.ok(refused([edit]).length > 0, JSON.stringify(edit));
  }
});

test("[S20] any edit of noise gives a valid setup or faults, never a throw (seed 311)", () => {
  const kinds = [
    "setup",
    "exposure",
    "camera",
    "room",
    "subject",
    "light",
    "panel",
    "sitter",
    "backdrop",
    "add-light",
    "undo-reading",
  ];
  const ids = [main.id, "singer-1", "panel-black-1", "reading-m", "x"];
  fc.assert(
    fc.property(
      fc.constantFrom(...kinds),
      fc.constantFrom(...ids),
      fc.dictionary(
        fc.constantFrom("title", "iso", "place", "dialStops", "noseHeightM", "widthM", "id", "aim"),
        fc.jsonValue({ maxDepth: 2 }),
      ),
      (kind, id, set) => {
        const result = applyEdits(choir, [{ kind, id, set, light: set, undone: set } as unknown as Edit]);
        if (result.ok) assert.ok(parseSetup(JSON.parse(printSetup(result.value))).ok);
        else assert.ok(result.faults.length > 0);
      },
    ),
    { seed: 311, numRuns: 500 },
  );
});
