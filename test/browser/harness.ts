/**
 * What browser tests share: a real server process on a fresh data directory and a free port, and a real
 * Chromium. Every test closes what it opened; a page that logs an error fails its test.
 */

import assert from "node:assert/strict";
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from "playwright-core";

const root = fileURLToPath(new URL("../../", import.meta.url));

export interface Served {
  readonly address: string;
  readonly port: number;
  readonly dataDir: string;
  /** Ends the process (SIGTERM unless told otherwise) and keeps the data directory. */
  stop(signal?: NodeJS.Signals): Promise<void>;
  /** Starts again on the same port and data. */
  start(): Promise<void>;
  /** Ends everything and removes the data. */
  close(): Promise<void>;
}

/** A server with the demo book, as `npm start` serves it; on a free port unless told otherwise. */
export async function serve(options: { readonly port?: number } = {}): Promise<Served> {
  const dataDir = await mkdtemp(join(tmpdir(), "stopwise-browser-"));
  const port = options.port ?? (await freePort());
  const address = `http://127.0.0.1:${port}`;
  let child = await startProcess(port, dataDir);
  const stop = async (signal: NodeJS.Signals = "SIGTERM"): Promise<void> => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    const ended = once(child, "exit");
    child.kill(signal);
    await ended;
  };
  return {
    address,
    port,
    dataDir,
    stop,
    start: async () => {
      child = await startProcess(port, dataDir);
    },
    close: async () => {
      await stop();
      await rm(dataDir, { recursive: true, force: true });
    },
  };
}

async function startProcess(port: number, dataDir: string): Promise<ChildProcess> {
  const main = join(root, "src/cli/main.ts");
  const child = spawn(process.execPath, [main, "start", "--no-open", "--port", String(port), "--data", dataDir], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe"],
  });
  let said = "";
  child.stderr?.on("data", (chunk: Buffer) => {
    said += chunk;
  });
  await new Promise<void>((resolve, reject) => {
    child.stdout?.on("data", (chunk: Buffer) => {
      said += chunk;
      if (said.includes(`:${port}`)) resolve();
    });
    child.once("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
    setTimeout(() => reject(new Error(`the server was not ready within 20 s: ${said}`)), 20_000).unref();
  });
  return child;
}

/** `args`: what a test needs of the browser beside the usual. */
export async function openBrowser(args: readonly string[] = []): Promise<Browser> {
  const executablePath = process.env.CHROMIUM ?? "/usr/bin/chromium";
  return chromium.launch({
    executablePath,
    args: [
      ...["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
      ...args,
    ],
  });
}

export const DESK: BrowserContextOptions = { viewport: { width: 1440, height: 900 } };
export const PHONE: BrowserContextOptions = {
  viewport: { width: 390, height: 844 },
  hasTouch: true,
  isMobile: true,
  deviceScaleFactor: 2,
};

/** A page that collects what went wrong in it; `clean()` fails the test when anything did. */
export interface WatchedPage {
  readonly page: Page;
  readonly context: BrowserContext;
  clean(): void;
}

/** `host`: the one machine that the page may ask. */
export async function openPage(
  browser: Browser,
  options: BrowserContextOptions = DESK,
  host = "127.0.0.1",
): Promise<WatchedPage> {
  const context = await browser.newContext(options);
  context.setDefaultTimeout(10_000);
  const wrong: string[] = [];
  // Of the whole context, so that what the service worker fetches counts too.
  context.on("request", (request) => {
    const { protocol, hostname } = new URL(request.url());
    if (["http:", "https:", "ws:", "wss:"].includes(protocol) && hostname !== host)
      wrong.push(`asked another machine: ${request.url()}`);
  });
  context.on("page", (page) => watch(page, wrong, host));
  const page = await context.newPage();
  return { page, context, clean: () => assert.deepEqual(wrong, []) };
}

function watch(page: Page, wrong: string[], host: string): void {
  page.on("pageerror", (error) => wrong.push(String(error)));
  page.on("websocket", (socket) => {
    if (new URL(socket.url()).hostname !== host) wrong.push(`asked another machine: ${socket.url()}`);
  });
  page.on("console", (message) => {
    // A server that a test stopped on purpose makes the browser log refused connections; everything else counts.
    const text = message.text();
    const noServer = /net::ERR_|WebSocket connection to/.test(text) && !/Content Security Policy/.test(text);
    if (message.type() === "error" && !noServer) wrong.push(`${text} (${message.location().url})`);
  });
}

/** Opens a setup of the demo book by its title; leaves the page on Plan. */
export async function openDemo(page: Page, address: string, title: string): Promise<string> {
  await page.goto(address);
  await page.getByRole("heading", { name: title, exact: true }).click();
  await page.waitForURL(/\/setup\/[^/]+\/plan/);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  return /\/setup\/([^/]+)\//.exec(page.url())?.[1] ?? "";
}

/** Waits until the page says that every edit is on the machine. */
export async function waitKept(page: Page): Promise<void> {
  await page.locator('[data-keep="machine"]').first().waitFor({ timeout: 10_000 });
}

export async function freePort(): Promise<number> {
  const probe = createServer();
  probe.listen(0, "127.0.0.1");
  await once(probe, "listening");
  const address = probe.address();
  probe.close();
  await once(probe, "close");
  if (address === null || typeof address === "string") throw new Error("no free port");
  return address.port;
}
