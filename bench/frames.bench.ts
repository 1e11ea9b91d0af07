/**
 * Six 24-megapixel frames mixed at full size: decoded, linearised (sRGB), each times its own weight, added, encoded as a
 * 16-bit TIFF. Ours (one sum of floats, frames one after the other) against libvips through sharp, which decodes,
 * linearises and writes, while the weighted sum of its floats is a loop in JavaScript: sharp has no sum of pictures in
 * linear light. Each round is a process of its own, in turns, so that peak memory is each one's own. The results are
 * held to each other.
 */

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { encode16 } from "../src/files/encode16.ts";
import { createDecoder } from "../src/files/node.ts";
import { expectOk } from "../src/units/index.ts";
import { printMachine } from "./harness.ts";

const WIDTH = 6000;
const HEIGHT = 4000;
const WEIGHTS: readonly number[] = [0.5, 0.25, 0.3, 0.2, 0.15, 0.1];
const ROUNDS = 3;

interface Round {
  readonly ms: number;
  /** Of all its threads. */
  readonly cpuMs: number;
  readonly peakMb: number;
}

const [who, folder = ""] = process.argv.slice(2);
if (who === undefined) await main();
else {
  const start = performance.now();
  await (who === "ours" ? ours(folder) : libvips(folder));
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  const round: Round = {
    ...{ ms: performance.now() - start, cpuMs: (userCPUTime + systemCPUTime) / 1000, peakMb: maxRSS / 1024 },
  };
  process.stdout.write(JSON.stringify(round));
}

async function main(): Promise<void> {
  printMachine();
  const dir = mkdtempSync(join(tmpdir(), "stopwise-bench-frames-"));
  try {
    for (let i = 0; i < WEIGHTS.length; i++) writeFileSync(join(dir, `${i}.jpg`), await photograph(i));
    const rounds = { ours: [] as Round[], libvips: [] as Round[] };
    for (let round = -1; round < ROUNDS; round++) {
      for (const name of ["ours", "libvips"] as const) {
        const done = runApart(name, dir);
        if (round >= 0) rounds[name].push(done);
      }
    }
    for (const name of ["ours", "libvips"] as const) print(name, rounds[name]);
    for (const [of, words] of [
      ["ms", "time"],
      ["cpuMs", "processor time of all threads"],
    ] as const) {
      const best = (all: readonly Round[]): number => Math.min(...all.map((round) => round[of]));
      const ratio = (best(rounds.ours) / best(rounds.libvips)).toPrecision(3);
      console.log(`   ours / libvips through sharp: ${ratio} times by minima of ${words}`);
    }
    await compare(dir);
    await proxies(dir);
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
}

function runApart(name: string, dir: string): Round {
  rmSync(join(dir, `${name}.tif`), { force: true });
  const done = spawnSync(process.execPath, ["--expose-gc", import.meta.filename, name, dir], { encoding: "utf8" });
  if (done.status !== 0) throw new Error(done.stderr);
  return JSON.parse(done.stdout) as Round;
}

function print(name: string, rounds: readonly Round[]): void {
  const times = rounds.map(({ ms }) => ms).sort((a, b) => a - b);
  const seconds = (ms: number | undefined): string => ((ms ?? 0) / 1000).toFixed(2);
  const cpu = Math.min(...rounds.map(({ cpuMs }) => cpuMs));
  const peak = Math.max(...rounds.map(({ peakMb }) => peakMb));
  const label = name === "ours" ? "ours" : "libvips through sharp";
  console.log(
    `   ${label.padEnd(24)} min ${seconds(times[0])} s, median ${seconds(times[times.length >> 1])} s, processor ${seconds(cpu)} s, peak ${peak.toFixed(0)} MB (${rounds.length} rounds)`,
  );
}

/** A picture with smooth shading and fine grain, another for each light. */
async function photograph(light: number): Promise<Buffer> {
  const pixels = Buffer.alloc(3 * WIDTH * HEIGHT);
  let grain = 1 + light;
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      grain = (Math.imul(grain, 1664525) + 1013904223) >>> 0;
      const shade = 110 + 80 * Math.sin(x / (400 + 90 * light) + light) * Math.cos(y / (500 - 40 * light));
      const at = 3 * (y * WIDTH + x);
      for (let c = 0; c < 3; c++) pixels[at + c] = shade + 6 * c + (grain >>> 28);
    }
  }
  return sharp(pixels, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } })
    .jpeg({ quality: 92 })
    .toBuffer();
}

async function ours(dir: string): Promise<void> {
  const decoder = createDecoder({ threads: 1 });
  const parts = WEIGHTS.map((weight, i) => ({
    ...{ source: join(dir, `${i}.jpg`), name: `${i}.jpg`, weight: [weight, weight, weight] as const },
  }));
  expectOk(await decoder.mix({ parts, meaning: null, response: null, format: "tiff16", out: join(dir, "ours.tif") }));
  await decoder.close();
}

async function libvips(dir: string): Promise<void> {
  sharp.cache(false);
  const sum = new Float32Array(3 * WIDTH * HEIGHT);
  for (const [i, weight] of WEIGHTS.entries()) {
    const linear = await sharp(join(dir, `${i}.jpg`))
      .toColourspace("scrgb")
      .raw({ depth: "float" })
      .toBuffer();
    const light = new Float32Array(linear.buffer, linear.byteOffset, linear.length / 4);
    for (let p = 0; p < sum.length; p++) sum[p] = (sum[p] as number) + weight * (light[p] as number);
    globalThis.gc?.();
  }
  // sharp takes floats for codes from 0 to 255, not for light: the encoding is ours in both.
  const raw = { width: WIDTH, height: HEIGHT, channels: 3 as const };
  await sharp(encode16(sum), { raw })
    .toColourspace("rgb16")
    .tiff({ compression: "none" })
    .toFile(join(dir, "libvips.tif"));
}

/** The two files hold the same picture: codes of a few thousand pixels. */
async function compare(dir: string): Promise<void> {
  const codes = async (name: string): Promise<Uint16Array> => {
    const { data } = await sharp(join(dir, `${name}.tif`), { ignoreIcc: true })
      .extract({ left: 1000, top: 1000, width: 200, height: 200 })
      .toColourspace("rgb16")
      .raw({ depth: "ushort" })
      .toBuffer({ resolveWithObject: true });
    return new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
  };
  const [a, b] = [await codes("ours"), await codes("libvips")];
  const worst = a.reduce((most, code, i) => Math.max(most, Math.abs(code - (b[i] as number))), 0);
  console.log(`   largest difference of the two files: ${worst} of 65535`);
}

/** What a folder of frames costs: each to its linear proxy. */
async function proxies(dir: string): Promise<void> {
  const decoder = createDecoder();
  const look = async (): Promise<number> => {
    const start = performance.now();
    const names = WEIGHTS.map((_, i) => `${i}.jpg`);
    await Promise.all(names.map(async (name) => expectOk(await decoder.look(join(dir, name), name))));
    return performance.now() - start;
  };
  await look();
  const times = [await look(), await look(), await look()];
  const bytes = WEIGHTS.reduce((sum, _, i) => sum + readFileSync(join(dir, `${i}.jpg`)).length, 0);
  console.log(
    `   six linear proxies of 1600 pixels, two threads: min ${(Math.min(...times) / 1000).toFixed(2)} s (${(bytes / 1e6).toFixed(0)} MB of JPEG)`,
  );
  await decoder.close();
}
