/**
 * Good files mauled by chance: lines deleted, doubled, swapped, spliced from another file, numbers and bytes
 * altered. Whatever comes out must be a web or a list of faults, soon, and never an exception.
 */

import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import {
  decodePhotometricText,
  intensity,
  type PhotometricWeb,
  parseIes,
  parseLdt,
  parsePhotometricFile,
  printIes,
} from "./index.ts";
import { iesLines, ldtLines } from "./samples.ts";

/** STOPWISE_FUZZ_SEED and STOPWISE_FUZZ_RUNS repeat a failure or run longer. */
const seed = Number(process.env.STOPWISE_FUZZ_SEED ?? 20260);
const runs = Number(process.env.STOPWISE_FUZZ_RUNS ?? 6000);

/** Mulberry32: 32-bit state, good enough to maul files, the same on every machine. */
function dice(state: number): (below: number) => number {
  let s = state >>> 0;
  return (below) => {
    s = (s + 0x6d2b79f5) >>> 0;
    let t = Math.imul(s ^ (s >>> 15), s | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return Math.floor((((t ^ (t >>> 14)) >>> 0) / 4294967296) * below);
  };
}

function goodFiles(): readonly string[] {
  const own = [
    iesLines.join("\r\n"),
    [...iesLines.slice(0, 6), "TILT=INCLUDE", "1", "2", "0 90", "1 0.9", ...iesLines.slice(7)].join("\n"),
    ldtLines({ isym: 1, planes: [0], vertical: [0, 45, 90], values: [[250, 100, 0]] }).join("\r\n"),
    ldtLines({
      isym: 3,
      planes: [0, 90, 180, 270],
      vertical: [0, 90],
      values: [
        [9, 1],
        [8, 1],
        [7, 1],
      ],
    }).join("\n"),
  ];
  const data = join(import.meta.dirname, "../../../../shared/data");
  const real = ["photometric_lab_files", "photometric_variants"]
    .map((folder) => join(data, folder))
    .filter(existsSync)
    .flatMap((folder) =>
      readdirSync(folder)
        .filter((name) => /\.(ies|ldt)$/.test(name))
        .map((name) => readFileSync(join(folder, name), "latin1")),
    );
  return [...own, ...real];
}

const nasty = [
  "-1",
  "0",
  "1e308",
  "-1e308",
  "NaN",
  "1e12",
  "2000",
  "2001",
  "",
  ",",
  "0,5",
  "1e-400",
  "TILT=NONE",
  "TILT=x",
  "[MORE]",
  "\0",
  "٣",
  "9".repeat(70),
];

function maul(text: string, other: string, roll: (below: number) => number): string {
  const lines = text.split("\n");
  const at = roll(lines.length);
  switch (roll(8)) {
    case 0:
      lines.splice(at, 1 + roll(3));
      break;
    case 1:
      lines.splice(at, 0, lines[at] as string);
      break;
    case 2:
      lines.splice(at, 0, ...other.split("\n").slice(0, roll(20)));
      break;
    case 3: {
      const words = (lines[at] as string).split(" ");
      words[roll(words.length)] = nasty[roll(nasty.length)] as string;
      lines[at] = words.join(" ");
      break;
    }
    case 4:
      lines[at] = nasty[roll(nasty.length)] as string;
      break;
    case 5:
      return text.slice(0, roll(text.length));
    case 6: {
      const place = roll(text.length);
      return text.slice(0, place) + String.fromCharCode(roll(256)) + text.slice(place + 1);
    }
    default:
      [lines[at], lines[0]] = [lines[0] as string, lines[at] as string];
  }
  return lines.join("\n");
}

function checkWeb(web: PhotometricWeb): void {
  assert.ok(Number.isFinite(web.fluxLm) && Number.isFinite(web.peakCd) && web.peakCd > 0, "flux and peak are numbers");
  assert.ok(
    Object.values(web.opening).every((x) => typeof x === "string" || (Number.isFinite(x) && x >= 0)),
    "the opening is real",
  );
  assert.equal(web.candela.length, web.horizontalDeg.length);
  for (const plane of web.candela) {
    assert.equal(plane.length, web.verticalDeg.length);
    assert.ok(
      plane.every((cd) => cd >= 0 && Number.isFinite(cd)),
      "no candela is negative or endless",
    );
  }
  for (let theta = 0; theta <= 180; theta += 45) {
    for (let phi = 0; phi < 360; phi += 60) {
      const cd = intensity(web, theta, phi);
      assert.ok(cd >= 0 && cd <= web.peakCd * (1 + 1e-12), `intensity ${cd} at ${theta}, ${phi}`);
    }
  }
}

test(`Mauled files are read or refused with faults, three readings within 150 ms (seed ${seed}, ${runs} files)`, () => {
  const roll = dice(seed);
  const good = goodFiles();
  const counts = { read: 0, refused: 0 };
  for (let run = 0; run < runs; run += 1) {
    let text = good[roll(good.length)] as string;
    for (let times = 1 + roll(4); times > 0; times -= 1) text = maul(text, good[roll(good.length)] as string, roll);
    const begun = process.cpuUsage();
    const decoded = decodePhotometricText(Buffer.from(text, "latin1"), "mauled");
    const results = decoded.ok
      ? [parsePhotometricFile(decoded.value, "mauled"), parseIes(decoded.value), parseLdt(decoded.value)]
      : [];
    const took = processorMs(begun);
    assert.ok(took < 150, `run ${run} took ${took.toFixed(0)} ms for three readings`);
    for (const result of results) {
      if (result.ok) {
        counts.read += 1;
        checkWeb(result.value);
        const again = parseIes(printIes(result.value));
        assert.ok(again.ok, `run ${run}: what was printed reads`);
        assert.deepEqual(again.value.candela, result.value.candela);
      } else {
        counts.refused += 1;
        assert.ok(
          result.faults.length > 0 && result.faults.every((f) => f.code !== "" && f.where !== "" && f.mend !== ""),
        );
      }
    }
  }
  assert.ok(counts.read > runs / 20 && counts.refused > runs / 2, `both outcomes happen: ${JSON.stringify(counts)}`);
});

test("Texts built to stall a reader are done by three readers within 150 ms each", () => {
  const stalls = [
    `IESNA91\n[${" ".repeat(200000)}\nTILT=NONE`,
    `IES${" ".repeat(200000)}x\nTILT=NONE`,
    `${"\n".repeat(200000)}TILT=NONE`,
    `${" \t".repeat(100000)}x`,
    `TILT=${" ".repeat(200000)}x`,
    `IESNA91\n${"[MORE] x\n".repeat(20000)}TILT=NONE`,
    `1\n1\n1\n1\n1\n2\n1${" ".repeat(200000)}x`,
    "[".repeat(200000),
    `IESNA91\nTILT=NONE\n${"9".repeat(200000)}`,
  ];
  for (const text of stalls) {
    const begun = process.cpuUsage();
    for (const parse of [parsePhotometricFile, parseIes, parseLdt]) assert.ok(!parse(text, "stall").ok);
    const took = processorMs(begun);
    assert.ok(took < 150, `${JSON.stringify(text.slice(0, 12))} took ${took.toFixed(0)} ms`);
  }
});

/** Processor time since a mark, so that a busy machine does not count against the reader. */
function processorMs(begun: NodeJS.CpuUsage): number {
  const used = process.cpuUsage(begun);
  return (used.user + used.system) / 1000;
}
