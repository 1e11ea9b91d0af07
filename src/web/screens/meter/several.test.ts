import assert from "node:assert/strict";
import { test } from "node:test";
import { applyEdits, demoSetups, type Reading, type Setup } from "../../../setup/index.ts";
import { createSolver } from "../../../solve/index.ts";
import { expectOk } from "../../../units/index.ts";
import { readingEdits } from "./meter-logic.ts";
import { disagreements, keepOne, mainDrift } from "./several.ts";

const choir = (): Setup => ({
  ...(demoSetups().find((setup) => setup.id === "demo-choir") as Setup),
  readings: [],
});

/** Meters a light as the page does: `seconds` after noon, by a device. */
function metered(setup: Setup, tag: string, av: number, seconds: number, device: string, iso = 100): Setup {
  const light = setup.lights.find((one) => one.tag === tag);
  const report = createSolver()
    .report(setup)
    .lights.find((one) => one.lightId === light?.id);
  assert.ok(report !== undefined);
  const at = new Date(Date.UTC(2026, 10, 5, 12, 0, seconds)).toISOString();
  const tapped = { id: `${tag}-${device}-${seconds}`, at, device, av, typed: String(av), iso };
  return expectOk(applyEdits(setup, expectOk(readingEdits(setup, report, tapped))));
}

/** A second reading with the dial where the first one found it: nobody has turned it. */
function again(setup: Setup, of: string, av: number, seconds: number, device: string, iso = 100): Setup {
  const first = setup.readings.find((one) => one.id === of) as Reading;
  const at = new Date(Date.UTC(2026, 10, 5, 12, 0, seconds)).toISOString();
  const reading: Reading = { ...first, id: `again-${device}-${seconds}`, av, at, device, iso, typed: String(av) };
  return expectOk(applyEdits(setup, [{ kind: "add-reading", reading }]));
}

test("two devices that read one light differently within a minute disagree; a tenth apart they do not", () => {
  const first = metered(choir(), "F", 2.4, 0, "phone");
  const [one] = disagreements(again(first, "F-phone-0", 2.0, 40, "tablet"));
  assert.deepEqual([one?.light.tag, one?.earlier.av, one?.later.av], ["F", 2.4, 2.0]);
  assert.deepEqual(disagreements(again(first, "F-phone-0", 2.3, 40, "tablet")), []);
  assert.deepEqual(disagreements(again(first, "F-phone-0", 2.0, 61, "tablet")), [], "more than a minute later");
  assert.deepEqual(disagreements(again(first, "F-phone-0", 2.0, 40, "phone")), [], "one device corrects itself");
  assert.deepEqual(disagreements(again(first, "F-phone-0", 4.4, 40, "tablet", 400)), [], "the same at another ISO");
  const turned = metered(first, "F", 2.0, 40, "tablet");
  assert.notEqual(turned.readings[1]?.dialStops, turned.readings[0]?.dialStops);
  assert.deepEqual(disagreements(turned), [], "turned in between");
});

test("keeping one takes the other out of the count, not out of the document, and the head follows the kept one", () => {
  const first = metered(choir(), "F", 2.4, 0, "phone");
  const both = again(first, "F-phone-0", 2.0, 30, "tablet");
  for (const keepLater of [false, true]) {
    const [one] = disagreements(both);
    assert.ok(one !== undefined);
    const [kept, dropped] = keepLater ? [one.later, one.earlier] : [one.earlier, one.later];
    const decided = expectOk(applyEdits(both, expectOk(keepOne(both, one.light, kept))));
    assert.deepEqual(disagreements(decided), []);
    assert.equal(decided.readings.length, 2);
    assert.equal(decided.readings.find(({ id }) => id === dropped.id)?.undone, true);
    const light = decided.lights.find(({ tag }) => tag === "F");
    assert.equal(light?.calibratedFrom, kept.id);
    const report = createSolver()
      .report(decided)
      .lights.find(({ lightId }) => lightId === light?.id);
    assert.equal(report?.reading?.id, kept.id);
    assert.ok(Math.abs((report?.predicted.av ?? 0) - kept.av) < 0.01, "predicts what was kept");
  }
});

test("keeping one settles it with all that disagree with it, not with a third one by one", () => {
  const first = metered(choir(), "F", 2.4, 0, "phone");
  const three = again(again(first, "F-phone-0", 2.0, 20, "tablet"), "F-phone-0", 2.4, 40, "laptop");
  const [one] = disagreements(three);
  assert.ok(one !== undefined);
  const decided = expectOk(applyEdits(three, expectOk(keepOne(three, one.light, one.earlier))));
  assert.deepEqual(disagreements(decided), []);
  assert.deepEqual(
    decided.readings.filter(({ undone }) => !undone).map(({ device }) => device),
    ["tablet"],
  );
});

test("a main read again after others were metered shows its drift to all; before that it is only read again", () => {
  const main = metered(choir(), "M", 5.0, 0, "phone");
  assert.equal(mainDrift(again(main, "M-phone-0", 5.3, 90, "phone")), null, "nothing was metered against it");
  const others = metered(main, "F", 2.0, 60, "tablet");
  assert.equal(mainDrift(others), null);
  assert.equal(mainDrift(again(others, "M-phone-0", 5.0, 90, "phone")), null);
  assert.equal(mainDrift(again(others, "M-phone-0", 5.3, 90, "phone"))?.stops, 0.3);
  assert.equal(mainDrift(again(others, "M-phone-0", 4.8, 90, "phone"))?.stops, -0.2);
});
