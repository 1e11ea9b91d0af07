import assert from "node:assert/strict";
import { test } from "node:test";
import {
  footcandlesOfLux,
  LUX_PER_FOOTCANDLE,
  luxOfFootcandles,
  parseIlluminance,
  printIlluminance,
} from "./illuminance.ts";
import { expectOk } from "./result.ts";
import { lux } from "./unit.ts";

test("[CV21, its conversion] (D) 120 lx are 11.1484 fc", () => {
  assert.ok(Math.abs(footcandlesOfLux(lux(120)) - 11.1484) < 0.001);
  assert.ok(Math.abs(LUX_PER_FOOTCANDLE - 10.7639) < 0.00005);
  assert.ok(Math.abs(luxOfFootcandles(footcandlesOfLux(lux(120))) - 120) < 1e-9);
});

test("print is the inverse of parse for three digits from 0.01 lx to 10 million lx", () => {
  for (let exponent = -2; exponent <= 4; exponent++) {
    for (let digits = 100; digits <= 999; digits += 7) {
      const value = Number((digits * 10 ** exponent).toPrecision(3));
      assert.equal(expectOk(parseIlluminance(printIlluminance(lux(value)))), value);
      const fc = luxOfFootcandles(value);
      if (fc < 1e7) assert.ok(Math.abs(expectOk(parseIlluminance(printIlluminance(fc, "fc"))) / fc - 1) < 1e-12);
    }
  }
  assert.equal(printIlluminance(lux(500)), "500 lx");
  assert.equal(printIlluminance(lux(500), "fc"), "46.5 fc");
});
