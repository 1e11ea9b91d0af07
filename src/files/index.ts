/** The door of the files room that any place may use, a page too; `node.ts` is the door for machines. */

export { type FileHeader, type FileKind, isFrameName, readHeader } from "./header.ts";
export { readProfile } from "./icc.ts";
export { LARGEST_FILE, LONGEST_SIDE, MOST_PIXELS } from "./limits.ts";
export { readPnmHeader, readPnmSamples } from "./pnm.ts";
export { readProxy, type StoredProxy, writeProxy } from "./proxy-file.ts";
