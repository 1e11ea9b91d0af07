import assert from "node:assert/strict";
import test from "node:test";
import { demoSetups, type Setup } from "../setup/index.ts";
import { lookOf, sameLook } from "./look.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const look = lookOf(choir);
const withMain = (change: Partial<Setup["lights"][number]>): Setup => ({
  ...choir,
  lights: choir.lights.map((light, i) => (i === 0 ? { ...light, ...change } : light)),
});

test("a title, a note and a reading leave the look; so does a copy", () => {
  const told = { ...choir, title: "Another", notes: "read again", readings: [] };
  assert.ok(sameLook(look, lookOf(told)));
  assert.ok(sameLook(look, lookOf(JSON.parse(JSON.stringify(choir)) as Setup)));
});

test("a dial, a switch and the aperture change the light alone, a turned front the stage too", () => {
  const dialled = lookOf(withMain({ dialStops: (choir.lights[0]?.dialStops ?? 0) - 0.5 }));
  assert.deepEqual([dialled.stage === look.stage, dialled.light === look.light], [true, false]);
  const off = lookOf(withMain({ on: false }));
  assert.deepEqual([off.stage === look.stage, off.light === look.light], [true, false]);
  const stopped = lookOf({ ...choir, exposure: { ...choir.exposure, apertureAv: choir.exposure.apertureAv + 1 } });
  assert.deepEqual([stopped.stage === look.stage, stopped.light === look.light], [true, false]);
  assert.notEqual(lookOf(withMain({ rollDeg: 20 })).stage, look.stage);
});
