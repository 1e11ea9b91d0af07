/** A frame's file, read whole, with a fault for each way that goes wrong. Node. */

import { open } from "node:fs/promises";
import { basename } from "node:path";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { bytesFault } from "./limits.ts";

export async function readFrameFile(path: string, name: string = basename(path)): Promise<Result<Uint8Array>> {
  try {
    const handle = await open(path, "r");
    try {
      const stat = await handle.stat();
      if (!stat.isFile()) return failure(fault("not-a-file", "This is no plain file", name, "Give a picture's file."));
      const refused = bytesFault(stat.size, name);
      return refused === null ? success(await handle.readFile()) : failure(refused);
    } finally {
      await handle.close();
    }
  } catch (error) {
    return failure(systemFault(error, name));
  }
}

/** What the system said, in words. Throws on what is no word of the system's. */
export function systemFault(error: unknown, name: string): Fault {
  const code = String((error as { readonly code?: unknown }).code ?? "");
  switch (code) {
    case "ENOENT":
    case "ENOTDIR":
      return fault(
        "no-file",
        "There is no such file or folder any more",
        name,
        "Check the name, or copy it there again.",
      );
    case "EACCES":
    case "EPERM":
      return fault(
        "not-allowed",
        "The system does not allow it to be read",
        name,
        "Allow reading it, or copy it elsewhere.",
      );
    case "EISDIR":
      return fault("not-a-file", "This is no plain file", name, "Give a picture's file.");
    case "ENOSPC":
    case "EDQUOT":
      return fault("disc-full", "The disc is full", name, "Free some space, then try again.");
    default:
      if (!/^E[A-Z]+$/.test(code)) throw error;
      return fault("disc-error", `The system refused (${code})`, name, "Check the disc, then try again.");
  }
}
