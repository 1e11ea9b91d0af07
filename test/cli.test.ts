/**
 * The command line as people run it, each time a process of the pinned runtime: what it answers on the examples
 * (fixtures/golden/cli; `STOPWISE_GOLDEN=write` writes them anew), and its JSON against the documented schemas.
 */

import assert from "node:assert/strict";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, suite, test } from "node:test";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { root, scratchFolder, stopwise } from "./run-cli.ts";

const golden: string = join(root, "fixtures", "golden", "cli");
const rewrite: boolean = process.env.STOPWISE_GOLDEN === "write";
const examples: readonly string[] = readdirSync(join(root, "examples")).filter((name) => name.endsWith(".json"));
const scratch = scratchFolder("cli");
after(scratch.done);

/** Name of the golden file, the words, the exit code. */
const ANSWERS: readonly (readonly [name: string, words: readonly string[], status: number])[] = [
  ["overview", [], 0],
  ["turn-help", ["turn", "--help"], 0],
  ["turn-down", ["turn", "4^6", "--target", "2.8", "--dial", "1/16+0.3"], 0],
  ["turn-up-thirds", ["turn", "f/4", "--target", "5.6", "--dial", "1/8+1/3"], 0],
  ["turn-met", ["turn", "5.6⁰", "--target", "5.6", "--dial", "-3.7"], 0],
  ["turn-short", ["turn", "4", "--target", "8", "--dial", "-0.5"], 0],
  ["turn-over", ["turn", "8", "--target", "4", "--dial", "-4.5", "--lowest", "-5"], 0],
  ["turn-number", ["turn", "8^3", "--target", "8", "--dial", "6.3", "--scale", "number", "--full", "10"], 0],
  [
    "turn-watt-seconds",
    ["turn", "8", "--target", "5.6", "--dial", "100 Ws", "--full", "400 Ws", "--lowest", "6.25 Ws"],
    0,
  ],
  ["turn-percent", ["turn", "2.8", "--target", "4", "--dial", "35%", "--continuous"], 0],
  ["sum", ["sum", "5.6", "2.8", "2"], 0],
  ["ratio-stops", ["ratio", "--stops", "3"], 0],
  ["ratio-light-to-light", ["ratio", "--light-to-light", "8:1"], 0],
  ["ratio-lit-to-shadow", ["ratio", "--lit-to-shadow", "9"], 0],
  ["light-file", ["light-file", join(root, "fixtures", "photometric", "measured-module.ies")], 0],
  ["why-fill", ["predict", join(root, "examples", "choir-headshots.json"), "--why", "F"], 0],
  ["why-shadow", ["predict", join(root, "examples", "one-light-and-a-white-card.json"), "--why=shadow-cheek"], 0],
];

suite("what people read, word for word", { concurrency: 2 }, () => {
  for (const [name, words, status] of ANSWERS) {
    test(`stopwise ${words.map((word) => word.replace(root, "…")).join(" ")}`, async () => {
      await compare(name, words, status);
    });
  }
  for (const file of examples) {
    const name = file.replace(/\.json$/, "");
    test(`predict examples/${file}`, async () => {
      await compare(`predict-${name}`, ["predict", join(root, "examples", file)], 0);
    });
    test(`check examples/${file}: exit code 3 while there is something to look at`, async () => {
      const { stdout } = await compare(`check-${name}`, ["check", join(root, "examples", file)], null);
      assert.match(stdout, /\d+ STOP, \d+ LOOK, \d+ notes, \d+ clear\.\n$/);
    });
  }
});

test("the turn of the first page: f/4⁶ for f/2.8 on 1/16+0.3 is down 1.6, dial 1/64+0.7", async () => {
  const { stdout } = await stopwise(scratch.path, ["turn", "4^6", "--target", "2.8", "--dial", "1/16+0.3"]);
  assert.equal(stdout.split("\n")[0], "down 1.6, dial 1/64+0.7");
});

test("[CV36] (D) 8⁰ + 5.6⁰ + 4⁰ is N 10.58301, Av 6.80735", async () => {
  const { stdout } = await stopwise(scratch.path, ["sum", "8^0", "5.6^0", "4^0", "--json"]);
  const { av, fNumber } = JSON.parse(stdout) as { av: number; fNumber: number };
  assert.ok(Math.abs(fNumber - 10.58301) < 0.0005, String(fNumber));
  assert.ok(Math.abs(av - 6.80735) < 0.0005, String(av));
});

