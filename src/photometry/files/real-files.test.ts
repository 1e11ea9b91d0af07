/**
 * Against files and figures that nobody on this project made: two public collections of test files (MIT
 * licence) with counts, largest candela and flux from an independent script, kept beside the repository.
 */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { expectOk } from "../../units/index.ts";
import {
  decodePhotometricText,
  intensity,
  interpolatedFlux,
  type PhotometricWeb,
  parsePhotometricFile,
  printIes,
} from "./index.ts";

const data = join(import.meta.dirname, "../../../../shared/data");

interface Expected {
  readonly file: string;
  readonly version?: string;
  readonly tilt?: string;
  readonly type?: string;
  readonly nV?: number;
  readonly nH?: number;
  readonly v?: readonly [number, number];
  readonly h?: readonly [number, number];
  readonly lumens_per_lamp?: number;
  readonly watts?: number;
  readonly max_candela?: number;
  readonly flux_lm_bilinear?: number;
  readonly flux_lm_zonal?: number;
  readonly flux_over_rated?: number;
  readonly isym?: number;
  readonly Ng?: number;
  readonly lamp_flux_sum?: number;
  readonly max_cd_per_klm?: number;
  readonly integral_lm_per_klm_bilinear?: number;
  readonly integral_lm_per_klm_zonal?: number;
}

function load(folder: string, file: string): PhotometricWeb {
  const bytes = readFileSync(join(data, folder, file));
  return expectOk(parsePhotometricFile(expectOk(decodePhotometricText(bytes, file)), file));
}

const within = (actual: number, expected: number, tolerance: number, what: string): void =>
  assert.ok(Math.abs(actual - expected) <= tolerance, `${what}: ${actual} is not ${expected} within ${tolerance}`);

for (const folder of ["photometric_lab_files", "photometric_variants"]) {
  const list = join(data, folder, "EXPECTED.json");
  if (!existsSync(list)) {
    test(`The files of ${folder} read as expected`, { skip: `${folder} is not beside the repository` }, () => {});
    continue;
  }
  for (const expected of JSON.parse(readFileSync(list, "utf8")) as Expected[]) {
    test(`${folder}/${expected.file} reads as an independent script reads it`, () => {
      const web = load(folder, expected.file);
      if (expected.version === undefined) checkLdt(web, expected);
      else checkIes(web, expected);
      const again = expectOk(parsePhotometricFile(printIes(web), "printed.ies"));
      assert.deepEqual(
        [again.candela, again.horizontalDeg, again.verticalDeg],
        [web.candela, web.horizontalDeg, web.verticalDeg],
      );
    });
  }
}

function checkIes(web: PhotometricWeb, expected: Expected): void {
  assert.equal(web.source.format, (expected.version as string).replace(/^IES(NA)?:/, ""));
  assert.equal(web.tilt !== null, expected.tilt === "INCLUDE");
  assert.equal(web.type, expected.type);
  assert.equal(web.verticalDeg.length, expected.nV);
  assert.equal(web.horizontalDeg.length, expected.nH);
  assert.deepEqual([web.verticalDeg[0], web.verticalDeg.at(-1)], expected.v);
  assert.deepEqual([web.horizontalDeg[0], web.horizontalDeg.at(-1)], expected.h);
  assert.equal(web.absolute, expected.lumens_per_lamp === -1);
  assert.equal(web.inputWatts, expected.watts);
  within(web.peakCd, expected.max_candela as number, 1e-9, "largest candela");
  if (expected.flux_lm_zonal !== undefined) within(web.fluxLm, expected.flux_lm_zonal, 0.001, "zonal flux, lm");
  if (expected.flux_lm_bilinear !== undefined)
    within(interpolatedFlux(web), expected.flux_lm_bilinear, 0.02, "flux of the interpolated field, lm");
  if (expected.flux_over_rated !== undefined) {
    within(web.fluxLm / (web.lamps[0]?.fluxLm as number), expected.flux_over_rated, 0.005, "flux over rated");
    assert.ok(web.warnings.some((w) => w.code === "web-over-rated"));
  }
}

