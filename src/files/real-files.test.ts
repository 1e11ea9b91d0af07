/**
 * Files that nobody here made, in ../shared/data (its README says whose they are); skipped where that folder is missing.
 */

import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { after, suite, test } from "node:test";
import { expectOk } from "../units/index.ts";
import { createDecoder, decodeFrame } from "./node.ts";

const data: string = join(import.meta.dirname, "..", "..", "..", "shared", "data");
const skip: string | false = existsSync(data) ? false : "../shared/data is not here";
const read = (path: string): Uint8Array => new Uint8Array(readFileSync(join(data, path)));
const decoder = createDecoder();
after(() => decoder.close());

suite("the raw DNG of a colour chart", { skip }, () => {
  const path = "raw_dng_colorchart/colorchart.dng";

  test("has the dimensions, black, white and neutral that its tags state (SOURCE.md beside it)", async () => {
    const { image } = expectOk(await decodeFrame(read(path), "chart.dng"));
    // ActiveArea 26,152,1182,1886: 1734 by 1156.
    assert.deepEqual([image.width, image.height, image.bits, image.source], [1734, 1156, 14, "raw"]);
    assert.deepEqual([image.blackLevels, image.whiteLevel, image.encoding], [[2056], 15_000, "linear"]);
    // AsShotNeutral 1/1 1/2.477 1/1.462 in the words of its source: multipliers with green 1.
    const [red, green, blue] = image.balance ?? [0, 0, 0];
    assert.ok(Math.abs(red - 2.477) < 1e-3 && green === 1 && Math.abs(blue - 2.477 / 1.462) < 1e-3);
    assert.ok(
      image.rgb.some((value) => value < 0),
      "noise under black is kept",
    );
  });

  test("the grey patches stand in the published order of stops; the largest difference is reported", async (t) => {
    const { image } = expectOk(await decodeFrame(read(path), "chart.dng"));
    const centres = [702, 814, 924, 1036, 1146, 1258].map((x, i) => [x, [930, 926, 924, 924, 924, 922][i] as number]);
    const measured = centres.map(([x = 0, y = 0]) => Math.log2(meanGreen(image, x, y, 48)));
    const published = neutralReflectances().map(Math.log2);
    const drops = measured.slice(1).map((value, i) => value - (measured[i] as number));
    for (const drop of drops) assert.ok(drop < -0.3, `each is darker than the one before: ${drops}`);
    const differences = measured.map((value, i) => {
      const asked = (published[i] as number) - (published[0] as number);
      return value - (measured[0] as number) - asked;
    });
    t.diagnostic(`measured less published, stops under white: ${differences.map((d) => d.toFixed(3)).join(", ")}`);
    // Window light falls off over the row and a folding chart bends: 0.4 stop is the picture's, not the decoder's.
    assert.ok(
      differences.every((d) => Math.abs(d) < 0.4),
      String(differences),
    );
  });

  test("half size is the same light as full size, patch by patch", async () => {
    const full = expectOk(await decodeFrame(read(path), "chart.dng")).image;
    const small = expectOk(await decodeFrame(read(path), "chart.dng", { half: true })).image;
    assert.deepEqual([small.width, small.height], [867, 578]);
    for (const [x, y] of [
      [702, 930],
      [924, 924],
      [1258, 922],
    ] as const) {
      const stops = Math.log2(meanGreen(full, x, y, 48) / meanGreen(small, x / 2, y / 2, 24));
      assert.ok(Math.abs(stops) < 0.005, String(stops));
    }
  });

  test("cut short it is a fault, not a picture", async () => {
    for (const part of [0.2, 0.7, 0.98]) {
      const bytes = read(path);
      const cut = await decodeFrame(bytes.subarray(0, Math.floor(part * bytes.length)), "cut.dng");
      assert.equal(cut.ok, false, String(part));
    }
  });
});

/** Mean of green over a square about a point. */
function meanGreen(
  image: { readonly width: number; readonly rgb: Float32Array },
  x: number,
  y: number,
  side: number,
): number {
  let sum = 0;
  for (let dy = 0; dy < side; dy++) {
    for (let dx = 0; dx < side; dx++) {
      const at = Math.round(y - side / 2 + dy) * image.width + Math.round(x - side / 2 + dx);
      sum += image.rgb[3 * at + 1] as number;
    }
  }
  return sum / side ** 2;
}

/** Mean reflectance, 530 to 570 nm, of the six neutrals, lightest first: the published chart table. */
function neutralReflectances(): readonly number[] {
  const text = readFileSync(join(data, "reference_tables", "colour_chart24_average30_reflectance.csv"), "utf8");
  const rows = text
    .trim()
    .split(/\r?\n/)
    .map((line) => line.split(","));
  const [head = []] = rows;
  const columns =
    head.length > 20 && rows.length > 24
      ? head.slice(1).map((_, j) => rows.slice(1).map((row) => Number(row[j + 1])))
      : [];
  const wavelengths = rows.slice(1).map((row) => Number(row[0]));
  const middle = wavelengths.flatMap((nm, i) => (nm >= 530 && nm <= 570 ? [i] : []));
  return columns.slice(-6).map((column) => middle.reduce((sum, i) => sum + (column[i] as number), 0) / middle.length);
}

