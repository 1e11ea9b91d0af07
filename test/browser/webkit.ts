/**
 * WebKit as the distribution builds it for GTK: its small browser on a screen of its own, over W3C WebDriver
 * (recommendation of 2018). What phones of one large family run is this engine in another body.
 */

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, globSync } from "node:fs";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { missingForWebkit } from "../../scripts/tools.ts";
import { type EnginePage, ended, keyActions, pressActions, source } from "./engine-page.ts";
import { freePort } from "./harness.ts";

const READY_MS = 20_000;
const BROWSERS = "/usr/lib/*/webkit2gtk-4.*/MiniBrowser";

/** What to install where WebKit is missing; null where it is there. */
export function webkitMissing(): string | null {
  const missing = [...missingForWebkit(), ...(miniBrowser() === undefined ? ["libwebkit2gtk-4.1-0"] : [])];
  return missing.length === 0 ? null : `no WebKit on this machine (Debian: apt-get install ${missing.join(" ")})`;
}

export async function openWebkit(host: string): Promise<EnginePage> {
  const home = await mkdtemp(join(tmpdir(), "stopwise-webkit-"));
  const children: ChildProcess[] = [];
  const end = async (): Promise<void> => {
    for (const child of children.reverse()) await ended(child);
    await rm(home, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  };
  try {
    const port = await freePort();
    const env = await surroundings(home, await screen(children));
    const driver = spawn("WebKitWebDriver", [`--port=${port}`], { env, stdio: "ignore" });
    children.push(driver);
    return await webkitPage(`http://127.0.0.1:${port}`, host, end);
  } catch (cause) {
    await end();
    throw cause;
  }
}

async function webkitPage(driver: string, host: string, end: () => Promise<void>): Promise<EnginePage> {
  await ready(driver);
  const options = {
    binary: miniBrowser(),
    args: ["--automation"],
  };
  const capabilities = { alwaysMatch: { "webkitgtk:browserOptions": options } };
  const session = await ask<Session>("POST", `${driver}/session`, { capabilities });
  const at = `${driver}/session/${session.sessionId}`;
  const post = <T>(path: string, body: object = {}): Promise<T> => ask<T>("POST", `${at}/${path}`, body);
  await post("timeouts", { script: 30_000, pageLoad: 30_000 });
  const run: EnginePage["run"] = async (body, ...given) => {
    const script = `const [given, done] = arguments;
      (${source(body)})(given).then((text) => done({ text }), (cause) => done({ cause: String(cause) }));`;
    const answer = await post<{ text?: string; cause?: string }>("execute/async", {
      script,
      args: [JSON.stringify(given)],
    });
    if (answer.text === undefined) throw new Error(answer.cause);
    return JSON.parse(answer.text);
  };
  const wrong: string[] = [];
  const gather = async (): Promise<readonly string[]> => {
    wrong.push(...(await run(notedErrors, host)));
    return wrong;
  };
  const load = async (path: string, body: object): Promise<void> => {
    await gather();
    await post(path, body);
    await run(noteErrors);
  };
  return {
    engine: `WebKit ${session.capabilities.browserVersion}`,
    go: (url) => load("url", { url }),
    reload: () => load("refresh", {}),
    run,
    press: (x, y) => post("actions", { actions: pressActions(x, y) }),
    keys: (text) => post("actions", { actions: keyActions(text) }),
    size: async (width, height) => {
      const frame = await run(() => [outerWidth - innerWidth, outerHeight - innerHeight] as const);
      await post("window/rect", { x: 0, y: 0, width: width + frame[0], height: height + frame[1] });
    },
    picture: async () => Buffer.from(await ask<string>("GET", `${at}/screenshot`), "base64"),
    wrong: gather,
    close: async () => {
      await ask("DELETE", at).catch(() => undefined);
      await end();
    },
  };
}

interface Session {
  readonly sessionId: string;
  readonly capabilities: { readonly browserVersion: string };
}

async function ask<T>(method: string, address: string, body?: object): Promise<T> {
  const sent = body === undefined ? {} : { body: JSON.stringify(body) };
  const response = await fetch(address, { method, ...sent, signal: AbortSignal.timeout(40_000) });
  const { value } = (await response.json()) as { value: T & { error?: string; message?: string } };
  if (!response.ok) throw new Error(`WebKit refused ${new URL(address).pathname}: ${value.error} ${value.message}`);
  return value;
}

async function ready(driver: string): Promise<void> {
  const until = Date.now() + READY_MS;
  for (;;) {
    const status = await fetch(`${driver}/status`).catch(() => null);
    if (status?.ok === true) return;
    if (Date.now() > until) throw new Error("WebKitWebDriver was not ready in time");
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

/** A screen that nobody sees; its display, as it says itself. */
async function screen(children: ChildProcess[]): Promise<string> {
  const words = ["-displayfd", "1", "-screen", "0", "1600x1100x24", "-nolisten", "tcp"];
  const child = spawn("Xvfb", words, { stdio: ["ignore", "pipe", "ignore"] });
  children.push(child);
  const [chunk] = (await once(child.stdout as NonNullable<typeof child.stdout>, "data")) as [Buffer];
  return `:${chunk.toString().trim()}`;
}

/** Nothing of the person's own: the browser keeps its stores in a folder that goes away. */
async function surroundings(home: string, display: string): Promise<NodeJS.ProcessEnv> {
  const folder = (name: string): string => join(home, name);
  const xdg = {
    XDG_CACHE_HOME: folder("cache"),
    XDG_CONFIG_HOME: folder("config"),
    XDG_DATA_HOME: folder("data"),
    XDG_RUNTIME_DIR: folder("run"),
  };
  for (const path of Object.values(xdg)) await mkdir(path, { mode: 0o700 });
  // The browser's own bar of buttons would keep its window wider than a phone.
  await mkdir(join(xdg.XDG_CONFIG_HOME, "gtk-3.0"));
  await writeFile(
    join(xdg.XDG_CONFIG_HOME, "gtk-3.0", "gtk.css"),
    "* { padding: 0; margin: 0; border-width: 0; min-width: 0; }",
  );
  const plain = { GDK_BACKEND: "x11", NO_AT_BRIDGE: "1" };
  return { ...process.env, ...xdg, ...plain, HOME: home, DISPLAY: display };
}

/**
 * The driver tells nothing of the console: from its load on the page notes its own errors. What went wrong before is
 * not seen; what it fetched is, whenever that was.
 */
function noteErrors(): void {
  const noted: string[] = [];
  const said = console.error;
  console.error = (...words: unknown[]) => {
    noted.push(`logged: ${words.join(" ")}`);
    said(...words);
  };
  addEventListener("error", (event) => noted.push(`threw: ${event.message}`));
  addEventListener("unhandledrejection", (event) => noted.push(`threw: ${event.reason}`));
  addEventListener("securitypolicyviolation", (event) => noted.push(`refused: ${event.blockedURI}`));
  Object.assign(globalThis, { noted });
}

function notedErrors(host: string): string[] {
  const asked = performance.getEntriesByType("resource").map((entry) => new URL(entry.name));
  const others = asked.filter(({ protocol, hostname }) => protocol.startsWith("http") && hostname !== host);
  return [
    ...((globalThis as { noted?: string[] }).noted ?? []),
    ...others.map((url) => `asked another machine: ${url}`),
  ];
}

const miniBrowser = (): string | undefined => globSync(BROWSERS).find((path) => existsSync(path));
