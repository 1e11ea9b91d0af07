/**
 * The packed package works where it is installed: compiled code, types, page, launcher, and no package that the
 * manifest does not declare. `npm run test:long` also installs it from the registry, as a stranger would.
 */

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, dirname, join } from "node:path";
import test, { after, before } from "node:test";
import { long } from "./counts.ts";

const root: string = join(import.meta.dirname, "..");
const home: string = mkdtempSync(join(tmpdir(), "stopwise-package-"));
const installed: string = join(home, "node_modules", "stopwise");
const COMMAND = ["sum", "5.6", "2.8", "2"];
let tarball = "";

before(() => {
  tarball = pack();
  mkdirSync(installed, { recursive: true });
  const unpacked = spawnSync("tar", ["-xzf", tarball, "-C", installed, "--strip-components=1"]);
  assert.equal(unpacked.status, 0, String(unpacked.stderr));
  for (const name of productionPackages()) {
    mkdirSync(dirname(join(home, "node_modules", name)), { recursive: true });
    symlinkSync(join(root, "node_modules", name), join(home, "node_modules", name), "junction");
  }
});

after(() => rmSync(home, { recursive: true, force: true }));

test("the package holds the page, the compiled rooms with types, and no source or test", () => {
  for (const path of ["dist/index.js", "dist/index.d.ts", "dist/node.js", "dist/web/index.html", "dist/web/sw.js"]) {
    assert.ok(existsSync(join(installed, path)), `${path} is missing`);
  }
  const listed = String(spawnSync("tar", ["-tzf", tarball]).stdout).split("\n");
  const strays = listed.filter((path) => /\.test\.|\/src\/|(?<!\.d)\.tsx?$/.test(path));
  assert.deepEqual(strays, []);
});

test("an installed Stopwise answers a command exactly as the checkout does", () => {
  const here = run(process.execPath, [join(root, "bin", "stopwise.mjs"), ...COMMAND], root);
  const there = run(process.execPath, [join(installed, "bin", "stopwise.mjs"), ...COMMAND], home);
  assert.equal(here.status, 0, here.stderr);
  assert.match(here.stdout, /6\.\d|5\.6/);
  assert.deepEqual(there, here);
});

test("an installed Stopwise has no tasks of the checkout", () => {
  const { status, stderr } = run(process.execPath, [join(installed, "bin", "stopwise.mjs"), "run", "test"], home);
  assert.equal(status, 1);
  assert.match(stderr, /checkout/);
});

test("the library imports from the package on a plain Node, the pure rooms and the machine's", () => {
  const pure = "import * as s from 'stopwise'; console.log(Object.keys(s).sort().join());";
  const { status, stdout, stderr } = run(process.execPath, ["--input-type=module", "-e", pure], home);
  assert.equal(status, 0, stderr);
  assert.equal(stdout.trim(), "care,colour,drawing,photometry,picture,scene,setup,solve,sync,units");
  const doors = "import * as s from 'stopwise/node'; console.log(Object.keys(s).sort().join());";
  const machine = run(process.execPath, ["--input-type=module", "-e", doors], home);
  assert.equal(machine.status, 0, machine.stderr);
  assert.equal(machine.stdout.trim(), "files,pdf,server,store");
});

test("the package's types are real: right use compiles, a mixed-up unit does not", () => {
  const lines = [
    'import { units } from "stopwise";',
    "export const right: units.Stops = units.stops(1);",
    "// @ts-expect-error a length is no difference in stops",
    "export const wrong: units.Stops = units.metres(1);",
  ];
  writeFileSync(join(home, "use.ts"), lines.join("\n"));
  writeFileSync(join(home, "package.json"), JSON.stringify({ type: "module" }));
  const tsc = join(root, "node_modules", "typescript", "bin", "tsc");
  const flags = ["--noEmit", "--strict", "--skipLibCheck", "--target", "es2024", "--module", "nodenext"];
  const { status, stdout } = run(process.execPath, [tsc, ...flags, "--types", "", "use.ts"], home);
  assert.equal(status, 0, stdout);
});

test("a stranger's npx installs and runs the tarball", { skip: !long && "in npm run test:long" }, () => {
  const elsewhere = join(home, "elsewhere");
  mkdirSync(elsewhere);
  const npx = ["exec", "--yes", `--package=file:${tarball}`, "--", "stopwise", ...COMMAND];
  const { status, stdout, stderr } = run("npm", npx, elsewhere);
  assert.equal(status, 0, stderr);
  assert.equal(stdout, run(process.execPath, [join(root, "bin", "stopwise.mjs"), ...COMMAND], root).stdout);
});

function pack(): string {
  const packed = run("npm", ["pack", "--json", "--pack-destination", home], root);
  assert.equal(packed.status, 0, packed.stderr);
  const [name] = /[\w.-]+\.tgz/.exec(packed.stdout) ?? [];
  assert.ok(name !== undefined, packed.stdout);
  return join(home, basename(name));
}

/** What the lock file installs for somebody who uses the package: everything but development packages. */
function productionPackages(): string[] {
  const lock = JSON.parse(readFileSync(join(root, "package-lock.json"), "utf8")) as {
    packages: Record<string, { dev?: boolean; devOptional?: boolean }>;
  };
  return Object.entries(lock.packages)
    .filter(([path, entry]) => /^node_modules\/(@[^/]+\/)?[^/]+$/.test(path) && !entry.dev && !entry.devOptional)
    .map(([path]) => path.slice("node_modules/".length))
    .filter((name) => existsSync(join(root, "node_modules", name)));
}

function run(
  program: string,
  words: readonly string[],
  cwd: string,
): { status: number | null; stdout: string; stderr: string } {
  const { status, stdout, stderr } = spawnSync(program, words, { cwd, encoding: "utf8", timeout: 100_000 });
  return { status, stdout, stderr };
}
