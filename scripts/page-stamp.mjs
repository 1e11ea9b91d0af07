/**
 * Whether the built page in dist/web still belongs to its sources: a digest over the content of everything the
 * build can read, kept beside the page. Plain JavaScript, because the launcher asks on the machine's own Node.
 */

import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

const SINGLE_INPUTS = ["package-lock.json", "vite.config.ts"];

/** Where the digest of the page's sources is kept. */
export function stampPath(root) {
  return join(root, "dist", "page-stamp");
}

/** True when dist/web was built from exactly the present sources. */
export function pageIsFresh(root) {
  if (!existsSync(join(root, "dist", "web", "index.html"))) return false;
  return existsSync(stampPath(root)) && readFileSync(stampPath(root), "utf8") === pageDigest(root);
}

/** Digest of the page's sources: each file's path and content, tests apart. */
export function pageDigest(root) {
  const hash = createHash("sha256");
  for (const path of [...SINGLE_INPUTS, ...sources(root, "src")]) {
    if (existsSync(join(root, path)))
      hash
        .update(path)
        .update("\0")
        .update(readFileSync(join(root, path)))
        .update("\0");
  }
  return hash.digest("hex");
}

function sources(root, folder) {
  return readdirSync(join(root, folder), { withFileTypes: true })
    .sort((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((entry) => {
      const path = `${folder}/${entry.name}`;
      if (entry.isDirectory()) return sources(root, path);
      return /\.test\.tsx?$|\.md$/.test(entry.name) ? [] : [path];
    });
}
