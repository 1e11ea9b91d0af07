/** A setup from what a command was told: a file, "-" for standard input, or the id of one in the book. */

import { existsSync } from "node:fs";
import { parseSetup, type Setup } from "../setup/index.ts";
import { type Fault, failure, fault, type Result } from "../units/index.ts";
import { withBook } from "./book-access.ts";
import { dataDirOf, hasBook } from "./data-dir.ts";
import { inputName, LARGEST_DOCUMENT, readJson, STANDARD_INPUT } from "./input.ts";
import { quoted } from "./print.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

/** What an id may look like (setup/check.ts); a word of another shape can only be a file. */
const ID = /^[A-Za-z0-9_.:-]{1,64}$/;

/** The setup, or every fault of it, each saying in which file. */
export async function readSetup(words: Words, world: World): Promise<Result<Setup>> {
  const word = words.positionals[0] ?? "";
  if (word !== STANDARD_INPUT && !existsSync(word) && ID.test(word) && !/\.json$/i.test(word)) {
    return fromBook(word, words, world);
  }
  const json = await readJson(word, world, LARGEST_DOCUMENT);
  if (!json.ok) return json;
  const setup = parseSetup(json.value);
  return setup.ok ? setup : failure(...setup.faults.map((f) => within(f, inputName(word))));
}

const within = (f: Fault, file: string): Fault => ({ ...f, where: f.where === "" ? file : `${f.where} in ${file}` });

async function fromBook(id: string, words: Words, world: World): Promise<Result<Setup>> {
  const dataDir = dataDirOf(words, world);
  if (!dataDir.ok) return dataDir;
  const read = hasBook(dataDir.value)
    ? await withBook(dataDir.value, world, false, (book) => book.setup(id))
    : failure(
        fault(
          "no-file",
          `${quoted(id)} is neither a file here nor a setup of a book`,
          dataDir.value,
          "Check the name.",
        ),
      );
  return read;
}