test("[CV31] (D) three stops are 8:1 light to light, 9:1 lit to shadow; [CV32] 3:1 is 1 stop; [CV33] 4:1 is 1.58496", async () => {
  interface Ratio {
    readonly stopsUnder: number;
    readonly lightToLight: number;
    readonly litToShadow: number;
  }
  const ask = async (...words: readonly string[]): Promise<Ratio> =>
    JSON.parse((await stopwise(scratch.path, ["ratio", ...words, "--json"])).stdout) as Ratio;
  const three = await ask("--stops", "3");
  assert.ok(Math.abs(three.lightToLight - 8) < 1e-9 && Math.abs(three.litToShadow - 9) < 1e-9);
  assert.ok(Math.abs((await ask("--lit-to-shadow", "3")).stopsUnder - 1) < 1e-9);
  assert.ok(Math.abs((await ask("--lit-to-shadow", "4:1")).stopsUnder - 1.58496) < 0.0001);
});

test("the code of check: 3 with a STOP or a LOOK, 0 without, as its own JSON says", async () => {
  for (const file of examples) {
    const { status, stdout } = await stopwise(scratch.path, ["check", join(root, "examples", file), "--json"]);
    const { cautions } = JSON.parse(stdout) as { cautions: readonly { level: string }[] };
    assert.equal(status, cautions.some(({ level }) => level === "stop" || level === "care") ? 3 : 0, file);
  }
});

suite("--json keeps to its documented schema", { concurrency: 2 }, () => {
  const calls: readonly (readonly [schema: string, words: readonly string[]])[] = [
    ...examples.map((file) => ["prediction", ["predict", join(root, "examples", file)]] as const),
    ...examples.map((file) => ["cautions", ["check", join(root, "examples", file)]] as const),
    ...ANSWERS.flatMap(([name, words]) => {
      const schema = ["turn", "sum", "ratio", "light-file"].find(
        (known) => words[0] === known && !name.endsWith("help"),
      );
      return schema === undefined ? [] : [[schema, words] as const];
    }),
    ["faults", ["turn", "5.67", "--target", "x", "--dial", "7"]],
    ["faults", ["predict", "nowhere.json"]],
  ];
  for (const [schema, words] of calls) {
    test(`${schema}: ${words.map((word) => word.replace(root, "…")).join(" ")}`, async () => {
      const { stdout } = await stopwise(scratch.path, [...words, "--json"]);
      holds(schema, JSON.parse(stdout));
    });
  }
});

test("the schemas refuse what is not documented: a field more, a field less, another kind of value", async () => {
  const { stdout } = await stopwise(scratch.path, ["predict", join(root, "examples", "clamshell.json"), "--json"]);
  const told = JSON.parse(stdout) as { report: { lights: Record<string, unknown>[] } };
  const [light] = told.report.lights;
  assert.ok(light);
  const refuse = (change: () => void, back: () => void): void => {
    change();
    assert.equal(schemaOf("prediction")(told), false);
    back();
    assert.equal(schemaOf("prediction")(told), true);
  };
  const { tag, targetAv } = light;
  refuse(
    () => (light.colour = "red"),
    () => delete light.colour,
  );
  refuse(
    () => delete light.tag,
    () => (light.tag = tag),
  );
  refuse(
    () => (light.targetAv = String(targetAv)),
    () => (light.targetAv = targetAv),
  );
});

test("JSON of a prediction says what the table says, and every chain's rows sum to its reading", async () => {
  const { stdout } = await stopwise(scratch.path, [
    "predict",
    join(root, "examples", "choir-headshots.json"),
    "--json",
  ]);
  interface Row {
    readonly stops: number;
  }
  interface Ledger {
    readonly kind: string;
    readonly av: number | null;
    readonly rows?: readonly Row[];
    readonly parts?: readonly Ledger[];
  }
  const { report } = JSON.parse(stdout) as { report: { lights: readonly { predicted: { ledger: Ledger } }[] } };
  let chains = 0;
  const walk = (ledger: Ledger): void => {
    if (ledger.kind === "chain" && ledger.av !== null) {
      chains += 1;
      const sum = (ledger.rows ?? []).reduce((total, { stops }) => total + stops, 0);
      assert.ok(Math.abs(sum - ledger.av) < 1e-9);
    }
    for (const part of ledger.parts ?? []) walk(part);
  };
  for (const light of report.lights) walk(light.predicted.ledger);
  assert.ok(chains >= 8, `${chains} chains`);
});

