/**
 * Files and standard input, read whole, with a fault for each way that goes wrong: no such file, a folder, no
 * plain file, too big, not to be opened, not text, not JSON.
 */

import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { quoted } from "./print.ts";
import type { World } from "./world.ts";

/** As many bytes as any document that we read may have. */
export const LARGEST_DOCUMENT: number = 64 * 1024 * 1024;

/** The word that stands for standard input. */
export const STANDARD_INPUT = "-";

/** How a file is named in faults. */
export const inputName = (path: string): string => (path === STANDARD_INPUT ? "standard input" : path);

/** The bytes of a file, or of standard input for "-". */
export async function readBytes(
  path: string,
  world: World,
  most: number = LARGEST_DOCUMENT,
): Promise<Result<Uint8Array>> {
  if (path === STANDARD_INPUT) return readInput(world, most);
  if (path.includes("\0")) return failure(fault("no-file", "No file has such a name", quoted(path), "Check the name."));
  try {
    return readFile(path, most);
  } catch (error) {
    return failure(openFault(error, path));
  }
}

/** JSON from a file or standard input. */
export async function readJson(path: string, world: World, most: number = LARGEST_DOCUMENT): Promise<Result<unknown>> {
  const bytes = await readBytes(path, world, most);
  if (!bytes.ok) return bytes;
  const text = decode(bytes.value, inputName(path));
  if (!text.ok) return text;
  try {
    return success(JSON.parse(text.value) as unknown);
  } catch (error) {
    const what = `This is not JSON: ${(error as Error).message}`;
    return failure(fault("bad-json", what, inputName(path), "Give a file that Stopwise wrote, or mend it there."));
  }
}

function readFile(path: string, most: number): Result<Uint8Array> {
  const handle = openSync(path, "r");
  try {
    const stat = fstatSync(handle);
    if (stat.isDirectory()) {
      return failure(fault("is-a-folder", "This is a folder", path, "Name the file in it."));
    }
    if (!stat.isFile()) {
      return failure(fault("not-a-file", "This is no plain file", path, "Name a file, or - for standard input."));
    }
    if (stat.size > most) return failure(tooBig(path, most));
    const bytes = new Uint8Array(stat.size);
    let at = 0;
    for (let got = 1; got > 0 && at < bytes.length; at += got)
      got = readSync(handle, bytes, at, bytes.length - at, null);
    return success(bytes.subarray(0, at));
  } finally {
    closeSync(handle);
  }
}

async function readInput(world: World, most: number): Promise<Result<Uint8Array>> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const part of world.input) {
    size += part.length;
    if (size > most) return failure(tooBig("standard input", most));
    parts.push(part);
  }
  const bytes = new Uint8Array(size);
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return success(bytes);
}

function decode(bytes: Uint8Array, where: string): Result<string> {
  if (bytes.length === 0) return failure(fault("file-empty", "There is nothing in it", where, "Give another file."));
  try {
    const text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    if (!text.includes("\0")) return success(text);
  } catch {
    // Bytes that are no text: the fault below.
  }
  return failure(fault("not-text", "This is not text", where, "Give a JSON file in UTF-8."));
}

const tooBig = (where: string, most: number): Fault =>
  fault("too-big", `This is larger than ${Math.round(most / 1024 / 1024)} MB`, where, "Give a smaller file.");

/** Why a file could not be opened or written, in words. */
export function openFault(error: unknown, path: string): Fault {
  const code = String((error as { readonly code?: unknown }).code ?? "");
  switch (code) {
    case "ENOENT":
      return fault("no-file", "There is no such file or folder", path, "Check the name.");
    case "EISDIR":
      return fault("is-a-folder", "This is a folder", path, "Name the file in it.");
    case "ENOTDIR":
      return fault("no-file", "A part of this name is a file, not a folder", path, "Check the name.");
    case "EEXIST":
      return fault("file-exists", "There is a file of that name already", path, "Choose another name.");
    case "EACCES":
    case "EPERM":
    case "EROFS":
      return fault("not-allowed", "The system does not allow that", path, "Allow it, or name another place.");
    case "ENOSPC":
    case "EDQUOT":
      return fault("disc-full", "The disc is full", path, "Free some space, then try again.");
    case "ENAMETOOLONG":
      return fault("no-file", "The name is too long", quoted(path), "Choose a shorter name.");
    default:
      if (/^E[A-Z]+$/.test(code)) return fault("disc-error", `The system refused (${code})`, path, "Check the name.");
      throw error;
  }
}
