/**
 * `npm run build`: the page, from src/web into dist/web. Vite writes beside the old page, which is then swapped
 * out whole, so that a server already running never serves half of each.
 */

import { mkdirSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { stripVTControlCharacters } from "node:util";
import { build } from "vite";
import { pageDigest, stampPath } from "./page-stamp.mjs";

const root = join(import.meta.dirname, "..");
const page = join(root, "dist", "web");
const fresh = join(root, "dist", `web-new-${process.pid}`);
const old = join(root, "dist", `web-old-${process.pid}`);

const began = performance.now();
process.stderr.write("Building the page.\n");
mkdirSync(join(root, "dist"), { recursive: true });
// Taken before the build: a source changed meanwhile then counts as newer than the page.
const digest = pageDigest(root);
try {
  await build({
    root: join(root, "src", "web"),
    configFile: join(root, "vite.config.ts"),
    logLevel: "warn",
    build: { outDir: fresh, emptyOutDir: true },
  });
  swap();
} catch (error) {
  process.stderr.write(`${stripVTControlCharacters(error instanceof Error ? error.message : String(error))}\n`);
  process.stderr.write("The page was not built; the old one, if any, stands.\n");
  process.exitCode = 1;
} finally {
  rmSync(fresh, { recursive: true, force: true });
  rmSync(old, { recursive: true, force: true });
}
if (process.exitCode === undefined) {
  writeFileSync(stampPath(root), digest);
  process.stderr.write(`Page built in ${((performance.now() - began) / 1000).toFixed(1)} s.\n`);
}

function swap(): void {
  try {
    renameSync(page, old);
  } catch {
    // The first build has nothing to move away.
  }
  try {
    renameSync(fresh, page);
  } catch {
    // Another build got there first; ours is newer.
    rmSync(page, { recursive: true, force: true });
    renameSync(fresh, page);
  }
}
