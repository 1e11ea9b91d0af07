/**
 * `npm test`, and with fewer stages `npm run check`. Finds the tools, then runs the stages in order, each announced
 * and timed, and ends with one line that sums them: `N passed, N failed, N skipped`. A check (a tsc project, Biome,
 * the page's build) counts as one test. No stage stops the next: one run shows everything that is wrong.
 *
 *   --only STAGE   check, unit or browser; may be repeated
 *   --long         full counts in random tests (sets STOPWISE_TEST_COUNTS=long) and room for them in time
 *   WORD           only test files whose path contains WORD
 */

import { type ChildProcess, spawn } from "node:child_process";
import { globSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { pageIsFresh } from "./page-stamp.mjs";
import { findTools } from "./tools.ts";
import type { Totals } from "./totals-reporter.ts";

const STAGES = ["check", "unit", "browser"] as const;
type Stage = (typeof STAGES)[number];

interface Options {
  readonly only: readonly Stage[];
  readonly long: boolean;
  readonly words: readonly string[];
}

const TEST_FILES: Readonly<Record<Exclude<Stage, "check">, readonly string[]>> = {
  unit: ["src/**/*.test.ts", "test/*.test.ts"],
  browser: ["test/browser/*.test.ts"],
};
/** A single test may take this long; a stage, the next; the full counts get ten times as much. */
const TEST_LIMIT_S = 120;
const STAGE_LIMIT_S: Readonly<Record<Stage, number>> = { check: 120, unit: 540, browser: 540 };
const LONG_FACTOR = 10;
const NONE: Totals = { passed: 0, failed: 0, skipped: 0 };

const root: string = join(import.meta.dirname, "..");
let running: ChildProcess | null = null;

const options = readOptions(process.argv.slice(2));
stopWithChild();
const began = performance.now();
const totals = await runAll();
console.log(`\nEverything took ${secondsSince(began)}.`);
console.log(closing(totals));
process.exitCode = totals.failed > 0 ? 1 : 0;

async function runAll(): Promise<Totals> {
  const env: NodeJS.ProcessEnv = { ...process.env, ...(options.long ? { STOPWISE_TEST_COUNTS: "long" } : {}) };
  const results: Totals[] = [];
  if (options.only.some((stage) => stage !== "check")) results.push(await prepare(env));
  for (const stage of options.only) {
    const start = performance.now();
    announce(`Stage ${stage}: ${stageWords(stage)}.`);
    const result = stage === "check" ? await runChecks(env) : await runTests(stage, env);
    results.push(result);
    announce(`Stage ${stage} took ${secondsSince(start)}: ${closing(result)}.`);
  }
  return results.reduce(add, NONE);
}

/** Finds the tools, told to the tests through CHROMIUM, and builds the page that servers under test hand out. */
async function prepare(env: NodeJS.ProcessEnv): Promise<Totals> {
  const tools = findTools(announce, options.long);
  for (const note of tools.notes) announce(note);
  if (tools.chromium !== null) env.CHROMIUM = tools.chromium;
  announce(`Chromium: ${tools.chromium ?? "none"}.`);
  if (pageIsFresh(root)) return NONE;
  return verdict("page build", await execute("page build", ["scripts/build.ts"], env, STAGE_LIMIT_S.check));
}

/** The three type checks and Biome, each counted as one test. */
async function runChecks(env: NodeJS.ProcessEnv): Promise<Totals> {
  const tsc = binary("typescript", "tsc");
  const commands: [string, string[]][] = [
    ["types, pure core", [tsc, "-p", "tsconfig.pure.json"]],
    ["types, node", [tsc, "-p", "tsconfig.node.json"]],
    ["types, web", [tsc, "-p", "tsconfig.web.json"]],
    ["Biome", [binary("@biomejs/biome", "biome"), "ci", "--colors=off"]],
  ];
  let sum = NONE;
  for (const [name, command] of commands) {
    sum = add(sum, verdict(name, await execute(name, command, env, STAGE_LIMIT_S.check)));
  }
  return sum;
}

/** One run of node's own test runner over a stage's files; its totals come through a file of their own. */
async function runTests(stage: Exclude<Stage, "check">, env: NodeJS.ProcessEnv): Promise<Totals> {
  const files = testFiles(stage);
  if (files.length === 0) {
    // No files is a fault, never a pass, unless the caller's own words left none.
    announce(`No test files found for stage ${stage}.`);
    return options.words.length > 0 ? NONE : { ...NONE, failed: 1 };
  }
  if (stage === "browser" && env.CHROMIUM === undefined) return { ...NONE, failed: 1 };
  const scratch = mkdtempSync(join(tmpdir(), "stopwise-test-"));
  const totalsFile = join(scratch, "totals.json");
  const factor = options.long ? LONG_FACTOR : 1;
  const command = [
    "--test",
    `--test-concurrency=${stage === "browser" ? 1 : 2}`,
    `--test-timeout=${TEST_LIMIT_S * factor * 1000}`,
    // No --test-force-exit: it cuts off what a file still has to report, and tests go missing without a word.
    "--test-reporter=spec",
    "--test-reporter-destination=stdout",
    `--test-reporter=${pathToFileURL(join(root, "scripts", "totals-reporter.ts")).href}`,
    `--test-reporter-destination=${totalsFile}`,
    ...files,
  ];
  try {
    const code = await execute(`stage ${stage}`, command, env, STAGE_LIMIT_S[stage] * factor);
    const sum = readTotals(totalsFile);
    // The runner can fail without a failed test: a crash, a suite's hook, our own time limit.
    return code !== 0 && sum.failed === 0 ? { ...sum, failed: 1 } : sum;
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}

function testFiles(stage: Exclude<Stage, "check">): string[] {
  const files = TEST_FILES[stage].flatMap((pattern) => globSync(pattern, { cwd: root }));
  const wanted = files.map((file) => file.replaceAll("\\", "/")).sort();
  return options.words.length === 0
    ? wanted
    : wanted.filter((file) => options.words.some((word) => file.includes(word)));
}

function readTotals(path: string): Totals {
  try {
    return JSON.parse(readFileSync(path, "utf8")) as Totals;
  } catch {
    return NONE;
  }
}

/** Runs a script on this Node with a time limit, and gives its exit code (1 when it was stopped). */
function execute(name: string, command: readonly string[], env: NodeJS.ProcessEnv, limitS: number): Promise<number> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, command, { cwd: root, env, stdio: "inherit" });
    running = child;
    const limit = setTimeout(() => {
      announce(`${name} was stopped after ${limitS} s.`);
      // Interrupted, node's runner names the files it was still waiting for.
      child.kill("SIGINT");
      setTimeout(() => child.kill("SIGKILL"), 5000).unref();
    }, limitS * 1000);
    child.on("error", (error) => {
      announce(`${name} could not be started: ${error.message}`);
    });
    child.on("close", (code) => {
      clearTimeout(limit);
      running = null;
      resolve(code ?? 1);
    });
  });
}

