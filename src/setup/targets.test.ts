/** Targets: by hand, by hair, by tone. */

import assert from "node:assert/strict";
import { test } from "node:test";
import {
  demoSetups,
  hairReflectance,
  hairStopsUnder,
  type Light,
  panelTargetAv,
  type Setup,
  targetAv,
  targetWords,
  toleranceOf,
  toneStopsOver,
} from "./index.ts";

const choir = demoSetups()[0] as Setup;
const light = (target: Light["target"]): Light => ({ ...(choir.lights[0] as Light), target });

test("[S30] dark, mid and fair hair: 1, 2 and 3 under (common practice, no source)", () => {
  assert.deepEqual([hairStopsUnder("dark"), hairStopsUnder("mid"), hairStopsUnder("fair")], [1, 2, 3]);
});

test("[S30] measured black hair (Y 0.026) is 0.6 under, white-grey hair 4.6", () => {
  assert.deepEqual([hairStopsUnder("black"), hairStopsUnder("grey")], [0.6, 4.6]);
});

test("[S30] ρ·2^(−n) comes out alike for every class, within 0.05 stop", () => {
  for (const hair of ["black", "dark", "mid", "fair", "grey"] as const) {
    const looks = hairReflectance[hair] * 2 ** -hairStopsUnder(hair);
    assert.ok(Math.abs(Math.log2(looks / 0.0175)) <= 0.05 + 1e-9, hair);
  }
});

test("[CV63] (D) backdrop: ρ 0.87 to 1, ρ 0.045 to 0.18, ρ 0.87 to 0.01", () => {
  assert.ok(Math.abs(toneStopsOver(1, 0.87) - 0.2009) < 0.0005);
  assert.ok(Math.abs(toneStopsOver(0.18, 0.045) - 2) < 0.0005);
  assert.ok(Math.abs(toneStopsOver(0.01, 0.87) + 6.4429) < 0.0005);
});

test("[S30] targets hang on the working aperture and say so in words", () => {
  assert.equal(targetAv(choir, light({ kind: "working" })), 5);
  assert.equal(targetAv(choir, light({ kind: "under", stops: 3 })), 2);
  assert.equal(targetAv(choir, light({ kind: "hair" })), 2);
  assert.equal(targetWords(choir, light({ kind: "hair" })), "fair hair: 3 under");
  assert.equal(targetWords(choir, light({ kind: "under", stops: -0.6 })), "0.6 over");
  assert.equal(targetWords(choir, light({ kind: "under", stops: 0 })), "at working");
  const wider = { ...choir, exposure: { ...choir.exposure, apertureAv: 4 } };
  assert.equal(targetAv(wider, light({ kind: "under", stops: 3 })), 1);
});

test("[S30] a tone asks log2(tone/ρ) over the working aperture; without a tone, the working aperture", () => {
  const backdrop = { ...(choir.backdrop as NonNullable<Setup["backdrop"]>), reflectance: 0.045, targetTone: 0.18 };
  assert.equal(targetAv({ ...choir, backdrop }, light({ kind: "tone" })), 7);
  assert.equal(targetWords({ ...choir, backdrop }, light({ kind: "tone" })), "tone 0.18: 2 over");
  assert.equal(targetAv({ ...choir, backdrop: null }, light({ kind: "tone" })), 5);
});

test("[S30] a card has its own target or none", () => {
  assert.equal(panelTargetAv(choir, { target: { kind: "under", stops: 2.3 } }), 2.7);
  assert.equal(panelTargetAv(choir, { target: null }), null);
});

test("[S31] tolerance by role, or the light's own", () => {
  assert.deepEqual(choir.lights.map(toleranceOf), [0.1, 0.2, 0.3, 0.3]);
  assert.equal(toleranceOf({ role: "main", toleranceStops: 0.05 }), 0.05);
});
