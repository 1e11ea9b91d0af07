/**
 * A folder of test frames, read: every picture in it decoded to a linear proxy, in the order a person counts their
 * names. What cannot be read is a fault of its own and stops nothing else.
 */

import { readdirSync } from "node:fs";
import { join } from "node:path";
import { isFrameName } from "../files/index.ts";
import type { CodeMeaning, Decoder, LookAnswer } from "../files/node.ts";
import { byNumbers, type ToneCurve } from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { openFault } from "./input.ts";
import { quoted } from "./print.ts";
import type { World } from "./world.ts";

/** Longer side of the proxies, pixels, and the room that all of them together may take. */
const LONGEST = 800;
const SHORTEST = 240;
const MOST_BYTES = 300e6;
/** Three floats and a mark. */
const BYTES_PER_PIXEL = 13;
/** More in one folder are several sessions. */
const MOST_FRAMES = 1000;

export interface ReadFolder {
  readonly looks: readonly LookAnswer[];
  readonly faults: readonly Fault[];
}

/** Names of the pictures in a folder. Faults: no folder, none in it, too many. */
export function frameNames(folder: string): Result<readonly string[]> {
  if (folder.includes("\0")) return failure(fault("no-file", "No folder has such a name", quoted(folder), "Check it."));
  try {
    const entries = readdirSync(folder, { withFileTypes: true });
    const names = entries.filter((entry) => entry.isFile() && isFrameName(entry.name) && !entry.name.startsWith("."));
    if (names.length === 0) {
      const mend = "Name the folder that holds the JPEG, PNG, TIFF, PPM, DNG or raw files.";
      return failure(fault("no-frames", "There are no pictures in this folder", folder, mend));
    }
    if (names.length > MOST_FRAMES) {
      const what = `There are ${names.length} pictures in this folder; at most ${MOST_FRAMES} are looked at`;
      return failure(fault("frames-many", what, folder, "Put one session into a folder of its own."));
    }
    return success(names.map(({ name }) => name).sort(byNumbers));
  } catch (error) {
    const code = (error as { readonly code?: unknown }).code;
    if (code === "ENOTDIR")
      return failure(fault("no-folder", "This is no folder", folder, "Name the folder of the frames."));
    return failure(openFault(error, folder));
  }
}

export interface ReadOptions {
  readonly meaning: CodeMeaning;
  readonly response: ToneCurve | null;
}

/** All of them, as far as they can be read. */
export async function readFrames(
  folder: string,
  names: readonly string[],
  decoder: Decoder,
  world: World,
  { meaning, response }: ReadOptions,
): Promise<ReadFolder> {
  const longest = sideFor(names.length);
  let done = 0;
  const results = await Promise.all(
    names.map(async (name) => {
      const look = await decoder.look(join(folder, name), name, { longest, meaning, response });
      done += 1;
      if (names.length > 8 && done % Math.ceil(names.length / 8) === 0) {
        world.progress(`read ${done} of ${names.length}`);
      }
      return look;
    }),
  );
  if (names.length > 8) world.progress(null);
  return {
    looks: results.flatMap((look) => (look.ok ? [look.value] : [])),
    faults: results.flatMap((look) => (look.ok ? [] : look.faults)),
  };
}

/** So that all proxies of a folder fit into memory together. */
const sideFor = (count: number): number =>
  Math.round(Math.min(LONGEST, Math.max(SHORTEST, Math.sqrt(MOST_BYTES / (count * BYTES_PER_PIXEL)))));