function checkLdt(web: PhotometricWeb, expected: Expected): void {
  const kilolumens = (expected.lamp_flux_sum as number) / 1000;
  assert.equal(web.source.format, "EULUMDAT");
  assert.equal(web.symmetry, ["none", "axial", "bilateral", "bilateral-90", "quadrant"][expected.isym as number]);
  assert.equal(web.verticalDeg.length, expected.Ng);
  within(web.peakCd, (expected.max_cd_per_klm as number) * kilolumens, 1e-9, "largest candela");
  within(web.fluxLm / kilolumens, expected.integral_lm_per_klm_zonal as number, 0.001, "zonal flux, lm/klm");
  within(
    interpolatedFlux(web) / kilolumens,
    expected.integral_lm_per_klm_bilinear as number,
    0.02,
    "flux of the interpolated field, lm/klm",
  );
}

const labFiles = existsSync(join(data, "photometric_lab_files"))
  ? {}
  : { skip: "photometric_lab_files is not beside the repository" };
const variants = existsSync(join(data, "photometric_variants"))
  ? {}
  : { skip: "photometric_variants is not beside the repository" };

test("The type B file mirrors its quarter: the same intensity up, down, left and right", labFiles, () => {
  const web = load("photometric_lab_files", "type_b_symmetric.ies");
  assert.equal(web.symmetry, "quadrant");
  within(intensity(web, 0, 0), 25000, 1e-9, "on the aim axis");
  // Straight up 45: V 45, H 0, third value of the first plane; straight right 45: H 45, V 0.
  for (const phi of [0, 180]) within(intensity(web, 45, phi), 15000, 1e-6, `θ 45 φ ${phi}`);
  for (const phi of [90, 270]) within(intensity(web, 45, phi), 20000, 1e-6, `θ 45 φ ${phi}`);
  within(intensity(web, 120, 0), 0, 1e-9, "behind");
});

test("The goniometer report with radiometric numbers says so in a warning", labFiles, () => {
  const web = load("photometric_lab_files", "B1_module.ies");
  assert.ok(web.warnings.some((w) => w.code === "ies-radiometric"));
});

test("TILT=INCLUDE is read and kept, and leaves the table as it stands", labFiles, () => {
  const web = load("photometric_lab_files", "tilt_include_v19.ies");
  assert.deepEqual(web.tilt, {
    geometry: 1,
    anglesDeg: [0, 15, 30, 45, 60, 75, 90],
    factors: [1, 0.98, 0.95, 0.9, 0.85, 0.8, 0.75],
  });
  within(intensity(web, 45, 45), 4500, 1e-9, "θ 45 φ 45");
});

test("Openings of the variant files: disc, rectangle, and feet turned to metres", variants, () => {
  const opening = (file: string): unknown => load("photometric_variants", file).opening;
  assert.deepEqual(opening("ies95__round_opening.ies"), { shape: "disc", widthM: 0.12, lengthM: 0.12, heightM: 0 });
  assert.deepEqual(opening("ies95__rectangular_opening.ies"), {
    shape: "rectangle",
    widthM: 0.12,
    lengthM: 0.34,
    heightM: 0,
  });
  assert.deepEqual(opening("ies95__imperial_units.ies"), {
    shape: "box",
    widthM: 0.12 * 0.3048,
    lengthM: 0.34 * 0.3048,
    heightM: 0.56 * 0.3048,
  });
  // The luminaire is 120 mm wide, its luminous area is given as 0 × 0.
  assert.deepEqual(opening("ldt__relative.ldt"), { shape: "point", widthM: 0, lengthM: 0, heightM: 0 });
});

test("Lines marked MORE go on with the keyword before them", variants, () => {
  const { keywords } = load("photometric_variants", "ies95__label_lines.ies").source;
  assert.equal(
    keywords.find(([name]) => name === "MULTILINE")?.[1],
    "Test multiline metadata\nShould contain three lines\nDivided by LF characters",
  );
});
