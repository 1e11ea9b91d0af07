/** `stopwise render` as people run it, tiny: its files against their formats, its layers against its picture. */

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { after, suite, test } from "node:test";
import { inflateSync } from "node:zlib";
import { Ajv2020 } from "ajv/dist/2020.js";
import { readExr } from "../src/work/testing.ts";
import { environment, root, scratchFolder, stopwise } from "./run-cli.ts";

const scratch = scratchFolder("render");
const here = (name: string): string => join(scratch.path, name);
const choir: string = join(root, "examples", "choir-headshots.json");
const [WIDTH, HEIGHT] = [24, 36];
const TINY = ["--size", `${WIDTH}x${HEIGHT}`, "--samples", "1", "--processor"] as const;

after(scratch.done);

interface Listed {
  readonly referenceLxS: number;
  readonly cameraOffsetStops: number;
  readonly layers: readonly {
    readonly file: string;
    readonly tag: string | null;
    readonly on: boolean;
    readonly output: number;
    readonly tint: readonly number[];
  }[];
}

suite("render", { concurrency: 2 }, () => {
  test("the float layers, mixed as layers.json says, are the 16-bit picture (sRGB, IEC 61966-2-1) within a code", async () => {
    const words = ["render", choir, "--out", "all.png", ...TINY, "--sixteen", "--layers", "floats", "--json"];
    const ran = await stopwise(scratch.path, words);
    assert.equal(ran.status, 0, ran.stderr);
    assert.match(ran.stderr, /24 × 36, about \d+ MB of memory/);
    assert.match(ran.stderr, /pass 1, 1 path per pixel, noise not known yet/);
    holds("render", JSON.parse(ran.stdout));
    const list = JSON.parse(readFileSync(here("floats/layers.json"), "utf8")) as Listed;
    holds("layers", list);
    assert.deepEqual(
      readdirSync(here("floats")).sort(),
      ["layers.json", ...list.layers.map(({ file }) => file)].sort(),
    );
    const { depth, values } = readPng(here("all.png"));
    assert.equal(depth, 16);
    const scale = 2 ** -list.cameraOffsetStops / list.referenceLxS;
    const mixed = new Float64Array(3 * WIDTH * HEIGHT);
    for (const { file, on, output, tint } of list.layers) {
      const rgb = readPfm(here(`floats/${file}`));
      for (let i = 0; on && i < mixed.length; i++) mixed[i]! += rgb[i]! * output * tint[i % 3]! * scale;
    }
    assert.ok(mixed.some((value) => value > 0.05 && value < 1));
    for (const [i, value] of mixed.entries()) {
      assert.ok(Math.abs(65535 * srgb(value) - values[i]!) <= 1, `value ${i}: ${value} and ${values[i]}`);
    }
  });

  test("OpenEXR layers hold the floats that PFM layers hold, by a reader that is not ours", async () => {
    const words = ["render", choir, ...TINY, "--layers"];
    const [pfm, exr] = await Promise.all([
      stopwise(scratch.path, [...words, "as-pfm", "--out", "pfm.png"]),
      stopwise(scratch.path, [...words, "as-exr", "--exr", "--out", "exr.png", "--json"]),
    ]);
    for (const ran of [pfm, exr]) assert.equal(ran.status, 0, ran.stderr);
    const told = JSON.parse(exr.stdout) as { engine: { kind: string; words: string } };
    holds("render", told);
    assert.match(told.engine.words, /^processor, \d+ threads?$/);
    assert.match(pfm.stdout, /Traced on the processor/);
    const list = JSON.parse(readFileSync(here("as-exr/layers.json"), "utf8")) as Listed;
    holds("layers", list);
    assert.deepEqual(
      readdirSync(here("as-exr")).sort(),
      ["layers.json", ...list.layers.map(({ file }) => file)].sort(),
    );
    for (const { file, tag } of list.layers) {
      const { width, height, rgb, comments } = await readExr(readFileSync(here(`as-exr/${file}`)));
      assert.deepEqual([width, height], [WIDTH, HEIGHT]);
      assert.deepEqual(rgb, readPfm(here(`as-pfm/${file.replace(/exr$/, "pfm")}`)));
      assert.match(comments, tag === null ? /^ambient, per lx·s$/ : new RegExp(`^${tag}, per lm·s$`));
    }
  });

  test("a strip holds every light that is on and all together, as the picture shows it, each with its tag", async () => {
    const [whole, strip] = await Promise.all([
      stopwise(scratch.path, ["render", choir, "--out", "one.png", ...TINY]),
      stopwise(scratch.path, ["render", choir, "--out", "strip.png", ...TINY, "--strip", "--json"]),
    ]);
    for (const ran of [whole, strip]) assert.equal(ran.status, 0, ran.stderr);
    const told = JSON.parse(strip.stdout) as { strip: { width: number; height: number; labels: readonly string[] } };
    holds("render", told);
    const { width, height, labels } = told.strip;
    assert.deepEqual(labels, ["M", "F", "E", "H", "ambient", "all"]);
    const one = readPng(here("one.png"));
    const all = readPng(here("strip.png"), width, height);
    const gap = (width - labels.length * WIDTH) / (labels.length + 1);
    const lastLeft = width - gap - WIDTH;
    for (let y = 0; y < HEIGHT; y++) {
      const at = 4 * ((gap + y) * width + lastLeft);
      assert.deepEqual(all.values.slice(at, at + 4 * WIDTH), one.values.slice(4 * WIDTH * y, 4 * WIDTH * (y + 1)));
    }
    labels.forEach((label, i) => {
      let brightest = 0;
      for (let y = gap + HEIGHT; y < height; y++) {
        for (let x = gap + i * (WIDTH + gap); x < gap + i * (WIDTH + gap) + WIDTH; x++) {
          brightest = Math.max(brightest, all.values[4 * (y * width + x)]!);
        }
      }
      assert.ok(brightest > 100, `${label} is written: ${brightest}`);
    });
  });

  test("words that clash are faults, all at once, and nothing is traced", async () => {
    const words = ["--out", "no.png", "--exr", "--strip", "--alone", "M", "--sixteen", "--view", "30"];
    const ran = await stopwise(scratch.path, ["render", choir, ...words]);
    assert.equal(ran.status, 2);
    assert.equal(ran.stderr.match(/\[options-clash\]/g)?.length, 2, ran.stderr);
    assert.match(ran.stderr, /Add --layers DIR\. \[option-missing\]/);
    assert.match(ran.stderr, /as 30,10\. \[view-form\]/);
  });

  test("one light alone is no brighter than all, and the same words give the same bytes", async () => {
    const [all, alone, again] = await Promise.all([
      stopwise(scratch.path, ["render", choir, "--out", "a.png", ...TINY, "--no-filter"]),
      stopwise(scratch.path, ["render", choir, "--out", "h.png", ...TINY, "--no-filter", "--alone", "h"]),
      stopwise(scratch.path, ["render", choir, "--out", "b.png", ...TINY, "--no-filter"]),
    ]);
    for (const ran of [all, alone, again]) assert.equal(ran.status, 0, ran.stderr);
    assert.match(alone.stdout, /^h\.png: H alone, 24 × 36, 1 per pixel, noise not known/);
    assert.deepEqual(readFileSync(here("a.png")), readFileSync(here("b.png")));
    const [together, hair] = [readPng(here("a.png")), readPng(here("h.png"))];
    assert.equal(hair.depth, 8);
    assert.ok(hair.values.some((value) => value > 20));
    assert.ok(sum(hair.values) < 0.7 * sum(together.values));
  });

  test("false colour holds only the legend's colours and the two marks", async () => {
    const words = ["render", choir, "--out", "false.png", ...TINY, "--false-colour", "--json"];
    const ran = await stopwise(scratch.path, words);
    const told = JSON.parse(ran.stdout) as { readonly falseColour: readonly { readonly colour: string }[] };
    holds("render", told);
    const legend = new Set(told.falseColour.map(({ colour }) => colour));
    const { values } = readPng(here("false.png"));
    for (let i = 0; i < values.length; i += 4) {
      const colour = `#${Buffer.from(values.slice(i, i + 3)).toString("hex")}`;
      assert.ok(legend.has(colour), colour);
    }
  });

  test("a view from the side shows another picture than one from in front, and neither is black", async () => {
    const from = (view: string, out: string) =>
      stopwise(scratch.path, ["render", choir, "--out", out, ...TINY, "--view", view, "--json"]);
    const ran = await Promise.all([from("60,10", "side.png"), from("0,0", "front.png")]);
    for (const each of ran) assert.equal(each.status, 0, each.stderr);
    const told = JSON.parse(ran[0].stdout) as { view: unknown };
    holds("render", told);
    assert.deepEqual(told.view, { azimuthDeg: 60, elevationDeg: 10 });
    const [side, front] = [readPng(here("side.png")), readPng(here("front.png"))];
    const unlike = front.values.filter((value, i) => Math.abs(value - side.values[i]!) > 12).length;
    assert.ok(unlike > 0.1 * front.values.length, `${unlike} of ${front.values.length}`);
    assert.ok(sum(side.values) > 1.05 * 255 * WIDTH * HEIGHT, "not black");
  });

  test("it stops at the asked noise before the most samples", async () => {
    const size = ["--size", "24x36", "--samples", "64", "--noise", "3", "--processor"];
    const ran = await stopwise(scratch.path, ["render", choir, "--out", "noise.png", ...size, "--json"]);
    const told = JSON.parse(ran.stdout) as { samples: number; noiseStops: number; noiseReached: boolean };
    assert.equal(told.noiseReached, true);
    assert.ok(told.samples < 64 && told.noiseStops <= 3, JSON.stringify(told));
  });

  test("Ctrl-C in the middle ends it with code 2 and leaves no file", async () => {
    const main = join(root, "src", "cli", "main.ts");
    const words = ["render", choir, "--out", "cut.png", "--size", "600x900", "--noise", "0.005", "--layers", "cut"];
    const child = spawn(process.execPath, [main, ...words], { cwd: scratch.path, env: environment(scratch.path) });
    let said = "";
    let asked = 0;
    child.stderr.on("data", (part: Buffer) => {
      said += part.toString();
      if (asked > 0 || !said.includes("memory")) return;
      asked = performance.now();
      child.kill("SIGINT");
    });
    const status = await new Promise((resolve) => child.on("close", resolve));
    assert.equal(status, 2, said);
    assert.match(said, /\[stopped\]/);
    // The scene is built in one go, which takes most of it, on a busy machine some seconds; the picture would take hours.
    assert.ok(performance.now() - asked < 20_000, `${performance.now() - asked} ms`);
    assert.deepEqual(
      readdirSync(scratch.path).filter((name) => name.startsWith("cut")),
      [],
    );
  });
});

