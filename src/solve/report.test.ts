import assert from "node:assert/strict";
import { test } from "node:test";
import { applyEdits, demoSetups, type Reading, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { createSolver, predict } from "./index.ts";
import { choir, lightOf, withLight } from "./testing.ts";

const near = (actual: number | null | undefined, expected: number, tolerance: number, what = ""): void =>
  assert.ok(
    Math.abs((actual ?? Number.NaN) - expected) <= tolerance,
    `${what} ${actual} is not within ${tolerance} of ${expected}`,
  );

const solver = createSolver();

test("the choir's four lights stand within half a stop of their targets, the hair light out of reach", () => {
  const report = solver.report(choir());
  const byTag = new Map(report.lights.map((light) => [light.tag, light]));
  // Targets of the scenario: f/5.6, 3 under, 2 under, fair hair 3 under.
  for (const [tag, target] of [
    ["M", 5],
    ["F", 2],
    ["E", 3],
    ["H", 2],
  ] as const) {
    assert.equal(byTag.get(tag)?.targetAv, target);
    near(byTag.get(tag)?.predicted.av, target, 0.6, tag);
  }
  assert.equal(byTag.get("H")?.plan.state, "over");
  near(byTag.get("H")?.plan.residualStops, 0.4, 0.15);
  // Readings of the scenario: M met, F up 0.3, E down 0.4.
  assert.equal(byTag.get("M")?.turn?.words, "met");
  assert.equal(byTag.get("F")?.turn?.words, "up 0.3");
  assert.equal(byTag.get("E")?.turn?.words, "down 0.4");
});

test("the choir's frame is 0.44 by 0.66 m at the nose and the camera looks 2 degrees down", () => {
  const { camera } = solver.report(choir());
  near(camera.fieldWidthM, 0.44, 0.005);
  near(camera.fieldHeightM, 0.66, 0.005);
  near(camera.tiltDeg, -2, 0.2);
  assert.equal(camera.syncFault, null);
});

test("main to fill and lit to shadow each name their convention; metered 3.3 stops is 9.8:1, the wish 8:1", () => {
  const [toFill, toShadow] = solver.report(choir()).ratios;
  assert.equal(toFill?.convention, "light-to-light");
  near(toFill?.meteredStops, 3.3, 1e-9);
  assert.equal(toFill?.meteredWords, "9.8:1");
  assert.equal(toFill?.atTargetWords, "8:1");
  assert.equal(toShadow?.convention, "lit-to-shadow");
  assert.match(toShadow?.name ?? "", /lit cheek to shadow cheek, dome to camera, all on; shadow: M and E shaded/);
  assert.match(toShadow?.words ?? "", /^about \d+:1$/);
});

test("the room gives less with its black panels than bare, and the limit of lit to shadow rises", () => {
  const { room } = solver.report(choir());
  assert.ok(room.panelsTakeStops > 0.3 && room.panelsTakeStops < 2, `${room.panelsTakeStops}`);
  near(room.bareAv, (room.av ?? 0) + room.panelsTakeStops, 1e-9);
  const limit = (words: string): number => Number(/(\d+(?:\.\d+)?):1/.exec(words)?.[1]);
  assert.ok(limit(room.mostLitToShadow.now) > limit(room.mostLitToShadow.bare));
});

const shadedReading = (setup: Setup, av: number): Reading => ({
  id: "room-1",
  lightId: null,
  kind: "room",
  place: { point: "cheek-right", receptor: "dome", aim: "camera" },
  lightsOn: setup.lights.map(({ id }) => id),
  shaded: setup.lights.filter(({ on }) => on).map(({ id }) => id),
  av,
  typed: "1.0^8",
  iso: 100,
  shutterS: 1 / 160,
  dialStops: null,
  at: "2026-11-21T14:20:00Z",
  device: "test",
  undone: false,
});

const withRoomRead = (setup: Setup, av: number): Setup => ({
  ...setup,
  readings: [...setup.readings.filter(({ kind }) => kind !== "room"), shadedReading(setup, av)],
});

test("[S11] a shaded reading outranks the model of the room, less what panels and ambient bring to it", () => {
  const dark: Setup = { ...choir(), room: { ...choir().room, ambientLx: null }, panels: [] };
  const { room } = solver.report(withRoomRead(dark, 0.8));
  near(room.av, 0.8, 1e-9);
  near(room.readsAv ?? null, 0.8, 1e-9);
  assert.equal(room.restsOn, "metered");
  near(room.underWorkingStops, 4.2, 1e-9);
  // 40 lx over 1/160 s through a dome of C 340 at ISO 100: 2^Av = 40/160·100/340 = 0.0735.
  const lit = solver.report(withRoomRead({ ...dark, room: { ...dark.room, ambientLx: 40 } }, 0.8)).room;
  near(lit.av, Math.log2(2 ** 0.8 - (40 / 160) * (100 / 340)), 0.001);
  near(lit.readsAv ?? null, 0.8, 1e-9);
});

test("[S11] what the room was read at stands in every prediction, and a dial turned later turns it", () => {
  const setup: Setup = { ...choir(), room: { ...choir().room, ambientLx: null }, panels: [], readings: [] };
  const shadow = (of: Setup): Setup["exposure"]["apertureAv"] =>
    solver.report(of).together.find(({ id }) => id === "shadow-cheek")?.predicted.av ?? Number.NaN;
  const before = solver.report(setup).room.av ?? Number.NaN;
  const read = withRoomRead(setup, before + 1);
  const more = 2 ** before;
  near(2 ** shadow(read) - 2 ** shadow(setup), more, 0.03 * more);
  const own = setup.lights.map((light) => ({
    ...shadedReading(setup, 5),
    ...{ id: `alone-${light.id}`, kind: "alone" as const, lightId: light.id, place: light.meterAt, shaded: [] },
    ...{ lightsOn: [light.id], dialStops: light.dialStops, at: "2026-11-21T14:10:00Z" },
  }));
  const lower = { ...read, readings: [...read.readings, ...own] };
  const turned = { ...lower, lights: lower.lights.map((light) => ({ ...light, dialStops: light.dialStops - 1 })) };
  near(solver.report(turned).room.av, before, 1e-6);
});

test("[S11] a shaded reading lower than panels and ambient alone corrects nothing", () => {
  const setup: Setup = { ...choir(), room: { ...choir().room, ambientLx: 500 } };
  const { room } = solver.report(withRoomRead(setup, -4));
  assert.equal(room.restsOn, "assumed");
  assert.equal(room.av, solver.report(setup).room.av);
});

test("the pattern of a main at 45 degrees is Rembrandt with loop beside it, catchlights at ten and two", () => {
  const report = solver.report(choir());
  assert.equal(report.pattern.name, "Rembrandt");
  assert.deepEqual(report.pattern.neighbours, ["loop"]);
  const clock = (tag: string): number | undefined =>
    report.catchlights.find(({ lightId }) => lightId === lightOf(choir(), tag).id)?.clock;
  near(clock("M"), 10, 0.5);
  near(clock("F"), 2, 0.5);
});

test("the lens is outside the grid cut-off of the edge light, main and fill face away from it", () => {
  const setup = choir();
  const { flare } = solver.report(setup);
  const stateOf = (tag: string) => flare.find(({ lightId }) => lightId === lightOf(setup, tag).id);
  assert.equal(stateOf("E")?.state, "clear");
  assert.ok((stateOf("E")?.outsideCutoffDeg ?? 0) > 0);
  assert.equal(stateOf("M")?.state, "behind");
  // Without its grid and with nothing in between E would look into the lens.
  const open = { ...withLight(setup, "E", { modifier: { ...lightOf(setup, "E").modifier, grid: null } }), panels: [] };
  const bare = solver.report(open).flare.find(({ lightId }) => lightId === lightOf(setup, "E").id);
  assert.equal(bare?.outsideCutoffDeg, null);
  assert.notEqual(bare?.state, "behind");
});

test("every way out on offer meets its target when it is carried out, and states its softness", () => {
  const setup = choir();
  const hair = solver.report(setup).lights.find(({ tag }) => tag === "H");
  assert.ok((hair?.waysOut.length ?? 0) >= 2);
  const kinds = hair?.waysOut.map(({ kind }) => kind) ?? [];
  assert.ok(kinds.includes("nd") && kinds.includes("distance"), kinds.join(" "));
  for (const way of hair?.waysOut ?? []) {
    const done = expectOk(applyEdits(setup, way.edits));
    const after = predict(done).lights.find(({ tag }) => tag === "H");
    near(after?.plan.residualStops, way.residualStops, 1e-9, way.label);
    assert.ok(Math.abs(way.residualStops) <= (after?.toleranceStops ?? 0), way.label);
    assert.equal(after?.plan.dialToStops, way.dialStops);
    if (way.kind === "nd") assert.equal(way.softnessPercent, 0);
    if (way.kind === "distance") assert.ok(way.softnessPercent < -10, `${way.softnessPercent}`);
  }
});

test("too little light: nearer, a layer off, the grid off or more ISO are offered, each proved", () => {
  const base = { ...choir(), readings: [] };
  const weak = withLight(base, "E", { dialStops: 0, head: { ...lightOf(base, "E").head, energyWs: 15 } });
  const edge = solver.report(weak).lights.find(({ tag }) => tag === "E");
  assert.equal(edge?.plan.state, "short");
  const kinds = (edge?.waysOut ?? []).map(({ kind }) => kind);
  assert.ok(kinds.length >= 2, kinds.join(" "));
  for (const way of edge?.waysOut ?? []) {
    const after = predict(expectOk(applyEdits(weak, way.edits))).lights.find(({ tag }) => tag === "E");
    assert.ok(Math.abs(after?.plan.residualStops ?? 9) <= (after?.toleranceStops ?? 0) + 1e-9, way.label);
  }
});

test("every setup of the demo book has a whole report without a number that is none", () => {
  for (const setup of demoSetups()) {
    const report = predict(setup);
    assert.equal(report.lights.length, setup.lights.length, setup.title);
    JSON.stringify(report, (key, value) => {
      if (typeof value === "number") assert.ok(Number.isFinite(value), `${setup.title}: ${key} is ${value}`);
      return value;
    });
  }
});
