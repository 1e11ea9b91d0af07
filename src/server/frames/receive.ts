/** A file's bytes to the disc piece by piece, hashed on the way, no more than are taken in. */

import { createHash } from "node:crypto";
import { createWriteStream } from "node:fs";
import { open, rm } from "node:fs/promises";
import { type Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import { LARGEST_FILE } from "../../files/index.ts";
import { failure, fault, type Result, success } from "../../units/index.ts";

export interface Received {
  readonly sha256: string;
  readonly bytes: number;
}

/** Whole and flushed at `path` when it succeeds; nothing is left there when not. Throws what the system throws. */
export async function receive(body: Readable, path: string, name: string): Promise<Result<Received>> {
  const hash = createHash("sha256");
  let bytes = 0;
  const counted = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      bytes += chunk.length;
      if (bytes > LARGEST_FILE) return done(new TooLarge());
      hash.update(chunk);
      return done(null, chunk);
    },
  });
  try {
    await pipeline(body, counted, createWriteStream(path, { flags: "wx" }));
    const handle = await open(path, "r+");
    await handle.sync().finally(() => handle.close());
    return success({ sha256: hash.digest("hex"), bytes });
  } catch (error) {
    await rm(path, { force: true });
    if (error instanceof TooLarge) return failure(tooLarge(name));
    throw error;
  }
}

class TooLarge extends Error {}

export const tooLarge = (name: string): ReturnType<typeof fault> =>
  fault("too-big", `The file has more than ${LARGEST_FILE / 1024 / 1024} MB`, name, "Give a smaller file.");
