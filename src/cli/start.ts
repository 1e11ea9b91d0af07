/** `start`: the server with the page, until somebody asks it to stop. */

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { defaultPort, startServer } from "../server/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { type Answer, type Command, DATA_OPTION } from "./command.ts";
import { dataDirOf } from "./data-dir.ts";
import { readWhole } from "./figures.ts";
import { safe } from "./print.ts";
import { findRunning, forgetRunning, noteRunning } from "./running.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const startCommand: Command = {
  name: "start",
  usage: "",
  positionals: { least: 0, most: 0, mend: "No word belongs here." },
  options: [
    { name: "no-open", takes: "nothing", help: "do not open the page in a browser" },
    { name: "port", takes: "value", value: "N", help: `the port on 127.0.0.1; ${defaultPort} unless said` },
    DATA_OPTION,
  ],
  notes: [
    "A new book begins with the demo's setups, which are invented. Browsers keep their copies by address: stay with",
    "one port. Ctrl-C ends it; everything acknowledged as kept is on the disc.",
  ],
  run: (words, world) => start(words, world),
};

/** The built page: dist/web of the checkout or the package; src/cli and dist/cli are equally deep. */
const WEB_DIR = join(import.meta.dirname, "..", "..", "dist", "web");

async function start(words: Words, world: World): Promise<Result<Answer>> {
  const port = readWhole(words.value("port") ?? String(defaultPort), "--port", 0, 65_535);
  if (!port.ok) return port;
  const dataDir = dataDirOf(words, world);
  if (!dataDir.ok) return dataDir;
  if (!existsSync(join(WEB_DIR, "index.html"))) {
    const mend = "In a checkout: npm run build. Otherwise install Stopwise again.";
    return failure(fault("not-built", "The page is not built", WEB_DIR, mend));
  }
  const stopAsked = world.stopAsked();
  const { now, newId } = world;
  const started = await startServer({
    ...{ dataDir: dataDir.value, port: port.value, webDir: WEB_DIR, seedDemo: true },
    ...{ now, newId },
  });
  if (!started.ok) return alreadyRunning(dataDir.value, started.faults);
  const server = started.value;
  noteRunning(dataDir.value, { address: server.address, book: server.store.info().id });
  world.say(`Stopwise is ready at ${server.address} (data in ${safe(dataDir.value)})`);
  if (!words.has("no-open")) openPage(server.address, world);
  await stopAsked;
  forgetRunning(dataDir.value);
  await server.close();
  return success({ text: "" });
}

/** Who starts Stopwise twice is told where the first one is. */
async function alreadyRunning(
  dataDir: string,
  faults: Extract<Result<never>, { ok: false }>["faults"],
): Promise<Result<Answer>> {
  const address = await findRunning(dataDir);
  if (address === null) return failure(...faults);
  return failure(...faults.map((f) => ({ ...f, mend: `It is running at ${address}. ${f.mend}` })));
}

/** Opens the page with the platform's own opener. Where that fails there is the line with the address. */
function openPage(address: string, { env, platform }: World): void {
  if (platform === "linux" && (env.DISPLAY ?? "") === "" && (env.WAYLAND_DISPLAY ?? "") === "") return;
  const [program, ...before] =
    platform === "darwin" ? ["open"] : platform === "win32" ? ["cmd", "/c", "start", ""] : ["xdg-open"];
  const child = spawn(program as string, [...before, address], { stdio: "ignore", detached: true });
  child.on("error", () => {});
  child.unref();
}
