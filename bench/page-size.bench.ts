/**
 * All script that a cold load of Meter fetches before it can be used, gzipped at zlib's usual level: the scripts of
 * the start page, the chunk of the Meter screen, and whatever these import statically, followed file by file with a
 * real parser. Precaching by the service worker happens afterwards and is listed apart. Target: under 200 kB.
 * Measures the page as built by `npm run build`.
 */

import { existsSync, globSync, readFileSync } from "node:fs";
import { join, posix } from "node:path";
import { gzipSync } from "node:zlib";
import { parseSync } from "oxc-parser";

const built = join(import.meta.dirname, "..", "dist", "web");
const TARGET = 200_000;

const gzipped = (file: string): number => gzipSync(readFileSync(join(built, file))).length;
const total = (files: readonly string[]): number => files.reduce((sum, file) => sum + gzipped(file), 0);
const kilobytes = (bytes: number): string => (bytes / 1000).toFixed(1);

if (existsSync(join(built, "index.html"))) measure();
else {
  console.log("page size: nothing is built; run `npm run build` first");
  process.exitCode = 1;
}

function measure(): void {
  const page = readFileSync(join(built, "index.html"), "utf8");
  const first = [...page.matchAll(/(?:src|href)="\/([^"]+\.js)"/g)].map((match) => match[1] ?? "");
  const screens = globSync("assets/meter-screen-*.js", { cwd: built }).map((file) => file.replaceAll("\\", "/"));
  if (first.length === 0 || screens.length !== 1)
    throw new RangeError("the built page looks different: mend this bench");
  const needed = closure([...first, ...screens]);
  const all = globSync("**/*.js", { cwd: built }).map((file) => file.replaceAll("\\", "/"));
  console.log("page size: scripts of a cold load of Meter");
  let sum = 0;
  for (const file of needed) {
    const size = gzipped(file);
    sum += size;
    console.log(`   ${file.padEnd(50)} ${kilobytes(size)} kB gzipped`);
  }
  const verdict = sum < TARGET ? "met" : "MISSED";
  console.log(`   together ${kilobytes(sum)} kB gzipped; target ${TARGET / 1000} kB: ${verdict}`);
  const later = all.filter((file) => !needed.includes(file));
  console.log(`   the other ${later.length} scripts, on demand or precached: ${kilobytes(total(later))} kB`);
  console.log(`   style sheets: ${kilobytes(total(globSync("**/*.css", { cwd: built })))} kB`);
}

/** The files and everything that they import statically, each once. */
function closure(start: readonly string[]): readonly string[] {
  const found: string[] = [];
  const open = [...start];
  for (let file = open.pop(); file !== undefined; file = open.pop()) {
    if (found.includes(file)) continue;
    found.push(file);
    const { module } = parseSync(file, readFileSync(join(built, file), "utf8"));
    const named = [...module.staticImports.map(({ moduleRequest }) => moduleRequest.value), ...reexports(module)];
    for (const name of named) {
      open.push(name.startsWith("/") ? name.slice(1) : posix.join(posix.dirname(file), name));
    }
  }
  return found.sort();
}

function reexports(module: ReturnType<typeof parseSync>["module"]): readonly string[] {
  return module.staticExports.flatMap(({ entries }) =>
    entries.flatMap(({ moduleRequest }) => (moduleRequest ? [moduleRequest.value] : [])),
  );
}
