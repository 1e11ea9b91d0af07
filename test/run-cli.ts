/** Runs the command line as people do, in a process of its own, in a scratch folder with a home of its own. */

import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export const root: string = join(import.meta.dirname, "..");
const main: string = join(root, "src", "cli", "main.ts");

export interface Ran {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** A folder that `done` takes away. */
export function scratchFolder(name: string): { readonly path: string; readonly done: () => void } {
  const path = mkdtempSync(join(tmpdir(), `stopwise-${name}-`));
  mkdirSync(join(path, "home"));
  return { path, done: () => rmSync(path, { recursive: true, force: true }) };
}

/** What the program sees of the caller's surroundings: a home in the scratch folder, no display. */
export function environment(folder: string): NodeJS.ProcessEnv {
  const { STOPWISE_DATA: _data, XDG_DATA_HOME: _xdg, DISPLAY: _x, WAYLAND_DISPLAY: _w, ...rest } = process.env;
  return { ...rest, HOME: join(folder, "home"), APPDATA: join(folder, "home") };
}

/** One command, to its end. `input` goes to standard input. */
export function stopwise(folder: string, args: readonly string[], input: string | Uint8Array = ""): Promise<Ran> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [main, ...args], { cwd: folder, env: environment(folder), timeout: 60_000 });
    const out: Buffer[] = [];
    const err: Buffer[] = [];
    child.stdout.on("data", (part: Buffer) => out.push(part));
    child.stderr.on("data", (part: Buffer) => err.push(part));
    child.on("error", reject);
    // A program that reads no input may be gone before it is written.
    child.stdin.on("error", () => {});
    child.on("close", (status) =>
      resolve({ status, stdout: Buffer.concat(out).toString(), stderr: Buffer.concat(err).toString() }),
    );
    child.stdin.end(input);
  });
}

/** Starts the server and waits for its line. */
export async function startStopwise(
  folder: string,
  args: readonly string[],
): Promise<{
  readonly line: string;
  readonly address: string;
  readonly pid: number;
  /** All that it has said on standard output so far. */
  said(): string;
  end(signal: NodeJS.Signals): Promise<number | null>;
}> {
  const child = spawn(process.execPath, [main, "start", "--no-open", ...args], {
    cwd: folder,
    env: environment(folder),
  });
  let said = "";
  let complained = "";
  child.stderr.on("data", (part: Buffer) => {
    complained += part.toString();
  });
  const ended = new Promise<number | null>((resolve) => child.on("close", (status) => resolve(status)));
  const ready = new Promise<void>((resolve) => {
    child.stdout.on("data", (part: Buffer) => {
      said += part.toString();
      if (said.includes("\n")) resolve();
    });
  });
  await Promise.race([ready, ended]);
  const address = /http:\/\/127\.0\.0\.1:\d+/.exec(said)?.[0];
  if (address === undefined) throw new Error(`it did not start: ${said}${complained}`);
  return {
    line: said,
    address,
    pid: child.pid ?? 0,
    said: () => said,
    end: (signal) => {
      child.kill(signal);
      return ended;
    },
  };
}

/** Every file under a folder with its size and content, to see whether anything was written. */
export function contents(folder: string): ReadonlyMap<string, string> {
  const found = new Map<string, string>();
  for (const name of readdirSync(folder, { recursive: true, encoding: "utf8" }).sort()) {
    const path = join(folder, name);
    const stat = statSync(path);
    found.set(name, stat.isFile() ? (stat.size > 1e6 ? String(stat.size) : readFileSync(path, "latin1")) : "folder");
  }
  return found;
}
