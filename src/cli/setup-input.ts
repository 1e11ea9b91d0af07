/** A setup from what a command was told: a file, "-" for standard input, or the id of one in the book. */

import { existsSync } from "node:fs";
import { type Kit, parseSetup, type Setup } from "../setup/index.ts";
import type { FrameCard } from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { withBook } from "./book-access.ts";
import { dataDirOf, hasBook } from "./data-dir.ts";
import { inputName, readJson, STANDARD_INPUT } from "./input.ts";
import { quoted } from "./print.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export interface SetupInput {
  readonly setup: Setup;
  /** The book's kit, for a setup that came from the book. */
  readonly kit: Kit | null;
  /** Its test frames, for a setup that came from the book. */
  readonly frames: readonly FrameCard[] | null;
}

/** What an id may look like; a word of another shape can only be a file. */
const ID = /^[A-Za-z0-9_.:-]{1,64}$/;
/** As large as the server takes a setup. */
const LARGEST_SETUP = 8 * 1024 * 1024;

/** The setup that the command's first word names, or every fault of it, each saying in which file. */
export const readSetup = (words: Words, world: World): Promise<Result<SetupInput>> =>
  readSetupNamed(words.positionals[0] ?? "", words, world);

/** The same for any word. */
export async function readSetupNamed(word: string, words: Words, world: World): Promise<Result<SetupInput>> {
  if (word !== STANDARD_INPUT && ID.test(word) && !/\.json$/i.test(word) && !existsSync(word)) {
    return fromBook(word, words, world);
  }
  const json = await readJson(word, world, LARGEST_SETUP);
  if (!json.ok) return json;
  const setup = parseSetup(json.value);
  if (setup.ok) return success({ setup: setup.value, kit: null, frames: null });
  return failure(...setup.faults.map((f) => within(f, inputName(word))));
}

const within = (f: Fault, file: string): Fault => ({ ...f, where: f.where === "" ? file : `${f.where} in ${file}` });

async function fromBook(id: string, words: Words, world: World): Promise<Result<SetupInput>> {
  const dataDir = dataDirOf(words, world);
  if (!dataDir.ok) return dataDir;
  if (!hasBook(dataDir.value)) {
    const what = `${quoted(id)} is neither a file here nor a setup of a book`;
    return failure(fault("no-file", what, dataDir.value, "Check the name, or name the book's folder with --data."));
  }
  return withBook(dataDir.value, world, false, async (book) => {
    const setup = await book.setup(id);
    if (!setup.ok) return setup;
    const kit = await book.kit();
    const frames = await book.frames(id);
    return success({
      ...{ setup: setup.value, kit: kit.ok ? kit.value : null },
      frames: frames.ok ? frames.value : null,
    });
  });
}
