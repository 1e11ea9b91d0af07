/** `start`: the server with the page, until somebody asks it to stop. */

import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { defaultNetworkPort, defaultPort, type Mode, type RunningServer, startServer } from "../server/index.ts";
import { failure, fault, formatFault, type Result, success } from "../units/index.ts";
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
    { name: "network", takes: "maybe", value: "plain", help: "let phones in over the local network, see below" },
    {
      name: "network-port",
      takes: "value",
      value: "N",
      help: `the port for phones; ${defaultNetworkPort} unless said`,
    },
    DATA_OPTION,
  ],
  notes: [
    "A new book begins with the demo's setups, which are invented. Browsers keep their copies by address: stay with",
    "one port. Ctrl-C ends it; everything acknowledged as kept is on the disc.",
    "--network serves private addresses over HTTPS and prints a code for one device that may meter, valid two minutes;",
    "further codes and other permissions are made in the page. --network=plain serves HTTP: not encrypted.",
  ],
  run: (words, world) => start(words, world),
};

/** The built page: dist/web of the checkout or the package; src/cli and dist/cli are equally deep. */
const WEB_DIR = join(import.meta.dirname, "..", "..", "dist", "web");

async function start(words: Words, world: World): Promise<Result<Answer>> {
  const port = readWhole(words.value("port") ?? String(defaultPort), "--port", 0, 65_535);
  if (!port.ok) return port;
  const networkPort = readWhole(words.value("network-port") ?? String(defaultNetworkPort), "--network-port", 0, 65_535);
  if (!networkPort.ok) return networkPort;
  const mode = readMode(words);
  if (!mode.ok) return mode;
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
    ...{ now, newId, network: { port: networkPort.value } },
  });
  if (!started.ok) return alreadyRunning(dataDir.value, started.faults);
  const server = started.value;
  noteRunning(dataDir.value, { address: server.address, book: server.store.info().id });
  world.say(`Stopwise is ready at ${server.address} (data in ${safe(dataDir.value)})`);
  if (mode.value !== null) await sayNetwork(server, mode.value, world);
  if (!words.has("no-open")) openPage(server.address, world);
  await stopAsked;
  forgetRunning(dataDir.value);
  await server.close();
  return success({ text: "" });
}

function readMode(words: Words): Result<Mode | null> {
  if (!words.has("network")) return success(null);
  const value = words.value("network");
  if (value === null || value === "") return success("secure");
  if (value === "plain") return success("plain");
  return failure(
    fault(
      "bad-value",
      `"${safe(value)}" is no way to let phones in`,
      "--network",
      "Say --network alone, or --network=plain.",
    ),
  );
}

/** Switches the network side on. What goes wrong is said; the page on this machine is served all the same. */
async function sayNetwork({ network }: RunningServer, mode: Mode, world: World): Promise<void> {
  const switched = await network.switchOn(mode);
  if (!switched.ok) {
    world.say(switched.faults.map((f) => `Phones are not let in: ${formatFault(f)}`).join("\n"));
    return;
  }
  const { origins, fingerprint, faults } = switched.value;
  const code = network.newCode("meter");
  world.say(`Phones are let in at ${origins.map((origin) => `${origin}/pair`).join(" or ")}`);
  if (code.ok) world.say(`The code for one device, valid two minutes: ${code.value.words}`);
  if (fingerprint !== null) world.say(`Fingerprint of the certificate: ${fingerprint}`);
  if (mode === "plain")
    world.say("Not encrypted: whoever is on the same network can read it and take a device's place.");
  for (const f of faults) world.say(formatFault(f));
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