function verdict(name: string, code: number): Totals {
  console.log(`${code === 0 ? "ok" : "FAILED"}: ${name}`);
  return code === 0 ? { ...NONE, passed: 1 } : { ...NONE, failed: 1 };
}

/** The script behind a package's command, so that it runs on this Node and not on the machine's. */
function binary(name: string, command: string): string {
  const folder = join(root, "node_modules", name);
  const manifest = JSON.parse(readFileSync(join(folder, "package.json"), "utf8")) as { bin: Record<string, string> };
  return join(folder, manifest.bin[command] ?? "");
}

function readOptions(words: readonly string[]): Options {
  try {
    const { values, positionals } = parseArgs({
      args: [...words],
      options: { only: { type: "string", multiple: true }, long: { type: "boolean", default: false } },
      allowPositionals: true,
    });
    const unknown = values.only?.find((name) => !STAGES.some((stage) => stage === name));
    if (unknown !== undefined) throw new Error(`There is no stage ${unknown}. Stages: ${STAGES.join(", ")}.`);
    const only = STAGES.filter((stage) => values.only === undefined || values.only.includes(stage));
    return { only, long: values.long, words: positionals };
  } catch (error) {
    console.error(error instanceof Error ? error.message : error);
    process.exit(2);
  }
}

/** Told to stop, stops the stage that is running first, so that nothing is left behind. */
function stopWithChild(): void {
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) {
    process.on(signal, () => {
      running?.kill(signal);
      process.exit(130);
    });
  }
}

function stageWords(stage: Stage): string {
  if (stage === "check") return "types of three projects, format and lint";
  if (stage === "unit") return `unit, property and floors tests in ${testFiles(stage).length} files`;
  return `the page in a real browser, ${testFiles(stage).length} files`;
}

function add(a: Totals, b: Totals): Totals {
  return { passed: a.passed + b.passed, failed: a.failed + b.failed, skipped: a.skipped + b.skipped };
}

function closing(sum: Totals): string {
  return `${sum.passed} passed, ${sum.failed} failed, ${sum.skipped} skipped`;
}

function announce(line: string): void {
  console.log(`== ${line}`);
}

function secondsSince(start: number): string {
  return `${((performance.now() - start) / 1000).toFixed(1)} s`;
}
