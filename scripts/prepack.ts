/**
 * What `npm pack` runs first: compiles every room but the page into dist/ (Node runs no TypeScript inside
 * node_modules), with types, and builds the page beside it. Fails rather than pack anything half done.
 */

import { spawnSync } from "node:child_process";
import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { pageIsFresh } from "./page-stamp.mjs";

const root: string = join(import.meta.dirname, "..");
const dist: string = join(root, "dist");
/** The page is swapped in whole by its own build; everything else in dist is compiled afresh. */
const PAGE = ["web", "page-stamp"];

mkdirSync(dist, { recursive: true });
for (const name of readdirSync(dist)) {
  if (!PAGE.includes(name)) rmSync(join(dist, name), { recursive: true, force: true });
}
run("Compiling the rooms.", [join(root, "node_modules", "typescript", "bin", "tsc"), "-p", "tsconfig.dist.json"]);
if (!pageIsFresh(root)) run("The page is older than its sources.", ["scripts/build.ts"]);

/** Runs a script on this Node; its output goes to standard error, since `npm pack --json` owns the other. */
function run(what: string, command: readonly string[]): void {
  process.stderr.write(`${what}\n`);
  const done = spawnSync(process.execPath, command, { cwd: root, stdio: ["ignore", 2, 2] });
  if (done.status === 0) return;
  process.stderr.write("That failed: nothing is packed.\n");
  process.exit(done.status ?? 1);
}