test("a setup on standard input is answered as from its file", async () => {
  const file = join(root, "examples", "clamshell.json");
  const [piped, named] = await Promise.all([
    stopwise(scratch.path, ["predict", "-"], readFileSync(file)),
    stopwise(scratch.path, ["predict", file]),
  ]);
  assert.deepEqual(piped, named);
});

test("the sheet as PDF: pages, fonts, a title; on A4 and on Letter, in metres and in feet", async () => {
  const file = join(root, "examples", "choir-headshots.json");
  for (const [name, words, box] of [
    ["a4.pdf", [], "595.28 841.89"],
    ["letter.pdf", ["--paper", "letter", "--feet"], "612 792"],
  ] as const) {
    const ran = await stopwise(scratch.path, ["sheet", file, "--out", name, ...words]);
    assert.equal(ran.status, 0, ran.stderr);
    const bytes = readFileSync(join(scratch.path, name), "latin1");
    assert.ok(bytes.startsWith("%PDF-1.7"));
    const boxes = [...bytes.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(([, w, h]) => `${w} ${h}`);
    assert.ok(boxes.length >= 1 && boxes.length <= 2, boxes.join());
    for (const page of boxes) {
      const [w = 0, h = 0] = page.split(" ").map(Number);
      const [wantW = 0, wantH = 0] = box.split(" ").map(Number);
      assert.ok(Math.abs(w - wantW) < 0.5 && Math.abs(h - wantH) < 0.5, page);
    }
    assert.match(bytes, /\/FontFile2/);
  }
});

test("the sheet as SVG: one file a page, in millimetres, with colours that need no style sheet", async () => {
  const ran = await stopwise(scratch.path, ["sheet", join(root, "examples", "clamshell.json"), "--out", "sheet.svg"]);
  assert.equal(ran.status, 0, ran.stderr);
  for (const page of [1, 2]) {
    const svg = readFileSync(join(scratch.path, `sheet-${page}.svg`), "utf8");
    assert.match(svg, /^<svg [^>]*width="210mm" height="297mm"/);
    assert.doesNotMatch(svg, /var\(--/);
  }
  assert.match(ran.stdout, /1:\d+/);
});

test("a reader who has seen enough ends the answer without a word of ours", async () => {
  const { spawnSync } = await import("node:child_process");
  const line = `"${process.execPath}" "${join(root, "src", "cli", "main.ts")}" predict "${join(root, "examples", "choir-headshots.json")}" --why | head -n 1`;
  const { stdout, stderr } = spawnSync("sh", ["-c", line], { encoding: "utf8" });
  assert.match(stdout, /^M alone/);
  assert.equal(stderr, "");
});

test("--version is the package's", async () => {
  const { version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as { version: string };
  assert.equal((await stopwise(scratch.path, ["--version"])).stdout, `${version}\n`);
});

/** The answer, laid against its golden file. A null status is not looked at. */
async function compare(name: string, words: readonly string[], status: number | null): Promise<{ stdout: string }> {
  const ran = await stopwise(scratch.path, words);
  if (status !== null) assert.equal(ran.status, status, ran.stderr);
  assert.equal(ran.stderr, "");
  const file = join(golden, `${name}.txt`);
  const said = ran.stdout.replaceAll(root, "…");
  if (rewrite) {
    mkdirSync(golden, { recursive: true });
    writeFileSync(file, said);
  }
  assert.equal(said, readFileSync(file, "utf8"));
  return ran;
}

function holds(schema: string, value: unknown): void {
  const validate = schemaOf(schema);
  assert.ok(validate(value), JSON.stringify(validate.errors?.slice(0, 5), null, 1));
}

function schemaOf(name: string): ValidateFunction {
  const ajv = new Ajv2020({ allErrors: true, allowUnionTypes: true });
  return ajv.compile(JSON.parse(readFileSync(join(root, "docs", "schema", `${name}.json`), "utf8")) as object);
}
