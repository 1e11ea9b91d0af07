/** Files written whole or not at all, and never over a file that is there. */

import { closeSync, fsyncSync, linkSync, openSync, rmSync, statSync, writeFileSync, writeSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { failure, fault, type Result, success } from "../units/index.ts";
import { openFault } from "./input.ts";

/** Whether a new file may be written there: asked before any work is done. */
export function checkNewFile(path: string): Result<string> {
  const full = resolve(path);
  try {
    if (path.includes("\0"))
      return failure(fault("no-file", "No file has such a name", "the new file", "Choose another name."));
    if (statSync(full, { throwIfNoEntry: false }) !== undefined) {
      return failure(
        fault(
          "file-exists",
          "There is a file of that name already",
          path,
          "Choose another name, or move that one away.",
        ),
      );
    }
    if (!statSync(dirname(full)).isDirectory()) {
      return failure(fault("no-folder", "The folder is no folder", path, "Choose another name."));
    }
    return success(full);
  } catch (error) {
    return failure(openFault(error, path));
  }
}

/** Writes a new file: beside it first, flushed, then under its name, which must still be free. */
export function writeNewFile(path: string, content: string | Uint8Array): Result<string> {
  const checked = checkNewFile(path);
  if (!checked.ok) return checked;
  const full = checked.value;
  const partial = `${full}.${process.pid}.partial`;
  try {
    const handle = openSync(partial, "wx");
    try {
      if (typeof content === "string") writeFileSync(handle, content);
      else for (let at = 0; at < content.length; ) at += writeSync(handle, content, at);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    putInPlace(partial, full, content);
    return success(full);
  } catch (error) {
    return failure(openFault(error, path));
  } finally {
    rmSync(partial, { force: true });
  }
}

/** A hard link fails when the name is taken, which a rename does not; some file systems have none. */
function putInPlace(partial: string, full: string, content: string | Uint8Array): void {
  try {
    linkSync(partial, full);
  } catch (error) {
    if (!["EPERM", "ENOTSUP", "EOPNOTSUPP", "ENOSYS", "EINVAL"].includes(String((error as { code?: unknown }).code)))
      throw error;
    writeFileSync(full, content, { flag: "wx" });
  }
}
