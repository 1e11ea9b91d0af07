import assert from "node:assert/strict";
import { test } from "node:test";
import { applyEdits, demoKit, demoSetups, newLight, positionOf, type Setup } from "./index.ts";

const choir = (): Setup => {
  const setup = demoSetups().find((s) => s.title === "Choir headshots");
  assert.ok(setup);
  return setup;
};

test("a new light takes things that the kit still has, and the setup accepts it", () => {
  const base = choir();
  const setup = { ...base, lights: base.lights.slice(0, 2) };
  const made = newLight(setup, demoKit(), { id: "new", order: "z", role: "edge" });
  assert.ok(made.ok);
  assert.equal(made.value.tag, "E");
  assert.ok(!setup.lights.some((l) => l.hue === made.value.hue));
  const added = applyEdits(setup, [{ kind: "add-light", light: made.value }]);
  assert.ok(added.ok, JSON.stringify(added));
});

test("a second light of a role is numbered", () => {
  const base = choir();
  const setup = { ...base, lights: base.lights.filter((l) => l.role !== "hair" && l.role !== "main") };
  const made = newLight(setup, demoKit(), { id: "new", order: "z", role: "fill" });
  assert.ok(made.ok);
  assert.equal(made.value.tag, "F2");
});

test("a second fill does not stand inside the first: it goes to a free angle", () => {
  const base = choir();
  const fill = base.lights.find((l) => l.role === "fill");
  assert.ok(fill);
  const setup = { ...base, lights: [fill] };
  const made = newLight(setup, demoKit(), { id: "new", order: "z", role: "fill" });
  assert.ok(made.ok);
  const [a, b] = [fill, made.value].map((light) => positionOf(light.place, setup));
  const apart = Math.hypot(a![0] - b![0], a![1] - b![1], a![2] - b![2]);
  const half = ({ modifier }: typeof fill): number => Math.hypot(modifier.widthM, modifier.heightM) / 2;
  assert.ok(apart > half(fill) + half(made.value), `${apart.toFixed(2)} m apart`);
});

test("what the kit has no more of is a fault for each thing", () => {
  const empty = { ...demoKit(), heads: [], modifiers: [], supports: [] };
  const made = newLight(choir(), empty, { id: "new", order: "z", role: "fill" });
  assert.ok(!made.ok);
  assert.deepEqual(
    made.faults.map((f) => f.code),
    ["no-free-head", "no-free-modifier", "no-free-stand"],
  );
});
