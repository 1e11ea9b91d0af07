/** `stopwise frames` as people run it, on folders of the kinds that cameras leave, made of rendered frames. */

import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, suite, test } from "node:test";
import { Ajv2020 } from "ajv/dist/2020.js";
import { type FileSettings, writeJpeg, writeMask, writePng8, writeTiff16 } from "./frame-files.ts";
import { exposureOf, type RenderedSet, renderSet } from "./rendered-frames.ts";
import { root, scratchFolder, stopwise } from "./run-cli.ts";

const scratch = scratchFolder("cli-frames");
after(scratch.done);

interface Told {
  readonly frames: readonly {
    readonly id: string;
    readonly name: string;
    readonly bits: number;
    readonly basis: string;
    readonly stopsUnderBrightest: number;
    readonly shows: {
      readonly kind: string;
      readonly lightId?: string;
      readonly lightIds?: readonly string[];
      readonly stops?: number;
    };
  }[];
  readonly bracket: {
    readonly rmsStops: number;
    readonly steps: readonly { readonly foundStops: number | null }[];
  } | null;
  readonly sums: readonly {
    readonly verdict: string;
    readonly rmsStops: number;
    readonly ambient: string | null;
    readonly patches: { readonly outside: number; readonly usable: number };
    readonly gains: readonly { readonly lightId: string; readonly stops: number }[];
    readonly causes: readonly {
      readonly kind: string;
      readonly lightId: string | null;
      readonly figure: number | null;
    }[];
  }[];
  readonly gains: readonly {
    readonly from: string;
    readonly to: string;
    readonly stops: number;
    readonly oneNumber: boolean;
  }[];
  readonly grey:
    | readonly {
        readonly lightId: string;
        readonly stopsUnder: number | null;
        readonly white: { readonly kelvin: number } | null;
      }[]
    | null;
  readonly faults: readonly { readonly code: string; readonly where: string }[];
}

async function told(...words: readonly string[]): Promise<Told> {
  const ran = await stopwise(scratch.path, ["frames", ...words, "--json"]);
  assert.equal(ran.status, 0, ran.stderr);
  const answer = JSON.parse(ran.stdout) as Told;
  const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
  const validate = ajv.compile(JSON.parse(readFileSync(join(root, "docs", "schema", "frames.json"), "utf8")) as object);
  assert.ok(validate(answer), JSON.stringify(validate.errors?.slice(0, 3)));
  return answer;
}

const SETTINGS: FileSettings = { shutter: "1/125", fNumber: "8/1", iso: "100" };
let set: RenderedSet;
/** The demo's four lights at half the light, so that a bracket has room. */
let alone: readonly Float32Array[];
let all: Float32Array;
let ambient: Float32Array;

const half = (light: Float32Array): Float32Array => light.map((value) => value / 2);

before(() => {
  set = renderSet({ width: 60, samples: 10, enlarge: 4 });
  const only = (k: number | null): (number | null)[] => set.lights.map((_, j) => (j === k ? 0 : null));
  alone = set.lights.map((_, k) => half(exposureOf(set, only(k))));
  all = half(
    exposureOf(
      set,
      set.lights.map(() => 0),
    ),
  );
  ambient = half(exposureOf(set, only(null)));
});

function folder(name: string): string {
  mkdirSync(join(scratch.path, name), { recursive: true });
  return join(scratch.path, name);
}

/** kind of each frame, by name. */
const kinds = ({ frames }: Told): Readonly<Record<string, string>> =>
  Object.fromEntries(frames.map(({ name, shows }) => [name, shows.lightId ?? shows.kind]));

