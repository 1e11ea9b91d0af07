/**
 * Check values of the handbook, the tables of CIE 15 kept beside the repository, and the independent library
 * colorjs.io 0.7.1.
 */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import Color from "colorjs.io";
import fc from "fast-check";
import { cmfTableSource } from "../../scripts/make-cmf-table.ts";
import { expectOk, type Kelvin, kelvin, mired, type Result, stops } from "../units/index.ts";
import {
  daylightXy,
  type GelFilter,
  gelled,
  gelPriors,
  hexOfLinear,
  kelvinOfMired,
  lightHue,
  lightHues,
  linearOfHex,
  linearSrgbOfXyz,
  luminance,
  mccamy,
  miredOfKelvin,
  miredShift,
  mixedXy,
  nearestPlanckian,
  planckianFitXy,
  planckianUv,
  planckianXy,
  robertson,
  shiftedKelvin,
  srgbCode,
  srgbDecode,
  srgbEncode,
  uvOfXy,
  uvPrimeOfXy,
  whiteDifference,
  whitesMatch,
  type Xy,
  xyOfUv,
  xyOfWhite,
  xyOfXyz,
  xyzOfXy,
} from "./index.ts";
import { isotherms } from "./robertson-table.ts";

const tables = join(import.meta.dirname, "../../../shared/data/reference_tables");
const withTables = existsSync(tables) ? {} : { skip: "reference_tables is not beside the repository" };

/** Rows of a table as numbers or words, without the heading. */
function table(name: string): string[][] {
  const lines = readFileSync(join(tables, name), "utf8").trim().split(/\r?\n/);
  return lines.slice(1).map((line) => line.split(","));
}

