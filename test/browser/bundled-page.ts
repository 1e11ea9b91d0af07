/** A blank page in headless Chromium with one of our modules bundled in; for tests and benches that compute in a browser. */

import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { dirname } from "node:path";
import { chromium, type Page } from "playwright-core";
import { build, type Rolldown } from "vite";

/** Chromium with WebGPU, here on its software adapter. */
export const WEBGPU_ARGS: readonly string[] = ["--no-sandbox", "--enable-unsafe-webgpu"];

/** Served from 127.0.0.1, for WebGPU wants a secure context. `entry` is the module's path; workers are bundled too. */
export async function withBundledPage<T>(
  entry: string,
  args: readonly string[],
  use: (page: Page) => Promise<T>,
): Promise<T> {
  const built = (await build({
    ...{ configFile: false, logLevel: "silent", root: dirname(entry) },
    build: { write: false, minify: false, rollupOptions: { input: entry, output: { entryFileNames: "page.js" } } },
    worker: { format: "es" },
  })) as Rolldown.RolldownOutput;
  const files = new Map(
    built.output.map((file) => [`/${file.fileName}`, file.type === "chunk" ? file.code : file.source]),
  );
  const server = createServer((question, answer) => {
    const file = files.get(question.url ?? "");
    answer.setHeader("content-type", file === undefined ? "text/html" : "text/javascript");
    answer.end(file ?? '<!doctype html><script type="module" src="/page.js"></script>');
  });
  await new Promise<void>((ready) => server.listen(0, "127.0.0.1", ready));
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [...args],
  });
  try {
    const page = await browser.newPage();
    page.setDefaultTimeout(0);
    page.on("pageerror", (error) => console.error(String(error)));
    page.on("console", (message) => message.type() === "error" && console.error(`page: ${message.text()}`));
    await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
    await page.waitForFunction(() => "ready" in globalThis);
    return await use(page);
  } finally {
    await browser.close();
    server.close();
  }
}
