import assert from "node:assert/strict";
import { test } from "node:test";
import type { DialScale } from "../units/index.ts";
import { createSolver, dialOfOutput, meterHelp, outputOfDial, turnFor } from "./index.ts";
import { choir, lightOf, withLight } from "./testing.ts";

const near = (actual: number, expected: number, tolerance: number): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not within ${tolerance} of ${expected}`);

const headWith = (dial: DialScale, dialTable: { dialStops: number; measuredStops: number }[] = []) => ({
  ...lightOf(choir(), "M").head,
  dial,
  dialTable,
});
const FRACTION: DialScale = { kind: "fraction", lowestStops: -8, stepStops: 0.1 };
const THIRDS: DialScale = { kind: "fraction", lowestStops: -7, stepStops: 1 / 3 };
const FULL_STOPS: DialScale = { kind: "fraction", lowestStops: -5, stepStops: 1 };

test("the worked example: 4^6 read, 2.8 wanted, dial 1/16 + 0.3 turns down 1.6 to 1/64 + 0.7", () => {
  const turn = turnFor({
    light: { head: headWith(FRACTION), dialStops: -3.7 },
    wantedStops: 3 - 4.6,
    toleranceStops: 0.2,
    from: "reading",
  });
  assert.equal(turn.words, "down 1.6");
  assert.equal(turn.state, "turn");
  near(turn.dialToStops, -5.3, 1e-9);
  near(turn.residualStops, 0, 1e-9);
  assert.equal(turn.dumpPop, true);
});

test("within the tolerance of its role a light is met and the dial stays", () => {
  const question = {
    light: { head: headWith(FRACTION), dialStops: -3 },
    toleranceStops: 0.1,
    from: "reading",
  } as const;
  assert.deepEqual(pick(turnFor({ ...question, wantedStops: 5 - 4.9 })), ["met", "met", -3]);
  assert.equal(turnFor({ ...question, wantedStops: 0.2 }).state, "turn");
  assert.equal(turnFor({ ...question, wantedStops: 0.2 }).dumpPop, false);
});

test("a coarse head is told when the next step would be worse", () => {
  const question = {
    light: { head: headWith(FULL_STOPS), dialStops: -2 },
    toleranceStops: 0.1,
    from: "reading",
  } as const;
  const turn = turnFor({ ...question, wantedStops: 0.4 });
  assert.deepEqual(pick(turn), ["as-close", "as close as this head goes", -2]);
  near(turn.residualStops, -0.4, 1e-9);
  // In thirds the same wish is a turn of one step.
  const thirds = turnFor({ ...question, light: { head: headWith(THIRDS), dialStops: -2 }, wantedStops: 0.4 });
  assert.equal(thirds.state, "turn");
  near(thirds.dialToStops, -5 / 3, 1e-9);
});

test("beyond its ends a head is over or short by what stays", () => {
  const light = { head: headWith(FULL_STOPS), dialStops: -5 };
  const over = turnFor({ light, wantedStops: -0.4, toleranceStops: 0.3, from: "reading" });
  assert.deepEqual(pick(over), ["over", "0.4 over", -5]);
  const short = turnFor({ light, wantedStops: 5.6, toleranceStops: 0.3, from: "plan" });
  assert.deepEqual(pick(short), ["short", "0.6 short", 0]);
});

test("a continuous light needs no dump pop", () => {
  const head = { ...headWith(FRACTION), kind: "continuous" } as const;
  assert.equal(
    turnFor({ light: { head, dialStops: -1 }, wantedStops: -1, toleranceStops: 0.1, from: "reading" }).dumpPop,
    false,
  );
});

test("a measured dial table is believed, between its points and beyond them, and its inverse gives back the dial", () => {
  const table = [
    { dialStops: -4, measuredStops: -3.6 },
    { dialStops: -2, measuredStops: -1.9 },
    { dialStops: 0, measuredStops: 0 },
  ];
  const head = headWith(FRACTION, table);
  near(outputOfDial(head, -3), -2.75, 1e-12);
  near(outputOfDial(head, -5), -4.6, 1e-12);
  for (const dial of [-6, -4, -3.3, -1, 0]) near(dialOfOutput(head, outputOfDial(head, dial)), dial, 1e-12);
  const turn = turnFor({ light: { head, dialStops: 0 }, wantedStops: -1.9, toleranceStops: 0.1, from: "reading" });
  near(turn.dialToStops, -2, 1e-9);
});

test("a dial turned after the reading is not called met before it is read again", () => {
  const solver = createSolver();
  const setup = choir();
  const before = solver.report(setup).lights.find(({ tag }) => tag === "F");
  assert.equal(before?.turn?.state, "turn");
  const turned = withLight(setup, "F", { dialStops: before?.turn?.dialToStops ?? 0 });
  const after = solver.report(turned).lights.find(({ tag }) => tag === "F");
  assert.deepEqual([after?.turn?.state, after?.turn?.words], ["planned", "read again"]);
});

test("a reading at ISO 400 is two stops above the same light at ISO 100, and the offset is added", () => {
  const setup = choir();
  const reading = {
    ...(setup.readings[0] as NonNullable<(typeof setup.readings)[0]>),
    lightId: lightOf(setup, "M").id,
    iso: 400,
    av: 7,
  };
  const solver = createSolver();
  const read = { ...setup, readings: [reading], meter: { ...setup.meter, offsetStops: 0.2 } };
  near(solver.report(read).lights.find(({ tag }) => tag === "M")?.readingAv ?? Number.NaN, 5.2, 1e-9);
});

test("out of the meter's range: whole stops of ISO bring the reading in", () => {
  const setup = { ...choir(), meter: { ...choir().meter, lowestAv: 1, highestAv: 13, offsetStops: 0 } };
  assert.equal(meterHelp(setup, 4), null);
  assert.deepEqual(meterHelp(setup, -0.6), {
    iso: 400,
    shownAboveStops: 2,
    words: "set the meter to ISO 400, enter what it says",
  });
  assert.equal(meterHelp(setup, 13.5)?.iso, 50);
  // The mark 640 is 634.96: a stop more is the mark 1250, never "1270".
  const marked = { ...setup, exposure: { ...setup.exposure, iso: 100 * 2 ** (8 / 3) } };
  assert.equal(meterHelp(marked, 0.5)?.words, "set the meter to ISO 1250, enter what it says");
  assert.equal(meterHelp(setup, -30), null);
});

const pick = (turn: ReturnType<typeof turnFor>): unknown[] => [turn.state, turn.words, turn.dialToStops];
