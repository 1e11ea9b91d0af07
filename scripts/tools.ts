/**
 * The programs outside npm that tests need: a Chromium, poppler's pdftoppm and pdftotext, and for the journeys in
 * other engines a Firefox and a WebKit. Found on the machine, else installed from a Debian-like distribution when we
 * may; otherwise plain words say what to do. The other engines are some 300 MB: only the long run installs them.
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
const FIREFOX_NAMES = ["firefox-esr", "firefox"] as const;
/** WebKit's driver and the screen that its browser needs, each with its package; the first brings the browser too. */
const WEBKIT_PROGRAMS = [
  ["WebKitWebDriver", "webkit2gtk-driver"],
  ["Xvfb", "xvfb"],
] as const;
const POPPLER_NAMES = ["pdftoppm", "pdftotext"] as const;

/** What was found: the path of Chromium (null when there is none) and the lines to show about anything missing. */
export interface Tools {
  readonly chromium: string | null;
  readonly notes: readonly string[];
}

/**
 * Looks for the tools, installs what it may, and looks again. `say` is told before anything is installed; `engines`
 * counts the other engines among the tools.
 */
export function findTools(say: (line: string) => void, engines: boolean): Tools {
  const missing = [...missingPackages(), ...(engines ? missingEngines() : [])];
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
  if (engines && missingEngines().length > 0) {
    notes.push(`Journeys in other engines are skipped; they need ${missingEngines().join(" and ")} (Debian's names).`);
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

/** The first Firefox on PATH, or null. */
export function findFirefox(): string | null {
  return FIREFOX_NAMES.map(onPath).find((path) => path !== null) ?? null;
}

/** Debian's packages that WebKit's journeys lack here. */
export function missingForWebkit(): string[] {
  return WEBKIT_PROGRAMS.filter(([program]) => onPath(program) === null).map(([, name]) => name);
}

function missingEngines(): string[] {
  return [...(findFirefox() === null ? ["firefox-esr"] : []), ...missingForWebkit()];
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
    // One by one: a name that this distribution does not have keeps no other from coming.
    ...packages.map((name) => ["install", "-qq", "-y", "--no-install-recommends", name]),
  ];
  for (const step of steps) {
    const done = spawnSync("apt-get", step, { env, stdio: ["ignore", "ignore", "inherit"], timeout: 300_000 });
    if (done.status !== 0) say(`apt-get ${step.join(" ")} failed; its own message is above.`);
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
