import assert from "node:assert/strict";
import { test } from "node:test";
import { expectOk } from "./result.ts";
import {
  kelvinOfMired,
  miredOfKelvin,
  parseMiredShift,
  parseTemperature,
  printKelvin,
  printMired,
  printMiredShift,
} from "./temperature.ts";
import { kelvin, mired } from "./unit.ts";

test("a colour temperature is read in kelvin or mired", () => {
  assert.equal(expectOk(parseTemperature("5600 K")), 5600);
  assert.equal(expectOk(parseTemperature("5600")), 5600);
  assert.equal(expectOk(parseTemperature("3200kelvin")), 3200);
  assert.equal(expectOk(parseTemperature("200 mired")), 5000);
  assert.equal(expectOk(parseMiredShift("−137 mired")), -137);
  assert.equal(expectOk(parseMiredShift("+159")), 159);
});

test("5600 K is 178.57 mired and back (definition, 10⁶/K)", () => {
  assert.ok(Math.abs(miredOfKelvin(kelvin(5600)) - 178.5714) < 0.0001);
  assert.ok(Math.abs(kelvinOfMired(miredOfKelvin(kelvin(3200))) - 3200) < 1e-9);
});

test("print is the inverse of parse for every kelvin from 1000 to 40000, every mired and every shift", () => {
  for (let k = 1000; k <= 40_000; k++) assert.equal(expectOk(parseTemperature(printKelvin(kelvin(k)))), k);
  for (let m = 25; m <= 1000; m++) {
    assert.ok(Math.abs(miredOfKelvin(expectOk(parseTemperature(printMired(mired(m))))) - m) < 1e-9);
  }
  for (let shift = -1000; shift <= 1000; shift++) {
    assert.equal(expectOk(parseMiredShift(printMiredShift(mired(shift)))), shift);
    assert.equal(expectOk(parseMiredShift(printMiredShift(mired(shift), { ascii: true }))), shift);
  }
});
