/** Failures of the disc and of files, as faults. Inside the room they are thrown; its door gives Results. */

import { type Fault, failure, fault, type Result, success } from "../units/index.ts";

/** Carries faults up to the door of the room. */
export class StoreError extends Error {
  readonly faults: readonly Fault[];

  constructor(...faults: readonly Fault[]) {
    super(faults.map((f) => f.what).join("; "));
    this.faults = faults;
  }
}

/** Runs `work`; what the disc or a file did wrong comes back as faults. Programmer mistakes still throw. */
export function guarded<T>(where: string, work: () => T): Result<T> {
  try {
    return success(work());
  } catch (error) {
    return failureOf(error, where);
  }
}

/** The same for work that takes its time. */
export async function guardedLong<T>(where: string, work: () => Promise<T>): Promise<Result<T>> {
  try {
    return success(await work());
  } catch (error) {
    return failureOf(error, where);
  }
}

function failureOf(error: unknown, where: string): Result<never> {
  if (error instanceof StoreError) return failure(...error.faults);
  const known = discFault(error, where);
  if (known !== null) return failure(known);
  throw error;
}

/** SQLite's primary result codes that the world outside can cause (sqlite.org, "Result and Error Codes"). */
const sqlite = {
  perm: 3,
  busy: 5,
  locked: 6,
  readOnly: 8,
  ioError: 10,
  corrupt: 11,
  full: 13,
  cannotOpen: 14,
  notADb: 26,
};

function discFault(error: unknown, where: string): Fault | null {
  const { code, errcode } = error as { readonly code?: unknown; readonly errcode?: unknown };
  if (code === "ERR_SQLITE_ERROR" && typeof errcode === "number") return sqliteFault(errcode & 0xff, where);
  return typeof code === "string" && /^E[A-Z]+$/.test(code) ? fileFault(code, where) : null;
}

function sqliteFault(primary: number, where: string): Fault | null {
  switch (primary) {
    case sqlite.full:
      return discFull(where);
    case sqlite.perm:
    case sqlite.readOnly:
    case sqlite.cannotOpen:
      return notWritable(where);
    case sqlite.busy:
    case sqlite.locked:
      return fault("book-busy", "Another program holds the book's file", where, "Close that program, then try again.");
    case sqlite.corrupt:
    case sqlite.notADb:
      return fault(
        "book-damaged",
        "The file is not a readable book",
        where,
        "Restore a backup, or choose another file.",
      );
    case sqlite.ioError:
      return fault("disc-error", "The disc refused to read or write", where, "Check the disc, then start again.");
    default:
      return null;
  }
}

function fileFault(code: string, where: string): Fault {
  if (code === "ENOSPC" || code === "EDQUOT") return discFull(where);
  if (code === "ENOENT") return fault("no-file", "There is no such file or folder", where, "Check the name.");
  if (code === "EEXIST")
    return fault("file-exists", "There is a file of that name already", where, "Choose another name.");
  if (code === "ENOTDIR" || code === "EISDIR") {
    return fault(
      "not-a-folder",
      "A file stands where a folder should, or the other way round",
      where,
      "Choose another name.",
    );
  }
  if (code === "EACCES" || code === "EPERM" || code === "EROFS") return notWritable(where);
  return fault("disc-error", `The system refused (${code})`, where, "Check the disc and the name, then try again.");
}

const discFull = (where: string): Fault =>
  fault("disc-full", "The disc is full", where, "Free some space, then try again; what was kept before is safe.");

const notWritable = (where: string): Fault =>
  fault(
    "disc-read-only",
    "This place cannot be written or opened",
    where,
    "Allow writing there, or name another folder with --data.",
  );
