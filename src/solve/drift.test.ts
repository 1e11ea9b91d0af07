import assert from "node:assert/strict";
import { test } from "node:test";
import type { Reading, Setup } from "../setup/index.ts";
import { driftOf } from "./index.ts";
import { choir, lightOf } from "./testing.ts";

const read = (setup: Setup, tag: string, av: number, minute: number, set: Partial<Reading> = {}): Reading => {
  const light = lightOf(setup, tag);
  return {
    ...{
      id: `${tag}${minute}`,
      lightId: light.id,
      kind: "alone",
      place: light.meterAt,
      lightsOn: [light.id],
      shaded: [],
    },
    ...{ av, typed: "", iso: setup.exposure.iso, shutterS: setup.exposure.shutterS, dialStops: -3, device: "test" },
    at: `2026-11-21T15:${String(minute).padStart(2, "0")}:00Z`,
    undone: false,
    ...set,
  };
};

const withReadings = (...make: ((setup: Setup) => Reading)[]): Setup => {
  const setup = choir();
  return { ...setup, readings: make.map((one) => one(setup)) };
};

test("a light metered again a fifth of a stop lower has drifted; the main says what it did to the others", () => {
  const [drift, ...more] = driftOf(
    withReadings(
      (s) => read(s, "M", 5, 0),
      (s) => read(s, "M", 4.8, 9),
    ),
  );
  assert.equal(more.length, 0);
  assert.ok(Math.abs((drift?.stops ?? 0) + 0.2) < 1e-9);
  assert.match(drift?.words ?? "", /^M reads 0\.2 lower than before: against it F, E, H stand 0\.2 higher/);
  assert.deepEqual([drift?.fromReadingId, drift?.toReadingId], ["M0", "M9"]);
});

test("a turn of the dial between two readings is no drift, nor is a reading that was taken back", () => {
  const turned = withReadings(
    (s) => read(s, "F", 2.7, 0),
    (s) => read(s, "F", 2, 9, { dialStops: -3.7 }),
  );
  assert.deepEqual(driftOf(turned), []);
  const undone = withReadings(
    (s) => read(s, "F", 2.7, 0),
    (s) => read(s, "F", 2, 9, { undone: true }),
  );
  assert.deepEqual(driftOf(undone), []);
});

test("readings at two places are not compared", () => {
  const moved = withReadings(
    (s) => read(s, "E", 3, 0),
    (s) => read(s, "E", 2, 9, { place: { point: "nose", receptor: "dome", aim: "light" } }),
  );
  assert.deepEqual(driftOf(moved), []);
});
