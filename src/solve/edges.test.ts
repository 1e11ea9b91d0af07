/** Setups at the edge of what a person can plan still get finite answers. */

import assert from "node:assert/strict";
import { test } from "node:test";
import { predict } from "./index.ts";
import { choir, lightOf, withLight } from "./testing.ts";

/** Every number in an answer is finite; what cannot be said is null. */
function allFinite(value: unknown, where: string): void {
  if (typeof value === "number") assert.ok(Number.isFinite(value), `${where} is ${value}`);
  else if (typeof value === "string") assert.doesNotMatch(value, /NaN|Infinity|undefined/, where);
  else if (value !== null && typeof value === "object")
    for (const [key, inner] of Object.entries(value)) allFinite(inner, `${where}.${key}`);
}

const setup = choir();
const xyz = (xM: number, yM: number, zM: number): { kind: "cartesian"; xM: number; yM: number; zM: number } => ({
  kind: "cartesian",
  ...{ xM, yM, zM },
});

test("a front with the meter's point in its middle gives that point no light of its own", () => {
  const { xM, yM, zM } = setup.camera.position;
  const atLens = withLight(setup, "M", { place: xyz(xM, yM, zM) });
  const report = predict(atLens);
  allFinite(report, "report");
  const spill = report.spill.find(({ lightId, point }) => lightId === lightOf(atLens, "M").id && point === "lens");
  assert.ok(spill && (spill.av === null || spill.av < setup.exposure.apertureAv), "only what the room returns");
});

test("a lens planned inside the head, a light in the head, at the ceiling, in the paper: finite answers", () => {
  const nose = setup.subject.noseHeightM;
  const odd = [
    { ...setup, camera: { ...setup.camera, position: { xM: 0, yM: nose, zM: 0 } } },
    withLight(setup, "M", { place: xyz(0, nose, -0.1) }),
    withLight(setup, "M", { place: xyz(0.5, setup.room.heightM, 0.5) }),
    withLight(setup, "M", { place: xyz(0, 1.3, setup.backdrop?.zM ?? -2) }),
    { ...setup, lights: [] },
    { ...setup, lights: setup.lights.map((light) => ({ ...light, on: false })) },
    { ...setup, backdrop: null, subject: { ...setup.subject, kind: "object" as const } },
  ];
  odd.forEach((each, i) => {
    allFinite(predict(each), `setup ${i}`);
  });
});

test("a lamp beside flashes burns through the exposure: pops do not multiply it, they multiply flash", () => {
  const lamp = { ...lightOf(setup, "F").head, kind: "continuous", powerW: 200, efficacy: 90, energyWs: null } as const;
  const straight = (pops: number, head = lightOf(setup, "F").head): number => {
    const ledger = predict(withLight(setup, "F", { head, pops })).lights.find(({ tag }) => tag === "F")?.predicted;
    const part = ledger?.ledger.kind === "sum" ? ledger.ledger.parts[0]?.av : undefined;
    return part ?? Number.NaN;
  };
  assert.equal(straight(4, lamp), straight(1, lamp));
  assert.ok(Math.abs(straight(4) - straight(1) - 2) < 1e-9);
});

test("what burns in the room evens a group and fills a shadow, at the targets too", () => {
  const group = [-0.75, 0.75].map((xM) => ({ xM, yM: 0, zM: 0 }));
  const lit = { ...setup, subject: { ...setup.subject, group: [{ xM: 0, yM: 0, zM: 0 }, ...group] } };
  const inLight = (ambientLx: number): { spread: number; target: number } => {
    const report = predict({ ...lit, room: { ...lit.room, ambientLx } });
    const ratio = report.ratios.find(({ convention }) => convention === "lit-to-shadow");
    return { spread: report.evenness[0]?.spreadStops ?? Number.NaN, target: ratio?.atTargetStops ?? Number.NaN };
  };
  const [dark, bright] = [inLight(0), inLight(2000)];
  assert.ok(bright.spread < dark.spread, `${bright.spread} against ${dark.spread}`);
  assert.ok(bright.target < dark.target, `${bright.target} against ${dark.target}`);
});