suite("frames", () => {
  test("16-bit linear TIFFs, four lights, all and none: each found by looking, and all is the sum, measured", async () => {
    const dir = folder("tiff");
    for (const [k, light] of alone.entries()) await writeTiff16(join(dir, `a${k + 1}.tif`), set, light, k + 1);
    await writeTiff16(join(dir, "b1.tif"), set, all, 8);
    await writeTiff16(join(dir, "b2.tif"), set, ambient, 9);
    const answer = await told(dir);
    assert.deepEqual(kinds(answer), {
      ...{ "a1.tif": "light-1", "a2.tif": "light-2", "a3.tif": "light-3", "a4.tif": "light-4" },
      ...{ "b1.tif": "together", "b2.tif": "ambient" },
    });
    const [sum] = answer.sums;
    assert.equal(sum?.verdict, "measured");
    assert.ok(sum.rmsStops < 0.03, String(sum.rmsStops));
    assert.equal(sum.ambient, answer.frames.at(-1)?.id);
    for (const { stops } of sum.gains) assert.ok(Math.abs(stops) < 0.03, String(stops));
    assert.deepEqual([...new Set(answer.frames.map(({ bits, basis }) => `${bits} ${basis}`))], ["16 linear-file"]);
  });

  test("--grey tells stops between the lights on a patch as the rendered light has them, and each light's white", async () => {
    const dir = folder("tiff");
    const { grey } = await told(dir, "--grey", "100,110,24x24", "--white", "5500");
    const light = (rgb: Float32Array): number => {
      let sum = 0;
      for (let y = 110; y < 134; y++) {
        for (let x = 100; x < 124; x++) {
          [0.2126, 0.7152, 0.0722].forEach((weight, c) => {
            const at = 3 * (y * set.width + x) + c;
            sum += weight * ((rgb[at] as number) - (ambient[at] as number));
          });
        }
      }
      return sum;
    };
    const wanted = Math.log2(light(alone[0] as Float32Array) / light(alone[1] as Float32Array));
    const fill = grey?.find(({ lightId }) => lightId === "light-2");
    assert.ok(Math.abs((fill?.stopsUnder ?? 9) - wanted) < 0.03, `${fill?.stopsUnder} and ${wanted}`);
    assert.ok((fill?.white?.kelvin ?? 0) > 1500, JSON.stringify(fill));
    const ran = await stopwise(scratch.path, ["frames", dir, "--grey", "here"]);
    assert.match(ran.stderr, /\[place-form\]/);
  });

  test("a light that was bumped by 0.3 stop before the frame of all is found, and named", async () => {
    const dir = folder("bumped");
    for (const [k, light] of alone.entries()) await writeTiff16(join(dir, `a${k + 1}.tif`), set, light, k + 1);
    const bumped = half(exposureOf(set, [0, 0.3, 0, 0]));
    await writeTiff16(join(dir, "b1.tif"), set, bumped, 8);
    await writeTiff16(join(dir, "b2.tif"), set, ambient, 9);
    const [sum] = (await told(dir)).sums;
    const second = sum?.gains.find(({ lightId }) => lightId === "light-2");
    assert.ok(Math.abs((second?.stops ?? 0) - 0.3) < 0.03, JSON.stringify(sum?.gains));
    assert.ok(sum?.causes.some(({ kind, lightId }) => kind === "light-changed" && lightId === "light-2"));
  });

  test("PNGs with a mask: the mask is no frame, only what it shows is compared, and 8 bits through sRGB are a sketch", async () => {
    const dir = folder("png");
    for (const [k, light] of alone.entries()) await writePng8(join(dir, `00${k + 1}.png`), set, light, k + 1);
    await writePng8(join(dir, "020.png"), set, all, 8);
    await writePng8(join(dir, "021.png"), set, ambient, 9);
    await writeMask(join(dir, "mask.png"), set);
    const plain = await told(dir);
    assert.equal(kinds(plain)["mask.png"], "aside");
    assert.equal(plain.sums[0]?.patches.outside, 0);
    const masked = await told(dir, "--mask", "mask.png");
    const [sum] = masked.sums;
    assert.equal(sum?.verdict, "sketch");
    assert.ok((sum?.patches.outside ?? 0) > 1000);
    assert.ok((sum?.rmsStops ?? 1) < 0.05);
  });

  test("a bracket at exact full stops, known by Exif, gives the camera's response, and the set goes through it", async () => {
    const dir = folder("bracket");
    // A camera's own curve, with a shoulder: not sRGB's.
    const curve = (light: number): number =>
      Math.min(1, (1 - Math.exp(-1.6 * light)) / (1 - Math.exp(-1.6))) ** (1 / 2.1);
    // Eight bits show little seven stops down: a room of some codes.
    const lit = (stops: readonly (number | null)[]): Float32Array => exposureOf(set, stops, 2);
    for (const k of set.lights.keys()) {
      const light = lit(set.lights.map((_, j) => (j === k ? 0 : null)));
      await writeJpeg(join(dir, `IMG_04${12 + k}.JPG`), set, light, SETTINGS, k + 1, curve);
    }
    for (const [k, shutter] of ["1/500", "1/250", "1/125", "1/60", "1/30"].entries()) {
      const light = lit([0, 0, 0, 0]).map((value) => value * 2 ** (k - 2));
      await writeJpeg(join(dir, `IMG_050${k}.JPG`), set, light, { ...SETTINGS, shutter }, 50 + k, curve);
    }
    await writeJpeg(join(dir, "IMG_0510_room.JPG"), set, lit([null, null, null, null]), SETTINGS, 60, curve);
    const answer = await told(dir);
    for (const { foundStops } of answer.bracket?.steps ?? []) {
      assert.ok(Math.abs((foundStops ?? 9) - 1) < 0.05, JSON.stringify(answer.bracket?.steps));
    }
    assert.equal(answer.bracket?.steps.length, 4);
    assert.deepEqual([...new Set(answer.frames.map(({ basis }) => basis))], ["recovered"]);
    const repeats = answer.frames.filter(({ shows }) => shows.kind === "repeat").map(({ shows }) => shows.stops);
    assert.deepEqual(
      repeats.map((stops) => Math.round(10 * (stops ?? 0)) / 10),
      [-2, -1, 1, 2],
    );
    assert.ok((answer.sums[0]?.rmsStops ?? 1) < 0.1, JSON.stringify(answer.sums[0]));
    const step = answer.gains.find(
      ({ from, to }) => from === id(answer, "IMG_0501.JPG") && to === id(answer, "IMG_0503.JPG"),
    );
    assert.ok(Math.abs((step?.stops ?? 0) - 2) < 0.05 && step?.oneNumber === true, JSON.stringify(step));
  });

  test("8-bit JPEGs by sRGB's curve: the room of about one code is found, every light is in the sum, a sketch", async () => {
    const dir = folder("jpeg");
    for (const [k, light] of alone.entries())
      await writeJpeg(join(dir, `DSC_000${k + 1}.JPG`), set, light, SETTINGS, k + 1);
    await writeJpeg(join(dir, "DSC_0008.JPG"), set, all, SETTINGS, 8);
    await writeJpeg(join(dir, "DSC_0009.JPG"), set, ambient, SETTINGS, 9);
    const answer = await told(dir);
    assert.equal(kinds(answer)["DSC_0009.JPG"], "ambient");
    const joint = answer.frames.find(({ name }) => name === "DSC_0008.JPG");
    assert.equal(joint?.shows.lightIds?.length, 4);
    assert.equal(answer.sums[0]?.verdict, "sketch");
    assert.deepEqual(answer.sums[0]?.causes, []);
  });

  test("a camera's steeper curve without a bracket: found as the sum, and how much a stop shows is said", async () => {
    const dir = folder("curve");
    const steep = (light: number): number => {
      const code = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
      return code + 0.7 * (3 * code ** 2 - 2 * code ** 3 - code);
    };
    const lit = (light: Float32Array): Float32Array => light.map((value) => 1.5 * value);
    for (const [k, light] of alone.entries()) {
      await writeJpeg(join(dir, `DSC_000${k + 1}.JPG`), set, lit(light), SETTINGS, k + 1, steep);
    }
    await writeJpeg(join(dir, "DSC_0008.JPG"), set, lit(all), SETTINGS, 8, steep);
    await writeJpeg(join(dir, "DSC_0009.JPG"), set, lit(ambient), SETTINGS, 9, steep);
    const answer = await told(dir);
    assert.equal(answer.frames.find(({ name }) => name === "DSC_0008.JPG")?.shows.lightIds?.length, 4);
    const [sum] = answer.sums;
    assert.notEqual(sum?.verdict, "measured");
    const curve = sum?.causes.find(({ kind }) => kind === "tone-curve");
    assert.ok(curve !== undefined && (curve.figure ?? 0) > 1.04 && (curve.figure ?? 9) < 1.4, JSON.stringify(sum));
    assert.ok(sum?.causes.every(({ kind }) => kind !== "light-changed"));
  });

  test("a frame of all shot a stop darker counts at its exposure; times of flash frames do not count", async () => {
    const dir = folder("times");
    for (const [k, light] of alone.entries()) await writeJpeg(join(dir, `a${k + 1}.jpg`), set, light, SETTINGS, k + 1);
    await writeJpeg(join(dir, "b1.jpg"), set, half(all), { ...SETTINGS, shutter: "1/250" }, 8);
    await writeJpeg(join(dir, "b2.jpg"), set, ambient, SETTINGS, 9);
    const even = await told(dir);
    assert.equal(even.sums[0]?.verdict, "sketch", JSON.stringify(even.frames.map(({ shows }) => shows)));
    assert.ok(even.sums[0].rmsStops < 0.05);
    // The same light at half the time: only flash does that.
    await writeJpeg(join(dir, "b1.jpg"), set, all, { ...SETTINGS, shutter: "1/250" }, 8);
    const flash = await told(dir);
    assert.deepEqual(
      flash.faults.map(({ code }) => code),
      ["times-left-out"],
    );
    assert.ok((flash.sums[0]?.rmsStops ?? 1) < 0.05);
  });

  test("--steps says the bracket where the files do not", async () => {
    const dir = folder("steps");
    for (let k = 0; k < 4; k++) {
      await writeJpeg(
        join(dir, `s${k}.jpg`),
        set,
        all.map((value) => value * 2 ** (k - 2)),
        null,
        70 + k,
      );
    }
    assert.equal((await told(dir)).bracket, null);
    const { bracket } = await told(dir, "--steps", "1");
    for (const { foundStops } of bracket?.steps ?? []) {
      assert.ok(Math.abs((foundStops ?? 9) - 1) < 0.12, JSON.stringify(bracket?.steps));
    }
    assert.equal(bracket?.steps.length, 3);
  });

  test("with a setup, names say which light: tags and the trade's words for all and none", async () => {
    const dir = folder("named");
    for (const [k, light] of alone.entries()) {
      await writeTiff16(join(dir, `${set.lights[k]?.tag}_04${k}.tif`), set, light, k + 1);
    }
    await writeTiff16(join(dir, "all_0420.tif"), set, all, 8);
    await writeTiff16(join(dir, "none_0421.tif"), set, ambient, 9);
    const answer = await told(dir, "--setup", join(root, "examples", "choir-headshots.json"));
    for (const [k, { lightId, tag }] of set.lights.entries()) assert.equal(kinds(answer)[`${tag}_04${k}.tif`], lightId);
    assert.equal(answer.sums[0]?.verdict, "measured");
    const ran = await stopwise(scratch.path, [
      "frames",
      dir,
      "--setup",
      join(root, "examples", "choir-headshots.json"),
    ]);
    assert.match(ran.stdout, /all_0420\.tif against the sum of M \+ F \+ E \+ H \(the room taken off once\): measured/);
  });

  test("files that cannot be read are faults and stop nothing else; a folder without a picture is a fault", async () => {
    const dir = folder("broken");
    await writePng8(join(dir, "1.png"), set, all, 1);
    writeFileSync(join(dir, "2.png"), readFileSync(join(dir, "1.png")).subarray(0, 4000));
    writeFileSync(join(dir, "3.jpg"), "not a picture");
    writeFileSync(join(dir, "readme.txt"), "not looked at");
    const answer = await told(dir);
    assert.deepEqual(
      answer.frames.map(({ name }) => name),
      ["1.png"],
    );
    const faults = answer.faults.map(({ code, where }) => `${where} ${code}`).sort();
    assert.deepEqual(faults, ["2.png frame-truncated", "3.jpg frame-kind"]);
    for (const [words, code] of [
      [[folder("empty")], "no-frames"],
      [[join(scratch.path, "nowhere")], "no-file"],
      [[join(dir, "1.png")], "no-folder"],
      [[dir, "--mask", "9.png"], "mask-unknown"],
      [[dir, "--linear", "--coded"], "options-clash"],
      [[dir, "--steps", "x"], "number-form"],
    ] as const) {
      const ran = await stopwise(scratch.path, ["frames", ...words]);
      assert.equal(ran.status, 2, words.join(" "));
      assert.match(ran.stderr, new RegExp(`\\[${code}\\]`));
    }
  });
});

const id = ({ frames }: Told, name: string): string | undefined => frames.find((frame) => frame.name === name)?.id;
