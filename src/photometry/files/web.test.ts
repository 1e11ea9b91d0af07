/** Intensity and flux against closed forms, for every type and symmetry. */

import assert from "node:assert/strict";
import { test } from "node:test";
import { expectOk } from "../../units/index.ts";
import {
  intensity,
  intensityField,
  interpolatedFlux,
  type PhotometricWeb,
  parseIes,
  parseLdt,
  parsePhotometricFile,
  zonalFlux,
} from "./index.ts";
import { changed, iesLines, ldtLines, webOf } from "./samples.ts";

const radians = Math.PI / 180;
const range = (from: number, to: number, step: number): number[] =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);
const within = (actual: number, expected: number, tolerance: number, what = ""): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what} ${actual} is not ${expected} within ${tolerance}`);

test("[CV60] (D) bilinear intensity: 600 cd at v 30, h 45; 1080 cd with multiplier 2 and ballast factor 0.9", () => {
  within(intensity(expectOk(parseIes(iesLines.join("\n"))), 30, 45), 600, 0.001);
  const scaled = changed(iesLines, { 8: "1 -1 2 3 2 1 2 0.3 0.6 0", 9: "0.9 1 100" });
  within(intensity(expectOk(parseIes(scaled)), 30, 45), 1080, 0.001);
});

test("[CV61] (D) zonal flux of 1000 cd Lambertian in 5° steps is 3141.593 lm", () => {
  const verticalDeg = range(0, 90, 5);
  const lambert = webOf({
    type: "C",
    symmetry: "axial",
    verticalDeg,
    horizontalDeg: [0],
    candela: [verticalDeg.map((v) => 1000 * Math.cos(v * radians))],
  });
  within(zonalFlux(lambert), 3141.593, 0.001);
  // Straight lines cut below the cosine: the interpolated field has a little less.
  within(interpolatedFlux(lambert), 3141.593 * (1 - (5 * radians) ** 2 / 12), 0.3);
});

test("(D) a cos⁸ lobe of 1000 cd holds 2π·1000/9 = 698.13 lm", () => {
  const verticalDeg = range(0, 90, 0.25);
  const lobe = webOf({
    type: "C",
    symmetry: "axial",
    verticalDeg,
    horizontalDeg: [0],
    candela: [verticalDeg.map((v) => 1000 * Math.cos(v * radians) ** 8)],
  });
  within(zonalFlux(lobe), 698.13, 0.05);
  within(interpolatedFlux(lobe), 698.13, 0.05);
});

/** ∫ I dω by the midpoint rule over the sphere: the independent second method for every type. */
function quadrature(web: PhotometricWeb, steps: number): number {
  let total = 0;
  for (let i = 0; i < steps; i += 1) {
    const theta = ((i + 0.5) * 180) / steps;
    for (let j = 0; j < 2 * steps; j += 1) {
      const phi = ((j + 0.5) * 180) / steps;
      total += intensity(web, theta, phi) * Math.sin(theta * radians);
    }
  }
  return total * (Math.PI / steps) ** 2;
}

/** I depends on direction x right, y up, z aim; the table of any type can then be filled from it. */
type Lobe = (x: number, y: number, z: number) => number;
const skewLobe: Lobe = (x, y, z) => Math.max(0, z) ** 2 * 1000 * (1 + 0.5 * x + 0.3 * y);

function tabulate(type: "A" | "B" | "C", lobe: Lobe, step: number): PhotometricWeb {
  const verticalDeg = type === "C" ? range(0, 180, step) : range(-90, 90, step);
  const horizontalDeg = type === "C" ? range(0, 360, step) : range(-90, 90, step);
  const candela = horizontalDeg.map((h) =>
    verticalDeg.map((v) => {
      const [sh, ch, sv, cv] = [
        Math.sin(h * radians),
        Math.cos(h * radians),
        Math.sin(v * radians),
        Math.cos(v * radians),
      ];
      if (type === "C") return lobe(sv * sh, sv * ch, cv);
      return type === "B" ? lobe(sh, ch * sv, ch * cv) : lobe(cv * sh, sv, cv * ch);
    }),
  );
  return webOf({ type, symmetry: "none", verticalDeg, horizontalDeg, candela });
}

for (const type of ["A", "B", "C"] as const) {
  test(`(D) type ${type}: one lobe, tabulated, gives back its intensity in 200 directions and its flux`, () => {
    const web = tabulate(type, skewLobe, 2.5);
    for (let i = 0; i < 200; i += 1) {
      const theta = (i * 37) % 85;
      const phi = (i * 101) % 360;
      const sin = Math.sin(theta * radians);
      const expected = skewLobe(
        sin * Math.sin(phi * radians),
        sin * Math.cos(phi * radians),
        Math.cos(theta * radians),
      );
      within(intensity(web, theta, phi), expected, 3, `θ ${theta} φ ${phi}`);
    }
    // ∫ cos²θ dω over the hemisphere = 2π/3; the odd terms cancel.
    within(zonalFlux(web), (1000 * 2 * Math.PI) / 3, 4);
    within(interpolatedFlux(web), quadrature(web, 180), 2);
  });
}

test("(D) for every symmetry the flux by weights is the flux by quadrature of the intensities", () => {
  const verticalDeg = [0, 20, 45, 70, 90];
  const planes = (h: readonly number[]): number[][] =>
    h.map((angle) => verticalDeg.map((v) => (100 - v) * (1 + (angle % 90) / 90)));
  const cases: readonly Pick<PhotometricWeb, "type" | "symmetry" | "horizontalDeg">[] = [
    { type: "C", symmetry: "axial", horizontalDeg: [0] },
    { type: "C", symmetry: "quadrant", horizontalDeg: [0, 30, 90] },
    { type: "C", symmetry: "bilateral", horizontalDeg: [0, 45, 100, 180] },
    { type: "C", symmetry: "bilateral-90", horizontalDeg: [90, 135, 200, 270] },
    { type: "C", symmetry: "none", horizontalDeg: [0, 80, 160, 300] },
    { type: "B", symmetry: "quadrant", horizontalDeg: [0, 30, 90] },
    { type: "B", symmetry: "up-down", horizontalDeg: [-60, 0, 80] },
    { type: "A", symmetry: "quadrant", horizontalDeg: [0, 50, 90] },
    { type: "A", symmetry: "up-down", horizontalDeg: [-60, 0, 80] },
  ];
  for (const table of cases) {
    const web = webOf({ ...table, verticalDeg, candela: planes(table.horizontalDeg) });
    const flux = quadrature(web, 360);
    within(interpolatedFlux(web) / flux, 1, 0.002, `${table.type} ${table.symmetry}`);
    within(intensityField(web).fluxLm / flux, 1, 0.002, `${table.type} ${table.symmetry}`);
  }
});

test("Mirrored planes give equal intensity on both sides, for each symmetry of type C", () => {
  const verticalDeg = [0, 90];
  const web = (symmetry: PhotometricWeb["symmetry"], horizontalDeg: number[]): PhotometricWeb =>
    webOf({ type: "C", symmetry, verticalDeg, horizontalDeg, candela: horizontalDeg.map((h) => [100, h]) });
  const quadrant = web("quadrant", [0, 90]);
  for (const phi of [30, 150, 210, 330, -30, 390]) within(intensity(quadrant, 90, phi), 30, 1e-9);
  const bilateral = web("bilateral", [0, 180]);
  for (const phi of [120, 240]) within(intensity(bilateral, 90, phi), 120, 1e-9);
  const turned = web("bilateral-90", [90, 270]);
  for (const phi of [120, 60]) within(intensity(turned, 90, phi), 120, 1e-9);
  for (const phi of [250, 290]) within(intensity(turned, 90, phi), 250, 1e-9);
});

test("θ past 180 and negative θ fold onto the other side; a direction that is no number is a RangeError", () => {
  const web = webOf({
    type: "C",
    symmetry: "none",
    verticalDeg: [0, 180],
    horizontalDeg: [0, 180, 360],
    candela: [
      [10, 20],
      [30, 40],
      [10, 20],
    ],
  });
  within(intensity(web, -30, 0), intensity(web, 30, 180), 1e-9);
  within(intensity(web, 190, 20), intensity(web, 170, 200), 1e-9);
  assert.throws(() => intensity(web, Number.NaN, 0), RangeError);
});

test("The twelfth number multiplies in 1986 to 1995 and not in 2002 and 2019", () => {
  const peak = (first: string | null): number =>
    expectOk(parseIes(changed(iesLines, { 1: first, 9: "1 0.5 100" }))).peakCd;
  assert.deepEqual(
    [peak(null), peak("IESNA91"), peak("IESNA:LM-63-1995"), peak("IESNA:LM-63-2002")],
    [500, 500, 500, 1000],
  );
  assert.equal(expectOk(parseIes(changed(iesLines, { 1: "IES:LM-63-2019", 9: "1 1.10000 100" }))).peakCd, 1000);
});

test("Each edition is known by its first line, and the oldest by having none", () => {
  const format = (first: string | null): string => expectOk(parseIes(changed(iesLines, { 1: first }))).source.format;
  assert.deepEqual([null, "IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019"].map(format), [
    "LM-63-1986",
    "LM-63-1991",
    "LM-63-1995",
    "LM-63-2002",
    "LM-63-2019",
  ]);
});

test("Numbers may stand in any layout: one line, commas, Fortran exponents, CR alone as line end", () => {
  const plain = expectOk(parseIes(iesLines.join("\n")));
  const packed = [...iesLines.slice(0, 7), iesLines.slice(7).join(" ").replaceAll(" ", ",")].join("\r\n");
  assert.deepEqual(expectOk(parseIes(packed)).candela, plain.candela);
  assert.deepEqual(expectOk(parseIes(iesLines.join("\r"))).candela, plain.candela);
  assert.deepEqual(expectOk(parseIes(changed(iesLines, { 12: "1.0D3 .5E+3 0." }))).candela, plain.candela);
});

test("(S) EULUMDAT: 250 cd/klm with 12 000 lm is 3000 cd (Stockmar 1990); decimals may have commas", () => {
  const lines = ldtLines({ isym: 1, planes: [0], vertical: [0, 45, 90], values: [[250, 100, 0]] });
  const web = expectOk(parseLdt(lines.join("\r\n")));
  assert.equal(web.peakCd, 3000);
  assert.deepEqual(web.opening, { shape: "rectangle", widthM: 0.6, lengthM: 0.3, heightM: 0 });
  const comma = changed(lines, { [lines.length - 2]: "250,0", 24: "1,0" });
  assert.equal(expectOk(parseLdt(comma)).peakCd, 3000);
});

test("EULUMDAT symmetries: each stores its share of the planes and spreads it over the turn", () => {
  const planes = range(0, 330, 30);
  const vertical = [0, 90];
  const c = (angle: number): number[] => [100, angle];
  const read = (isym: number, stored: readonly number[]): PhotometricWeb =>
    expectOk(parseLdt(ldtLines({ isym, planes, vertical, values: stored.map(c) }).join("\n")));
  const at = (web: PhotometricWeb, phi: number): number => intensity(web, 90, phi) / 12;

  const none = read(0, planes);
  within(at(none, 300), 300, 1e-9);
  within(at(none, 345), 165, 1e-9, "half way over the seam between C330 and C0");
  const about0 = read(2, range(0, 180, 30));
  assert.deepEqual([at(about0, 60), at(about0, 300)].map(Math.round), [60, 60]);
  const both = read(4, [0, 30, 60, 90]);
  assert.deepEqual(
    [60, 120, 240, 300].map((phi) => Math.round(at(both, phi))),
    [60, 60, 60, 60],
  );
  // C270, C300, C330, C0, C30, C60, C90.
  const about90 = read(3, [270, 300, 330, 0, 30, 60, 90]);
  assert.equal(about90.symmetry, "bilateral-90");
  assert.deepEqual(
    [270, 300, 240, 0, 180, 30, 150, 90].map((phi) => Math.round(at(about90, phi))),
    [270, 300, 300, 0, 0, 30, 30, 90],
  );
});

test("EULUMDAT lamp sets are alternatives: the chosen one sets the level, and a warning says so", () => {
  const lines = ldtLines({ isym: 1, planes: [0], vertical: [0, 90], values: [[250, 0]] });
  const two = [
    ...lines.slice(0, 25),
    "2",
    ...lines.slice(26, 32),
    "1",
    "Weak lamp",
    "6000",
    "3000",
    "90",
    "50",
    ...lines.slice(32),
  ].join("\n");
  const first = expectOk(parseLdt(two));
  assert.equal(first.peakCd, 3000);
  assert.ok(first.warnings.some((w) => w.code === "ldt-many-sets"));
  assert.equal(expectOk(parseLdt(two, "two.ldt", 1)).peakCd, 1500);
  const third = parseLdt(two, "two.ldt", 2);
  assert.ok(!third.ok && third.faults.some((f) => f.code === "ldt-lamp-set"));
});

test("A negative number of lamps marks absolute photometry", () => {
  const lines = ldtLines({ isym: 1, planes: [0], vertical: [0, 90], values: [[250, 0]] });
  const web = expectOk(parseLdt(changed(lines, { 27: "-1" })));
  assert.deepEqual([web.absolute, web.lumensPerLamp, web.peakCd], [true, null, 3000]);
  assert.deepEqual(
    [expectOk(parseLdt(lines.join("\n"))).absolute, expectOk(parseLdt(lines.join("\n"))).lumensPerLamp],
    [false, 12000],
  );
});

test("Whatever a file is called, its text decides which reader takes it", () => {
  const ldt = ldtLines({ isym: 1, planes: [0], vertical: [0, 90], values: [[250, 0]] }).join("\n");
  assert.equal(expectOk(parsePhotometricFile(ldt, "light.ies")).source.format, "EULUMDAT");
  assert.equal(expectOk(parsePhotometricFile(iesLines.join("\n"), "light.ldt")).source.format, "LM-63-2002");
  const neither = parsePhotometricFile("dear sir", "letter.txt");
  assert.deepEqual(neither.ok ? [] : neither.faults.map((f) => f.code), ["photometric-unknown"]);
});