const within = (actual: number, expected: number, tolerance: number, what = ""): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual} is not ${expected} within ${tolerance}`);
const xyWithin = (actual: Xy, [x, y]: readonly [number, number], tolerance: number, what = ""): void => {
  within(actual.x, x, tolerance, `${what} x`);
  within(actual.y, y, tolerance, `${what} y`);
};
const codeOf = (result: Result<unknown>): string | undefined => (result.ok ? undefined : result.faults[0]?.code);

const d65: Xy = { x: 0.31271, y: 0.32902 };
const illuminantA: Xy = { x: 0.44757, y: 0.40745 };
const d50: Xy = { x: 0.34567, y: 0.3585 };
const f2: Xy = { x: 0.37208, y: 0.37529 };

test("[CV75] (S) 5600 K is 178.5714 mired, and +133.9286 from there to 3200 K", () => {
  within(miredOfKelvin(kelvin(5600)), 178.5714, 0.0005);
  within(miredShift(kelvin(5600), kelvin(3200)), 133.9286, 0.0005);
  within(kelvinOfMired(mired(200)), 5000, 1e-9);
});

test("[CV76] (S) 5600 K behind +159 mired is 2962.336 K", () => {
  within(expectOk(shiftedKelvin(kelvin(5600), mired(159))), 2962.336, 0.01);
});

test("A gel that would make light bluer than any temperature is a fault", () => {
  assert.equal(codeOf(shiftedKelvin(kelvin(10000), mired(-137))), "colour-beyond-blue");
  assert.equal(codeOf(gelled({ kelvin: kelvin(10000), duv: 0 }, [gelPriors[5] as GelFilter])), "colour-beyond-blue");
});

test("Shifts and losses of stacked gels add, and a gel undoes its opposite", () => {
  const gel = (shift: number, loss: number, duvShift = 0): GelFilter => ({
    name: "",
    miredShift: mired(shift),
    lossStops: stops(loss),
    duvShift,
  });
  const stack = expectOk(gelled({ kelvin: kelvin(5600), duv: 0.001 }, [gel(100, 0.5), gel(59, 0.25, 0.005)]));
  within(stack.kelvin, 2962.336, 0.01);
  within(stack.lossStops, 0.75, 1e-12);
  within(stack.duv, 0.006, 1e-12);
  within(expectOk(gelled({ kelvin: kelvin(5600), duv: 0 }, [gel(159, 0), gel(-159, 0)])).kelvin, 5600, 1e-6);
});

test("Each gel prior lies within its own range", () => {
  for (const g of gelPriors) {
    assert.ok(g.miredRange[0] <= g.miredShift && g.miredShift <= g.miredRange[1], g.name);
    assert.ok(g.lossRange[0] <= g.lossStops && g.lossStops <= g.lossRange[1], g.name);
  }
});

test("[CV77] (S) Planck at 3200 K is (0.42336, 0.39895)", () =>
  xyWithin(planckianXy(kelvin(3200)), [0.42336, 0.39895], 3e-5));
test("[CV78] (S) Planck at 6500 K is (0.31353, 0.32363)", () =>
  xyWithin(planckianXy(kelvin(6500)), [0.31353, 0.32363], 3e-5));
test("[CV79] (S) daylight locus at 6504 K is (0.31271, 0.32912)", () =>
  xyWithin(expectOk(daylightXy(kelvin(6504))), [0.31271, 0.32912], 2e-5));

test("Planck agrees with the table integrated at 1 nm, at every temperature of it", withTables, () => {
  for (const [t, x, y, u, v] of table("planckian_locus_2deg.csv").map((row) => row.map(Number)) as [
    number,
    number,
    number,
    number,
    number,
  ][]) {
    xyWithin(planckianXy(kelvin(t)), [x, y], 5e-6, `${t} K`);
    const uv = planckianUv(kelvin(t));
    within(uv.u, u, 5e-6, `${t} K u`);
    within(uv.v, v, 5e-6, `${t} K v`);
  }
});

test("The daylight locus agrees with the table of CIE 15 at every temperature of it", withTables, () => {
  for (const [t, x, y] of table("daylight_locus.csv").map((row) => row.map(Number)) as [number, number, number][]) {
    xyWithin(expectOk(daylightXy(kelvin(t))), [x, y], 1e-6, `${t} K`);
  }
});

test("The stored colour-matching functions are what the script makes of the 1 nm table", withTables, () => {
  const made = cmfTableSource(readFileSync(join(tables, "cie1931_2deg_xyz_1nm.csv"), "utf8"));
  assert.equal(readFileSync(join(import.meta.dirname, "cie-1931-table.ts"), "utf8"), made);
});

test("The cubic fit keeps within 0.0006 of Planck from 1667 to 25 000 K", () => {
  for (let t = 1667; t <= 25000; t *= 1.05) {
    const exact = planckianXy(kelvin(t));
    xyWithin(expectOk(planckianFitXy(kelvin(t))), [exact.x, exact.y], 6.5e-4, `${t} K`);
  }
});

test("Temperatures outside a locus are faults; a radiator at 0 K is a programmer's mistake", () => {
  assert.equal(codeOf(daylightXy(kelvin(3999))), "colour-out-of-range");
  assert.equal(codeOf(daylightXy(kelvin(Number.NaN))), "colour-out-of-range");
  assert.equal(codeOf(planckianFitXy(kelvin(1600))), "colour-out-of-range");
  assert.throws(() => planckianXy(kelvin(0)), RangeError);
});

test("[CV80] (S) McCamy: D65 6504.389 K, A 2857.290 K", () => {
  within(mccamy(d65), 6504.389, 0.01);
  within(mccamy(illuminantA), 2857.29, 0.01);
});

test("[CV81] (S) Robertson: D65 6503.01 K, Duv 0.003262", () => {
  const found = expectOk(robertson(d65));
  within(found.kelvin, 6503.01, 0.1);
  within(found.duv, 0.003262, 2e-5);
});

test("[CV82] (D) search: D65 6503.65 K, Duv 0.003212", () => {
  const found = expectOk(nearestPlanckian(d65));
  within(found.kelvin, 6503.65, 0.5);
  within(found.duv, 0.003212, 2e-5);
});

test("(S) Robertson and search for A, D50 and F2 as tabled after Robertson 1968 and Ohno 2013", () => {
  const cases: readonly (readonly [Xy, number, number, number, number])[] = [
    [illuminantA, 2855.76, 0, 2855.68, 0],
    [d50, 5001.8, 0.0032, 5001.83, 0.00321],
    [f2, 4224.54, 0.00195, 4225.26, 0.00186],
  ];
  for (const [xy, quickK, quickDuv, searchK, searchDuv] of cases) {
    const quick = expectOk(robertson(xy));
    within(quick.kelvin, quickK, 0.1);
    within(quick.duv, quickDuv, 5e-5);
    const search = expectOk(nearestPlanckian(xy));
    within(search.kelvin, searchK, 0.3);
    within(search.duv, searchDuv, 1e-5);
  }
});

test("The feet of Robertson's lines lie on our locus, the corrected one at 325 mired too", () => {
  // His c₂ was a little smaller; the feet keep within 0.00016 of ours. The misprint would be 0.0009 off.
  for (const [reciprocal, u, v] of isotherms.slice(1)) {
    const foot = planckianUv(kelvin(1e6 / reciprocal));
    within(Math.hypot(foot.u - u, foot.v - v), 0, 1.6e-4, `${reciprocal} mired`);
  }
});

test("CCT and Duv give back the chromaticity they came from, over 300 whites (seed 1960)", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1500, max: 20000, noNaN: true }),
      fc.double({ min: -0.02, max: 0.02, noNaN: true }),
      (t, duv) => {
        const xy = xyOfWhite(kelvin(t), duv);
        // Green of a very warm white would leave the triangle of colours.
        fc.pre(xy.x + xy.y <= 1);
        const found = expectOk(nearestPlanckian(xy));
        within(1e6 / found.kelvin, 1e6 / t, 0.02, "mired");
        within(found.duv, duv, 2e-6, "Duv");
      },
    ),
    { seed: 1960, numRuns: 300 },
  );
});

test("Robertson keeps within 0.6 mired and 0.0004 Duv of the search from 1700 to 20 000 K (seed 1968)", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1700, max: 20000, noNaN: true }),
      fc.double({ min: -0.02, max: 0.02, noNaN: true }),
      (t, duv) => {
        const xy = xyOfWhite(kelvin(t), duv);
        fc.pre(xy.x + xy.y <= 1);
        const quick = expectOk(robertson(xy));
        within(1e6 / quick.kelvin, 1e6 / t, 0.6, "mired");
        within(quick.duv, duv, 4e-4, "Duv");
      },
    ),
    { seed: 1968, numRuns: 300 },
  );
});

test("Saturated colours and points that are none have no colour temperature", () => {
  for (const find of [nearestPlanckian, robertson]) {
    assert.equal(codeOf(find({ x: 0.64, y: 0.33 })), "colour-not-white");
    assert.equal(codeOf(find({ x: 0.3, y: 0.6 })), "colour-not-white");
    assert.equal(codeOf(find({ x: 0.15, y: 0.06 })), "colour-not-white");
    for (const xy of [
      { x: Number.NaN, y: 0.3 },
      { x: 0.3, y: 0 },
      { x: 0.7, y: 0.7 },
      { x: -0.1, y: 0.3 },
    ]) {
      assert.equal(codeOf(find(xy)), "colour-no-chromaticity");
    }
  }
});

test("[CV83] (D) 5600 K daylight with 3200 K Planck three stops under: (0.33927, 0.35076), 5225.8 K, Duv 0.00198", () => {
  const mixed = mixedXy([
    { xy: expectOk(daylightXy(kelvin(5600))), weight: 1 },
    { xy: planckianXy(kelvin(3200)), weight: 1 / 8 },
  ]) as Xy;
  xyWithin(mixed, [0.33927, 0.35076], 5e-5);
  const found = expectOk(nearestPlanckian(mixed));
  within(found.kelvin, 5225.8, 1);
  within(found.duv, 0.00198, 5e-5);
});

test("(D) equal 5600 K and 3200 K Planck light is 4138 K, Duv −0.0026: not the 4073 K of the mired mean", () => {
  const even = mixedXy([5600, 3200].map((t) => ({ xy: planckianXy(kelvin(t)), weight: 5 }))) as Xy;
  const found = expectOk(nearestPlanckian(even));
  within(found.kelvin, 4138, 1);
  within(found.duv, -0.0026, 5e-5);
  assert.equal(mixedXy([{ xy: d65, weight: 0 }]), null);
});

test("A light mixed with itself keeps its colour; weights count by proportion only (seed 83)", () => {
  const light = fc.record({
    x: fc.double({ min: 0.2, max: 0.5, noNaN: true }),
    y: fc.double({ min: 0.2, max: 0.45, noNaN: true }),
  });
  fc.assert(
    fc.property(light, light, fc.double({ min: 0.01, max: 100, noNaN: true }), (a, b, k) => {
      const alone = mixedXy([
        { xy: a, weight: k },
        { xy: a, weight: 1 },
      ]) as Xy;
      xyWithin(alone, [a.x, a.y], 1e-12);
      const once = mixedXy([
        { xy: a, weight: 1 },
        { xy: b, weight: 3 },
      ]) as Xy;
      const scaled = mixedXy([
        { xy: a, weight: k },
        { xy: b, weight: 3 * k },
      ]) as Xy;
      xyWithin(scaled, [once.x, once.y], 1e-12);
    }),
    { seed: 83, numRuns: 300 },
  );
});

test("[CV86] (S) sRGB codes 64, 118, 128, 200 decode to 0.051269, 0.181164, 0.215861, 0.577580", () => {
  const cases: readonly (readonly [number, number])[] = [
    [64, 0.051269],
    [118, 0.181164],
    [128, 0.215861],
    [200, 0.57758],
    [10, 0.003035],
    [188, 0.502886],
  ];
  for (const [code, linear] of cases) within(srgbDecode(code / 255), linear, 1e-6, `${code}`);
});

test("[CV87] (S) sRGB encodes 0.18 to 117.646 of 255", () => {
  within(srgbEncode(0.18) * 255, 117.646, 0.001);
  within(srgbEncode(0.9) * 255, 243.45, 0.01);
  assert.deepEqual([srgbCode(0.18), srgbCode(-1), srgbCode(2)], [118, 0, 255]);
});

test("Every 8-bit sRGB code survives decoding and encoding", () => {
  for (let code = 0; code < 256; code += 1) assert.equal(srgbCode(srgbDecode(code / 255)), code);
});

test("colorjs.io 0.7.1 decodes, encodes and converts to XYZ as we do, for 300 colours (seed 2012)", () => {
  const unit = fc.double({ min: 0, max: 1, noNaN: true });
  fc.assert(
    fc.property(unit, unit, unit, (r, g, b) => {
      const theirs = new Color("srgb", [r, g, b]).to("srgb-linear").coords.map(Number);
      const ours = [r, g, b].map(srgbDecode);
      for (const i of [0, 1, 2]) within(ours[i] as number, theirs[i] as number, 1e-9, "linear");
      const [X, Y, Z] = new Color("srgb", [r, g, b]).to("xyz-d65").coords.map(Number) as [number, number, number];
      const back = linearSrgbOfXyz({ X, Y, Z });
      for (const i of [0, 1, 2] as const) within(back[i], ours[i] as number, 2e-4, "from XYZ");
      within(luminance(ours as [number, number, number]), Y, 2e-4, "luminance");
    }),
    { seed: 2012, numRuns: 300 },
  );
});

test("colorjs.io 0.7.1 gives the same CIE 1960 and 1976 coordinates (seed 1976)", () => {
  const unit = fc.double({ min: 0.02, max: 1, noNaN: true });
  fc.assert(
    fc.property(unit, unit, unit, (r, g, b) => {
      const color = new Color("srgb", [r, g, b]);
      const [X, Y, Z] = color.to("xyz-d65").coords.map(Number) as [number, number, number];
      const xy = xyOfXyz({ X, Y, Z });
      // Chromaticity accessors that the library's types leave out.
      const theirs = color as unknown as { readonly xy: [number, number]; readonly uv: [number, number] };
      xyWithin(xy, theirs.xy, 1e-9);
      const [u, v] = theirs.uv;
      const prime = uvPrimeOfXy(xy);
      within(prime.u, u, 1e-9, "u′");
      within(prime.v, v, 1e-9, "v′");
      const back = xyOfUv(uvOfXy(xy));
      xyWithin(back, [xy.x, xy.y], 1e-12);
    }),
    { seed: 1976, numRuns: 200 },
  );
});

test("D65 of luminance 1 is white in sRGB", () => {
  linearSrgbOfXyz(xyzOfXy({ x: 0.3127, y: 0.329 })).forEach((l) => {
    within(l, 1, 1e-3);
  });
});

test("Chromaticities of the standard illuminants have the temperatures of their names", withTables, () => {
  const named: Readonly<Record<string, number>> = { A: 2856, D50: 5003, D55: 5503, D65: 6504, D75: 7504 };
  let seen = 0;
  for (const [name, x, y] of table("illuminant_chromaticities_2deg.csv")) {
    const expected = named[name as string];
    if (expected === undefined) continue;
    seen += 1;
    const found = expectOk(nearestPlanckian({ x: Number(x), y: Number(y) }));
    within(1e6 / found.kelvin, 1e6 / expected, 0.2, name);
  }
  assert.equal(seen, 5);
});

test("The published illuminant spectra give the published chromaticities through our table", withTables, () => {
  const cmf = new Map(table("cie1931_2deg_xyz_1nm.csv").map((row) => [Number(row[0]), row.slice(1).map(Number)]));
  const published: Readonly<Record<string, readonly [number, number]>> = {
    A: [0.44758, 0.40745],
    D65: [0.3127, 0.329],
  };
  for (const [name, xy] of Object.entries(published)) {
    let [X, Y, Z] = [0, 0, 0];
    for (const [nm, power] of table(`illuminant_${name}.csv`).map((row) => row.map(Number)) as [number, number][]) {
      const row = cmf.get(nm);
      if (row === undefined) continue;
      X += power * (row[0] as number);
      Y += power * (row[1] as number);
      Z += power * (row[2] as number);
    }
    xyWithin(xyOfXyz({ X, Y, Z }), xy, 6e-5, name);
  }
});

test("(P) whites pass as one on the face within 10 mired and 0.003 Duv, and beside it within 25 mired", () => {
  const from = { kelvin: kelvin(5600), duv: 0 };
  const at = (shift: number, duv: number) =>
    whiteDifference(from, { kelvin: (1e6 / (1e6 / 5600 + shift)) as Kelvin, duv });
  within(at(10, 0.002).mired, 10, 1e-9);
  assert.deepEqual(
    [at(9.9, 0), at(12, 0), at(9, 0.004)].map((d) => whitesMatch(d, "face")),
    [true, false, false],
  );
  assert.deepEqual(
    [at(24, 0), at(26, 0)].map((d) => whitesMatch(d, "separation")),
    [true, false],
  );
  // Steps are distances of 0.0011 in (u′, v′): across the locus by Duv d is at least d and at most 1.5·d.
  const { steps } = at(0, 0.0011);
  assert.ok(steps >= 1 && steps <= 1.5, `${steps}`);
});

test("The hues of the lights are the seven of Okabe and Ito 2008, apart from black, and go round", () => {
  assert.equal(lightHues.length, 7);
  assert.deepEqual(
    lightHues.map((h) => hexOfLinear(linearOfHex(h.hex)).toUpperCase()),
    lightHues.map((h) => h.hex),
  );
  assert.equal(lightHue(7), lightHues[0]);
  assert.equal(lightHue(-1), lightHues[6]);
  assert.throws(() => linearOfHex("orange"), RangeError);
});
