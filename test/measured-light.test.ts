/**
 * A real measured beam through the whole chain, checked by hand: the raw numbers of the .ies file are read here with
 * nothing but split and Number, turned into an intensity by straight lines between them, and laid against what
 * `predict` says at the nose. Inverse square law E = I/d² and exposure equation N² = E·t·S/C (ISO 2720:1974).
 * The file is a goniometer report from a public collection (MIT licence, fixtures/photometric); an independent
 * script's figures for it lie beside the repository.
 */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { noseOf, parseSetup, positionOf, type Setup } from "../src/setup/index.ts";
import { chainsOf, type LedgerRow, predict, type SetupReport } from "../src/solve/index.ts";
import { expectOk } from "../src/units/index.ts";

const root: string = join(import.meta.dirname, "..");
const published: string = join(root, "..", "shared", "data", "photometric_lab_files");
const ours: string = readFileSync(join(root, "fixtures", "photometric", "measured-module.ies"), "utf8");
const setup: Setup = expectOk(
  parseSetup(JSON.parse(readFileSync(join(root, "examples", "measured-beam.json"), "utf8"))),
);
const raw = rawTable(ours);

test("the numbers of the fixture are those of the published file, line by line", {
  skip: !existsSync(published) && "the public files are not beside the repository",
}, () => {
  const theirs = readFileSync(join(published, "B1_module.ies"), "utf8");
  const [here, there] = [ours, theirs].map((text) => text.slice(text.indexOf("TILT=")));
  assert.equal(here, there);
  assert.equal(ours.split("\r\n").length, theirs.split("\r\n").length);
});

test("the flux under the table, by fine sums of our own, is the independent script's 121.138", () => {
  assert.ok(Math.abs(rawFlux() - 121.138) < 0.01, String(rawFlux()));
});

test("the beam's shape on the LED head: illuminance at the nose is Q/Φ · I/d², as the file's own candela say", () => {
  const main = mainOf(setup);
  const { head } = main;
  // 60 W at 90 lm/W, the dial as it stands; the beam's axis goes through the nose.
  const lumens = (head.powerW ?? 0) * head.efficacy * 2 ** (head.learnedStops + main.dialStops);
  const intensity = (lumens * rawIntensity(0, 0)) / rawFlux();
  const illuminance = intensity / distanceM(setup) ** 2;
  close(readingByHand(setup, illuminance), straightAv(predict(setup)), 0.003);
  // The head's dial is told by a measured table: 10 % is 3.6 under, 25 % 2.15 under.
  assert.ok(main.dialStops <= -2.15 && main.dialStops >= -3.6);
});

test("taken as candela, the table needs no head: illuminance at the nose is I/d² times the dial", () => {
  const absolute = changed(setup, { absolute: true });
  const main = mainOf(absolute);
  const illuminance = (rawIntensity(0, 0) * 2 ** main.dialStops) / distanceM(absolute) ** 2;
  close(readingByHand(absolute, illuminance), straightAv(predict(absolute)), 0.003);
});

test("at full, 1.00 m away, in a black room without ambient light, all of M's reading is the file's 150.48 on its axis", () => {
  const { room } = setup;
  const black = { ceiling: 0, floor: 0, left: 0, right: 0, back: 0, front: 0 };
  const near = changed({ ...setup, room: { ...room, reflectance: black, ambientLx: null } }, { absolute: true });
  const bare: Setup = {
    ...near,
    panels: [],
    lights: near.lights
      .filter(({ role }) => role === "main")
      .map((light) => ({
        ...light,
        dialStops: 0,
        place: { kind: "polar", azimuthDeg: -35, distanceM: 1, heightM: 1.6 },
      })),
  };
  const [light] = predict(bare).lights;
  assert.ok(light);
  // 114 in the table times the file's multiplier 1.32.
  assert.equal(Math.round(rawIntensity(0, 0) * 100) / 100, 150.48);
  close(readingByHand(bare, 150.48), light.predicted.av ?? Number.NaN, 0.002);
  close((bare.meter.domeC * 2 ** (light.predicted.av ?? 0)) / bare.exposure.iso, light.predicted.luxSeconds, 1e-6);
  close(light.predicted.luxSeconds / bare.exposure.shutterS, 150.48, 0.2);
});

test("aimed 25° past the nose, the reading falls as the file's planes say, between the least and the most of them", () => {
  const aside = 25;
  const nose = noseOf(setup);
  const [x, y, z] = positionOf(mainOf(setup).place, setup);
  // Turned about the upright axis through the light: keep the height of the aim, swing its foot.
  const [dx, dz] = [nose[0] - x, nose[2] - z];
  const turn = (angleDeg: number): Setup => {
    const a = (angleDeg * Math.PI) / 180;
    const aim = {
      kind: "xyz",
      xM: x + dx * Math.cos(a) + dz * Math.sin(a),
      yM: nose[1],
      zM: z + dz * Math.cos(a) - dx * Math.sin(a),
    } as const;
    return { ...setup, lights: setup.lights.map((light) => (light.role === "main" ? { ...light, aim } : light)) };
  };
  const turned = turn(aside);
  const { aim } = mainOf(turned);
  assert.ok(aim.kind === "xyz");
  const theta = angleDeg([aim.xM - x, aim.yM - y, aim.zM - z], [nose[0] - x, nose[1] - y, nose[2] - z]);
  const planes = raw.horizontal.map((h) => rawIntensity(theta, h) / rawIntensity(0, 0));
  const fell = straightAv(predict(turned)) - straightAv(predict(setup));
  assert.ok(fell >= Math.log2(Math.min(...planes)) - 0.003, `${fell} stops at ${theta}°`);
  assert.ok(fell <= Math.log2(Math.max(...planes)) + 0.003, `${fell} stops at ${theta}°`);
  assert.ok(fell < -0.3 && fell > -1);
});

