/**
 * `npm run bench`: runs every bench/*.bench.ts in turn, each in a process of its own, so that one bench never warms
 * another. Words after it choose files by name.
 */

import { spawnSync } from "node:child_process";
import { globSync } from "node:fs";
import { loadavg } from "node:os";
import { join } from "node:path";

const root: string = join(import.meta.dirname, "..");
const words = process.argv.slice(2);
const files = globSync("bench/*.bench.ts", { cwd: root })
  .sort()
  .filter((file) => words.length === 0 || words.some((word) => file.includes(word)));

if (files.length === 0) {
  console.error("No bench matches. Benches are the files bench/*.bench.ts.");
  process.exitCode = 1;
}
for (const file of files) {
  // A busy machine spoils timings: the load stands beside them.
  console.log(`== ${file} (load ${loadavg()[0]?.toFixed(2)})`);
  const done = spawnSync(process.execPath, ["--expose-gc", file], { cwd: root, stdio: "inherit" });
  if (done.status !== 0) process.exitCode = 1;
}
