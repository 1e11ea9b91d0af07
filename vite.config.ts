/**
 * The build of the page. Its content security policy is strict (no inline script, no data: addresses), so assets
 * stay files and the module preload polyfill stays out. The service worker is an entry of its own at /sw.js, and
 * a small plugin writes the list of files it keeps, /precache.json.
 */

import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import react from "@vitejs/plugin-react";
import { defineConfig, type Plugin, type UserConfig } from "vite";

const web: string = join(import.meta.dirname, "src", "web");
const WORKER = "sw.js";
const LIST = "precache.json";

const config: UserConfig = defineConfig({
  root: web,
  base: "/",
  publicDir: join(web, "public"),
  plugins: [react(), precacheList()],
  worker: { format: "es" },
  build: {
    outDir: join(import.meta.dirname, "dist", "web"),
    emptyOutDir: true,
    target: "es2023",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    rolldownOptions: {
      input: { index: join(web, "index.html"), sw: join(web, "service-worker.ts") },
      output: { entryFileNames: (chunk) => (chunk.name === "sw" ? WORKER : "assets/[name]-[hash].js") },
    },
  },
});

export default config;

/**
 * Emits precache.json, `{ version, files }`: the addresses of everything built but the start page (the worker
 * asks for `/` itself) and the worker. The version digests them all, and it also goes into the worker's first
 * line: browsers fetch a new worker only when its bytes change.
 */
function precacheList(): Plugin {
  return {
    name: "stopwise-precache",
    apply: "build",
    generateBundle: {
      order: "post",
      handler(_options, bundle) {
        const hash = createHash("sha256");
        const files: string[] = [];
        for (const [name, part] of Object.entries(bundle).sort(([a], [b]) => (a < b ? -1 : 1))) {
          hash.update(name).update(part.type === "chunk" ? part.code : part.source);
          if (name !== WORKER && name !== "index.html") files.push(`/${name}`);
        }
        for (const name of publicFiles()) {
          hash.update(name).update(readFileSync(join(web, "public", name)));
          files.push(`/${name}`);
        }
        if (bundle["index.html"] === undefined) this.error("The start page was not part of the build.");
        const version = hash.digest("hex").slice(0, 16);
        const worker = bundle[WORKER];
        if (worker?.type !== "chunk") return this.error("The service worker was not part of the build.");
        if (worker.imports.length > 0) this.error("The service worker must not share code with the page.");
        worker.code = `/* page ${version} */\n${worker.code}`;
        this.emitFile({ type: "asset", fileName: LIST, source: JSON.stringify({ version, files }) });
      },
    },
  };
}

function publicFiles(): string[] {
  return readdirSync(join(web, "public"), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) =>
      join(entry.parentPath, entry.name)
        .slice(join(web, "public").length + 1)
        .replaceAll("\\", "/"),
    )
    .sort();
}