test("the plan meets the main's target with it, and every ledger still sums to its reading", () => {
  const report = predict(setup);
  const main = report.lights.find(({ role }) => role === "main");
  assert.equal(main?.plan.state, "planned");
  assert.ok(Math.abs(main?.plan.residualStops ?? 1) <= 0.1);
  for (const { predicted } of report.lights) {
    for (const chain of chainsOf(predicted.ledger)) {
      const sum = chain.rows.reduce((total: number, row: LedgerRow) => total + row.stops, 0);
      if (chain.av !== null) close(sum, chain.av, 1e-9);
    }
  }
});

interface RawTable {
  readonly vertical: readonly number[];
  readonly horizontal: readonly number[];
  readonly rows: readonly (readonly number[])[];
  readonly multiplier: number;
}

/** The file after TILT=NONE: ten numbers, three, the angles, the rows. */
function rawTable(text: string): RawTable {
  const numbers = text
    .slice(text.indexOf("TILT=NONE") + "TILT=NONE".length)
    .trim()
    .split(/\s+/)
    .map(Number);
  const [, , multiplier = 0, verticals = 0, horizontals = 0] = numbers;
  const vertical = numbers.slice(13, 13 + verticals);
  const horizontal = numbers.slice(13 + verticals, 13 + verticals + horizontals);
  const body = numbers.slice(13 + verticals + horizontals);
  const rows = horizontal.map((_, j) => body.slice(j * verticals, (j + 1) * verticals));
  return { vertical, horizontal, rows, multiplier };
}

/** Straight lines between the table's points, cd. */
function rawIntensity(theta: number, phi: number): number {
  const { vertical, horizontal, rows, multiplier } = raw;
  const [i, s] = between(vertical, theta);
  const [j, t] = between(horizontal, phi);
  const at = (row: number, column: number): number => rows[row]?.[column] ?? Number.NaN;
  const low = at(j, i) * (1 - s) + at(j, i + 1) * s;
  const high = at(j + 1, i) * (1 - s) + at(j + 1, i + 1) * s;
  return multiplier * (low * (1 - t) + high * t);
}

function between(angles: readonly number[], angle: number): readonly [number, number] {
  const found = angles.findIndex((value) => value > angle);
  const i = found < 0 ? angles.length - 2 : Math.max(found - 1, 0);
  const [a, b] = [angles[i] ?? 0, angles[i + 1] ?? 1];
  return [i, (angle - a) / (b - a)];
}

/** ∫ I dω over the sphere by the midpoint rule, quarter degrees by degrees. */
function rawFlux(): number {
  let sum = 0;
  for (let theta = 0.125; theta < 180; theta += 0.25) {
    const ring = Math.sin((theta * Math.PI) / 180) * ((0.25 * Math.PI) / 180) * (Math.PI / 180);
    for (let phi = 0.5; phi < 360; phi += 1) sum += rawIntensity(theta, phi) * ring;
  }
  return sum;
}

/** N² = E·t·S/C for the dome that faces the light; Av = log2 N². */
const readingByHand = ({ exposure, meter }: Setup, illuminance: number): number =>
  Math.log2((illuminance * exposure.shutterS * exposure.iso) / meter.domeC) - meter.offsetStops;

function mainOf(of: Setup): Setup["lights"][number] {
  const main = of.lights.find(({ role }) => role === "main");
  assert.ok(main);
  return main;
}

function distanceM(of: Setup): number {
  const [nose, light] = [noseOf(of), positionOf(mainOf(of).place, of)];
  return Math.hypot(nose[0] - light[0], nose[1] - light[1], nose[2] - light[2]);
}

/** The main's own straight way, without room, panels and ambient light. */
function straightAv(report: SetupReport): number {
  const main = report.lights.find(({ role }) => role === "main");
  assert.ok(main);
  const straight = chainsOf(main.predicted.ledger).find(({ label }) => label === "straight");
  assert.ok(straight && straight.av !== null);
  return straight.av;
}

function changed(of: Setup, file: { readonly absolute: boolean }): Setup {
  return {
    ...of,
    lights: of.lights.map((light) => {
      const { photometricFile } = light.modifier;
      if (photometricFile === null) return light;
      return { ...light, modifier: { ...light.modifier, photometricFile: { ...photometricFile, ...file } } };
    }),
  };
}

function angleDeg(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  const dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  return (Math.acos(dot / (Math.hypot(...a) * Math.hypot(...b))) * 180) / Math.PI;
}

function close(actual: number, expected: number, tolerance: number): void {
  assert.ok(Math.abs(actual - expected) <= tolerance, `${actual} is not ${expected} within ${tolerance}`);
}
