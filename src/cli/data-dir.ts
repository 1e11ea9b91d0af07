/**
 * Where the book lies: --data, else STOPWISE_DATA, else the platform's place for a user's data (XDG Base Directory
 * Specification on Linux; Application Support on macOS; %APPDATA% on Windows).
 */

import { existsSync } from "node:fs";
import { homedir } from "node:os";
import { join, resolve } from "node:path";
import { failure, fault, type Result, success } from "../units/index.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

/** The folder, as an absolute path. Faults: data-folder. */
export function dataDirOf(words: Pick<Words, "value">, world: Pick<World, "env" | "platform">): Result<string> {
  const said = words.value("data") ?? world.env.STOPWISE_DATA ?? "";
  if (said.includes("\0")) return failure(fault("data-folder", "No folder has such a name", "--data", "Name another."));
  if (said !== "") return success(resolve(said));
  const home = world.env.HOME ?? homedir();
  if (home === "") {
    const mend = "Name a folder with --data or in STOPWISE_DATA.";
    return failure(fault("data-folder", "This user has no home folder", "HOME", mend));
  }
  return success(usualPlace(world, home));
}

function usualPlace({ env, platform }: Pick<World, "env" | "platform">, home: string): string {
  if (platform === "darwin") return join(home, "Library", "Application Support", "Stopwise");
  if (platform === "win32") return join(env.APPDATA ?? join(home, "AppData", "Roaming"), "Stopwise");
  // The specification ignores a relative path.
  const xdg = env.XDG_DATA_HOME ?? "";
  return join(xdg.startsWith("/") ? xdg : join(home, ".local", "share"), "stopwise");
}

/** Whether a book was begun there. */
export const hasBook = (dataDir: string): boolean => existsSync(join(dataDir, "book.sqlite"));