test("the 16-bit TIFF of a sensor keeps its 12 bits, its black level and its exposure", { skip }, async () => {
  const { image, exposure, notes } = expectOk(await decodeFrame(read("linear16_panel/IMG_0001_4.tif"), "panel.tif"));
  assert.deepEqual([image.width, image.height, image.bits], [1280, 960, 12]);
  assert.deepEqual([image.encoding, image.source, image.blackLevels], ["linear", "linear-file", [4800, 4800, 4800]]);
  assert.deepEqual([exposure.shutterS, exposure.fNumber, notes], [0.0018, 2.8, []]);
  const levels = new Set(image.rgb.map((value) => Math.round(4800 + value * (65_535 - 4800))));
  assert.ok(levels.size > 1000, `${levels.size} levels: more than eight bits hold`);
  for (const level of levels) assert.equal(level % 16, 0);
});

test("every file of the bracket has its exposure, and codes rise with it", { skip }, async () => {
  const means: number[] = [];
  for (const setting of [1, 2, 4, 8, 16, 32, 64]) {
    const name = `${String(setting).padStart(3, "0")}.ppm`;
    const { image, exposure } = expectOk(await decodeFrame(read(`bracket_esp32/${name}`), name));
    assert.deepEqual([image.width, image.height, exposure.shutterS], [160, 120, setting]);
    means.push(image.rgb.reduce((sum, value) => sum + value, 0) / image.rgb.length);
  }
  for (let i = 1; i < means.length; i++) assert.ok((means[i] as number) > (means[i - 1] as number));
});

suite("the decoder cases", { skip }, () => {
  test("a JPEG of orientation 6 stands upright and is read by its embedded profile's curve", async () => {
    const { image, notes } = expectOk(await decodeFrame(read("decoder_cases/Landscape_6.jpg"), "landscape.jpg"));
    assert.deepEqual([image.width, image.height, image.encoding, notes], [600, 450, "coded", []]);
    // That profile's curve is the exponent 1.8: its name says Generic RGB, its own tag the rest.
    const green = image.profile?.tables[1] as Float32Array;
    const middle = green[Math.round(0.5 * (green.length - 1))] as number;
    assert.ok(Math.abs(middle - 0.5 ** 1.8) < 0.002, String(middle));
  });

  test("a truncated JPEG is a fault", async () => {
    const cut = await decodeFrame(read("decoder_cases/truncated.jpg"), "truncated.jpg");
    assert.deepEqual(cut.ok ? null : cut.faults.map(({ code, where }) => [code, where]), [
      ["frame-truncated", "truncated.jpg"],
    ]);
  });

  test("a 16-bit PNG keeps codes that eight bits do not hold", async () => {
    const { image } = expectOk(await decodeFrame(read("decoder_cases/Flag_of_the_Netherlands-16bit.png"), "flag.png"));
    assert.deepEqual([image.width, image.height, image.profile?.name], [900, 600, "the file's gamma of 0.45455"]);
    assert.ok(image.rgb.every((value) => value >= 0 && value <= 1));
  });
});

suite("PngSuite (van Schaik)", { skip }, () => {
  const names = skip === false ? readdirSync(join(data, "pngsuite")).filter((name) => name.endsWith(".png")) : [];
  for (const name of names) {
    test(`${name} gives a 32 by 32 picture of the bits that its name states, or a fault where its name begins with x`, async () => {
      const frame = await decodeFrame(read(`pngsuite/${name}`), name);
      if (name.startsWith("x")) return assert.equal(frame.ok, false);
      const { image } = expectOk(frame);
      // The name's end: colour type and bits; palettes hold 8-bit colours.
      const bits = /3p\d\d\.png$/.test(name) ? 8 : Number(name.slice(-6, -4));
      assert.deepEqual([image.width, image.height], [32, 32]);
      assert.ok(image.bits <= bits && image.bits > 0, `${image.bits} of ${bits}`);
      assert.ok(image.rgb.every((value) => value >= 0 && value <= 1));
      return undefined;
    });
  }

  test("one picture at four file gammas is one picture in light, within the steps of its codes", async () => {
    for (const kind of ["n0g16", "n2c08"]) {
      const light = await Promise.all(
        ["g04", "g05", "g07", "g10"].map(async (gamma) => {
          const look = expectOk(await decoder.look(read(`pngsuite/${gamma}${kind}.png`), `${gamma}${kind}.png`));
          return look.proxy.rgb;
        }),
      );
      const [first = new Float32Array(0), ...others] = light;
      for (const other of others) {
        // Each file carries its own gamma as lettering, which differs; the rest is one picture.
        const alike = other.filter((value, i) => Math.abs(value - (first[i] as number)) < 0.012).length / other.length;
        assert.ok(alike > 0.88, `${kind}: ${alike}`);
      }
    }
  });
});

test("the raw chart with bytes flipped and cut, seed 77: pictures or faults, and the decoder goes on", {
  skip,
}, async () => {
  const whole = read("raw_dng_colorchart/colorchart.dng");
  let state = 77;
  const dice = (below: number): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
  for (let round = 0; round < 16; round++) {
    const broken = whole.slice(0, round % 4 === 3 ? dice(whole.length) : whole.length);
    // Mostly in the header, where the tags are.
    for (let i = 0; i < 8; i++) broken[dice(i < 6 ? Math.min(4096, broken.length) : broken.length)] = dice(256);
    const answer = await decoder.look(broken, `${round}.dng`, { longest: 200 });
    if (!answer.ok)
      assert.ok(
        answer.faults.every(({ code, mend }) => code !== "decoder-failed" && mend !== ""),
        JSON.stringify(answer.faults),
      );
  }
  assert.equal((await decoder.look(whole, "whole.dng", { longest: 200 })).ok, true);
});