/** The curve of the standard, written out here so that it is not the renderer's own. */
function srgb(linear: number): number {
  const l = Math.min(1, Math.max(0, linear));
  return l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055;
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** Samples of a PNG (ISO/IEC 15948) of that size, with filters 0 and 2. */
function readPng(
  path: string,
  wide: number = WIDTH,
  high: number = HEIGHT,
): { readonly depth: number; readonly values: readonly number[] } {
  const file = readFileSync(path);
  assert.equal(file.toString("latin1", 1, 4), "PNG");
  const [width, height, depth, type] = [file.readUInt32BE(16), file.readUInt32BE(20), file[24]!, file[25]!];
  assert.deepEqual([width, height], [wide, high]);
  const data: Buffer[] = [];
  for (let at = 8; at < file.length; at += 12 + file.readUInt32BE(at)) {
    if (file.toString("latin1", at + 4, at + 8) === "IDAT")
      data.push(file.subarray(at + 8, at + 8 + file.readUInt32BE(at)));
  }
  const lines = inflateSync(Buffer.concat(data));
  const row = (width * (type === 6 ? 4 : 3) * depth) / 8;
  const bytes = Buffer.alloc(row * height);
  for (let y = 0; y < height; y++) {
    const filter = lines[y * (row + 1)]!;
    assert.ok(filter === 0 || filter === 2);
    for (let i = 0; i < row; i++) {
      const above = filter === 2 && y > 0 ? bytes[(y - 1) * row + i]! : 0;
      bytes[y * row + i] = (lines[y * (row + 1) + 1 + i]! + above) & 255;
    }
  }
  if (depth === 8) return { depth, values: [...bytes] };
  return { depth, values: Array.from({ length: bytes.length / 2 }, (_, i) => bytes.readUInt16BE(2 * i)) };
}

/** Floats of a little-endian colour PFM, rows turned to run from the top. */
function readPfm(path: string): Float32Array {
  const file = readFileSync(path);
  const head = `PF\n${WIDTH} ${HEIGHT}\n-1.0\n`;
  assert.equal(file.toString("latin1", 0, head.length), head);
  assert.equal(file.length, head.length + 12 * WIDTH * HEIGHT);
  const row = 3 * WIDTH;
  return Float32Array.from({ length: row * HEIGHT }, (_, i) => {
    const from = (HEIGHT - 1 - Math.floor(i / row)) * row + (i % row);
    return file.readFloatLE(head.length + 4 * from);
  });
}

function holds(schema: string, value: unknown): void {
  const text = readFileSync(join(root, "docs", "schema", `${schema}.json`), "utf8");
  const validate = new Ajv2020({ allErrors: true, allowUnionTypes: true }).compile(JSON.parse(text) as object);
  assert.ok(validate(value), JSON.stringify(validate.errors, null, 1));
}
