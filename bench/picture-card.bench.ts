/**
 * The picture on a graphics card: compile times, time to the first picture, time to 0.1 stop of true deviation for the
 * four-light demo and six lights at 960 × 1200, dial to new picture at 1280 × 800, memory on the card.
 *
 * Runs in Node where the optional package `webgpu` is installed (or lies where STOPWISE_WEBGPU says) and finds a
 * driver (`--small`: small there too; `--reference` paths of the reference), else in headless Chromium on its software adapter, small: those figures say only that the bench runs.
 */

import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { openDevice } from "../src/gpu/index.ts";
import { measureCard, SMALL, WHOLE } from "./picture-card.ts";

const { values: asked } = parseArgs({ options: { small: { type: "boolean" }, reference: { type: "string" } } });
const opened = await openDevice(await packageGpu());
if (opened.ok) {
  const plan = asked.small ? SMALL : WHOLE;
  console.log(`Node, ${opened.name}${asked.small ? ", small" : ""}`);
  await measureCard(opened.device, { ...plan, reference: Number(asked.reference ?? plan.reference) }, (line) =>
    console.log(line),
  );
  opened.device.destroy();
  process.exit(0);
}
console.log(`Node has no device (${opened.why}): headless Chromium, software adapter, small`);
await inChromium();

/** The optional package from where the variable points; null leaves it to `openDevice`. */
async function packageGpu(): Promise<GPU | null> {
  const place = process.env.STOPWISE_WEBGPU;
  if (place === undefined) return null;
  const module = (await import(place)) as { create(flags: string[]): GPU; globals: object };
  Object.assign(globalThis, module.globals);
  const gpu = module.create([]);
  // Kept for the life of the process: the package stops answering once its entry is collected.
  Object.assign(globalThis, { keptGpu: gpu });
  return gpu;
}

async function inChromium(): Promise<void> {
  const { chromium } = await import("playwright-core");
  const { build } = await import("vite");
  const entry = fileURLToPath(new URL("./picture-card-page.ts", import.meta.url));
  const built = await build({
    ...{ configFile: false, logLevel: "silent", root: fileURLToPath(new URL(".", import.meta.url)) },
    build: { write: false, minify: false, rollupOptions: { input: entry, output: { entryFileNames: "page.js" } } },
    worker: { format: "es" },
  });
  const files = (built as { output: { fileName: string; type: string; code?: string }[] }).output;
  const code = files.find(({ fileName }) => fileName === "page.js")?.code ?? "";
  const server = createServer((question, answer) => {
    const isScript = question.url === "/page.js";
    answer.setHeader("content-type", isScript ? "text/javascript" : "text/html");
    answer.end(isScript ? code : '<!doctype html><script type="module" src="/page.js"></script>');
  });
  await new Promise<void>((ready) => server.listen(0, "127.0.0.1", ready));
  const executablePath = process.env.CHROMIUM ?? "/usr/bin/chromium";
  const browser = await chromium.launch({ executablePath, args: ["--no-sandbox", "--enable-unsafe-webgpu"] });
  try {
    const page = await browser.newPage();
    page.on("console", (message) => console.log(message.text()));
    await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
    await page.waitForFunction(() => "done" in globalThis, undefined, { timeout: 600_000 });
  } finally {
    await browser.close();
    server.close();
  }
}
