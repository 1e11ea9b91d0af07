/**
 * The programs outside npm that tests need: a Chromium, and poppler's pdftoppm and pdftotext. Found on the
 * machine, else installed from a Debian-like distribution when we may; otherwise plain words say what to do.
 */

import { spawnSync } from "node:child_process";
import { accessSync, constants, statSync } from "node:fs";
import { delimiter, join } from "node:path";

const CHROMIUM_NAMES = [
  "chromium",
  "chromium-browser",
  "google-chrome-stable",
  "google-chrome",
  "chrome",
  "chrome.exe",
] as const;
const MAC_CHROMIUMS = [
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
] as const;
const POPPLER_NAMES = ["pdftoppm", "pdftotext"] as const;

/** What was found: the path of Chromium (null when there is none) and the lines to show about anything missing. */
export interface Tools {
  readonly chromium: string | null;
  readonly notes: readonly string[];
}

/** Looks for the tools, installs what it may, and looks again. `say` is told before anything is installed. */
export function findTools(say: (line: string) => void): Tools {
  const missing = missingPackages();
  if (missing.length > 0 && canInstall()) install(missing, say);
  const notes: string[] = [];
  if (findChromium() === null) {
    notes.push(
      "No Chromium found: browser tests cannot run. Install your system's chromium (Debian: apt-get install chromium), " +
        "or set CHROMIUM to the path of one.",
    );
  }
  if (!hasPoppler()) {
    notes.push("pdftoppm and pdftotext are missing: PDF tests cannot run. Install poppler-utils (macOS: poppler).");
  }
  return { chromium: findChromium(), notes };
}

/** The Chromium to use: $CHROMIUM, else the first known name on PATH, else where macOS keeps applications. */
export function findChromium(): string | null {
  const named = process.env.CHROMIUM;
  if (named !== undefined && named !== "") return isProgram(named) ? named : onPath(named);
  for (const name of CHROMIUM_NAMES) {
    const path = onPath(name);
    if (path !== null) return path;
  }
  return MAC_CHROMIUMS.find(isProgram) ?? null;
}

function missingPackages(): string[] {
  const packages: string[] = [];
  if (findChromium() === null) packages.push("chromium");
  if (!hasPoppler()) packages.push("poppler-utils");
  return packages;
}

function hasPoppler(): boolean {
  return POPPLER_NAMES.every((name) => onPath(name) !== null);
}

function canInstall(): boolean {
  return process.getuid?.() === 0 && onPath("apt-get") !== null;
}

function install(packages: readonly string[], say: (line: string) => void): void {
  say(`Installing ${packages.join(" and ")} from the distribution.`);
  const began = performance.now();
  const env = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  const steps = [
    ["update", "-qq"],
    ["install", "-qq", "-y", "--no-install-recommends", ...packages],
  ];
  for (const step of steps) {
    const done = spawnSync("apt-get", step, { env, stdio: ["ignore", "ignore", "inherit"], timeout: 300_000 });
    if (done.status !== 0) say(`apt-get ${step[0]} failed; its own message is above.`);
  }
  say(`Installing took ${((performance.now() - began) / 1000).toFixed(1)} s.`);
}

function onPath(name: string): string | null {
  for (const folder of (process.env.PATH ?? "").split(delimiter)) {
    const path = join(folder, name);
    if (folder !== "" && isProgram(path)) return path;
  }
  return null;
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}
