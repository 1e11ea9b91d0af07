/** Firefox without a window, over WebDriver BiDi (W3C working draft) on a socket of its own. */

import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { WebSocket } from "ws";
import { findFirefox } from "../../scripts/tools.ts";
import { type EnginePage, ended, keyActions, pressActions, source } from "./engine-page.ts";

const ANSWER_MS = 30_000;
/** A fresh profile asks for nothing, shows no first-run page and calls nobody. */
const PREFERENCES: Readonly<Record<string, boolean | number | string>> = {
  "app.normandy.enabled": false,
  "app.update.enabled": false,
  "browser.aboutwelcome.enabled": false,
  "browser.safebrowsing.malware.enabled": false,
  "browser.safebrowsing.phishing.enabled": false,
  "browser.shell.checkDefaultBrowser": false,
  "browser.startup.homepage_override.mstone": "ignore",
  "browser.startup.page": 0,
  "datareporting.policy.dataSubmissionEnabled": false,
  "extensions.systemAddon.update.enabled": false,
  "network.captive-portal-service.enabled": false,
  "network.connectivity-service.enabled": false,
  "services.settings.server": "data:,#remote-settings-dummy/v1",
  "toolkit.telemetry.enabled": false,
  "toolkit.telemetry.server": "",
};

interface Answer {
  readonly id?: number;
  readonly type: "success" | "error" | "event";
  readonly method?: string;
  readonly message?: string;
  readonly result?: unknown;
  readonly params?: unknown;
}

/** What to install where Firefox is missing; null where it is there. */
export function firefoxMissing(): string | null {
  return findFirefox() === null ? "no Firefox on this machine (Debian: apt-get install firefox-esr)" : null;
}

export async function openFirefox(host: string): Promise<EnginePage> {
  const home = await mkdtemp(join(tmpdir(), "stopwise-firefox-"));
  const lines = Object.entries(PREFERENCES).map(([name, value]) => `user_pref("${name}", ${JSON.stringify(value)});`);
  await writeFile(join(home, "user.js"), lines.join("\n"));
  const words = ["--headless", "--no-remote", "--profile", home, "--remote-debugging-port", "0", "about:blank"];
  const env = { ...process.env, HOME: home, XDG_CACHE_HOME: home, XDG_CONFIG_HOME: home };
  const child = spawn(findFirefox() ?? "firefox", words, { env, stdio: ["ignore", "ignore", "pipe"] });
  const end = async (): Promise<void> => {
    await ended(child);
    await rm(home, { recursive: true, force: true, maxRetries: 5 });
  };
  try {
    const link = await Link.open(`${await listening(child)}/session`);
    return await firefoxPage(link, host, end);
  } catch (cause) {
    await end();
    throw cause;
  }
}

async function firefoxPage(link: Link, host: string, end: () => Promise<void>): Promise<EnginePage> {
  const wrong: string[] = [];
  const session = await link.ask<{ capabilities: { browserVersion: string } }>("session.new", { capabilities: {} });
  link.on = (method, params) => {
    const said = whatIsWrong(method, params, host);
    if (said !== null) wrong.push(said);
  };
  await link.ask("session.subscribe", { events: ["log.entryAdded", "network.beforeRequestSent"] });
  const tree = await link.ask<{ contexts: { context: string }[] }>("browsingContext.getTree", {});
  const context = tree.contexts[0]?.context ?? "";
  const perform = (actions: readonly object[]) => link.ask("input.performActions", { context, actions });
  return {
    engine: `Firefox ${session.capabilities.browserVersion}`,
    go: async (url) => void (await link.ask("browsingContext.navigate", { context, url, wait: "complete" })),
    reload: async () => void (await link.ask("browsingContext.reload", { context, wait: "complete" })),
    run: async (body, ...given) => {
      const answer = await link.ask<Called>("script.callFunction", {
        functionDeclaration: source(body),
        arguments: [{ type: "string", value: JSON.stringify(given) }],
        target: { context },
        awaitPromise: true,
      });
      if (answer.type === "exception") throw new Error(answer.exceptionDetails?.text ?? "the page threw");
      return JSON.parse(answer.result?.value ?? "null");
    },
    press: async (x, y) => void (await perform(pressActions(x, y))),
    keys: async (text) => void (await perform(keyActions(text))),
    size: async (width, height) =>
      void (await link.ask("browsingContext.setViewport", { context, viewport: { width, height } })),
    picture: async () => {
      const { data } = await link.ask<{ data: string }>("browsingContext.captureScreenshot", { context });
      return Buffer.from(data, "base64");
    },
    wrong: () => Promise.resolve(wrong),
    close: async () => {
      await link.ask("browser.close", {}).catch(() => undefined);
      link.close();
      await end();
    },
  };
}

interface Called {
  readonly type: "success" | "exception";
  readonly result?: { readonly value?: string };
  readonly exceptionDetails?: { readonly text: string };
}

/** An event's complaint, or null. A server that was stopped on purpose leaves refused connections behind. */
function whatIsWrong(method: string, params: unknown, host: string): string | null {
  if (method === "log.entryAdded") {
    const { level, text } = params as { level: string; text: string | null };
    const noServer = /can.t establish a connection|NetworkError|connection to .* was interrupted/;
    return level === "error" && !noServer.test(text ?? "") ? `logged: ${text}` : null;
  }
  const { request } = params as { request: { url: string } };
  const { protocol, hostname } = new URL(request.url);
  const over = ["http:", "https:", "ws:", "wss:"].includes(protocol);
  return over && hostname !== host ? `asked another machine: ${request.url}` : null;
}

/** Commands and their answers by number; events go to `on`. */
class Link {
  readonly socket: WebSocket;
  readonly waiting: Map<number, (answer: Answer) => void> = new Map();
  on: (method: string, params: unknown) => void = () => undefined;
  last = 0;

  constructor(socket: WebSocket) {
    this.socket = socket;
    socket.on("message", (data: Buffer) => {
      const answer = JSON.parse(data.toString()) as Answer;
      if (answer.id === undefined) this.on(answer.method ?? "", answer.params);
      else this.waiting.get(answer.id)?.(answer);
    });
  }

  static async open(address: string): Promise<Link> {
    const socket = new WebSocket(address);
    await once(socket, "open");
    return new Link(socket);
  }

  async ask<T>(method: string, params: object): Promise<T> {
    this.last += 1;
    const id = this.last;
    const answer = await new Promise<Answer>((resolve, reject) => {
      const late = setTimeout(() => reject(new Error(`Firefox did not answer ${method}`)), ANSWER_MS);
      this.waiting.set(id, (got) => {
        clearTimeout(late);
        resolve(got);
      });
      this.socket.send(JSON.stringify({ id, method, params }));
    });
    this.waiting.delete(id);
    if (answer.type === "error") throw new Error(`${method}: ${answer.message}`);
    return answer.result as T;
  }

  close(): void {
    this.socket.close();
  }
}

/** The address that Firefox says it listens at. */
function listening(child: ChildProcess): Promise<string> {
  let said = "";
  return new Promise((resolve, reject) => {
    child.stderr?.on("data", (chunk: Buffer) => {
      said += chunk;
      const address = /WebDriver BiDi listening on (ws:\S+)/.exec(said)?.[1];
      if (address !== undefined) resolve(address);
    });
    child.once("error", reject);
    child.once("exit", (code) => reject(new Error(`Firefox ended with ${code}: ${said}`)));
    setTimeout(() => reject(new Error(`Firefox was not ready in time: ${said}`)), ANSWER_MS).unref();
  });
}
