/** `book list`, `import`, `export`, `back-up`, `restore`: the book as a whole, through the running server if one is. */

import { closeSync, openSync, readSync } from "node:fs";
import type { Role } from "../setup/index.ts";
import { type BookCard, type CardFilter, parseBook } from "../store/index.ts";
import { type Fault, failure, fault, iso, printIso, type Result, success } from "../units/index.ts";
import { type Book, withBook } from "./book-access.ts";
import { type Answer, type Command, DATA_OPTION, JSON_OPTION } from "./command.ts";
import { dataDirOf } from "./data-dir.ts";
import { readingText, readNumber, readWhole } from "./figures.ts";
import { openFault, readJson, STANDARD_INPUT } from "./input.ts";
import { checkNewFile, writeNewFile } from "./output.ts";
import { columns, quoted, safe } from "./print.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

const NO_WORDS = { least: 0, most: 0, mend: "No word belongs here." } as const;
const ROLES: readonly Role[] = ["main", "fill", "edge", "hair", "background", "card"];
/** An exported book may be larger than a setup. */
const LARGEST_BOOK = 256 * 1024 * 1024;

export const listCommand: Command = {
  name: "book list",
  usage: "",
  positionals: NO_WORDS,
  options: [
    { name: "text", takes: "value", value: "WORDS", help: "words in title, notes, tags, roles or kit" },
    { name: "lights", takes: "value", value: "N", help: "so many lights" },
    { name: "main-to-fill", takes: "value", value: "STOPS", help: "the fill so many stops under the main" },
    { name: "role", takes: "value", value: "ROLE", help: `has such a light: ${ROLES.join(", ")}`, many: true },
    { name: "tag", takes: "value", value: "TAG", help: "carries this tag" },
    { name: "medium", takes: "value", value: "MEDIUM", help: "flash or continuous" },
    { name: "kit-here", takes: "nothing", help: "the book's kit can build it" },
    { name: "fits-here", takes: "nothing", help: "it fits the kit's room" },
    { name: "met", takes: "nothing", help: "every light's newest reading is within its tolerance" },
    { name: "trash", takes: "nothing", help: "those in the trash instead" },
    DATA_OPTION,
    JSON_OPTION,
  ],
  notes: ["Example: stopwise book list --lights 3 --main-to-fill 2 --kit-here --fits-here"],
  run: (words, world) => list(words, world),
};

export const importCommand: Command = {
  name: "book import",
  usage: "FILE",
  positionals: { least: 1, most: 1, mend: "Name the file that an export wrote, or - for standard input." },
  options: [DATA_OPTION, JSON_OPTION],
  notes: [
    "A setup that is here word for word is skipped; one whose id is taken comes in under a new id; kit items that are",
    "not here are added. Any fault, and nothing is written.",
  ],
  run: (words, world) => importBook(words, world),
};

export const exportCommand: Command = {
  name: "book export",
  usage: "[FILE]",
  positionals: { least: 0, most: 1, mend: "Name one new file." },
  options: [DATA_OPTION],
  notes: ["What lies in the trash is left out. A file that is there is never written over."],
  run: (words, world) => exportBook(words, world),
};

export const backUpCommand: Command = {
  name: "book back-up",
  usage: "FILE",
  positionals: { least: 1, most: 1, mend: "Name one new file." },
  options: [DATA_OPTION],
  notes: ["Works while Stopwise runs. A file that is there is never written over."],
  run: (words, world) => backUp(words, world),
};

export const restoreCommand: Command = {
  name: "book restore",
  usage: "FILE",
  positionals: { least: 1, most: 1, mend: "Name the file that back-up wrote." },
  options: [DATA_OPTION, JSON_OPTION],
  notes: [
    "The book that was here stays beside it in the data folder. Pages that are open are offered to keep their edits",
    "as a copy; they do not write into the restored book.",
  ],
  run: (words, world) => restore(words, world),
};

async function inBook<T>(
  words: Words,
  world: World,
  begin: boolean,
  work: (book: Book) => Promise<Result<T>>,
): Promise<Result<T>> {
  const dataDir = dataDirOf(words, world);
  return dataDir.ok ? withBook(dataDir.value, world, begin, work) : dataDir;
}

async function list(words: Words, world: World): Promise<Result<Answer>> {
  const filter = readFilter(words);
  if (!filter.ok) return filter;
  const cards = await inBook(words, world, false, (book) => book.cards(filter.value));
  if (!cards.ok) return cards;
  const rows = cards.value.map(cardRow);
  const head = ["id", "title", "exposure", "lights", "main to fill", "metered", "changed"];
  return success({
    text: rows.length === 0 ? "No setup is like that." : columns([head, ...rows]),
    json: { format: "stopwise-cards", version: 1, cards: cards.value },
  });
}

function cardRow(card: BookCard): readonly string[] {
  const toFill = card.mainToFillStops;
  return [
    safe(card.id),
    safe(card.title) + (card.invented ? " (invented)" : ""),
    `${readingText(card.apertureAv)} ISO ${printIso(iso(card.iso))}${card.medium === "continuous" ? " continuous" : ""}`,
    card.lights.map(({ tag }) => safe(tag)).join(" "),
    toFill === null ? "" : `${Math.abs(toFill).toFixed(1)} ${toFill < 0 ? "over" : "under"}`,
    card.lastMeteredAt === null ? "" : card.met ? "met" : "not met",
    safe(card.changedAt).slice(0, 10),
  ];
}

function readFilter(words: Words): Result<CardFilter> {
  const faults: Fault[] = [];
  const take = <T>(name: string, read: (text: string) => Result<T>): T | undefined => {
    const text = words.value(name);
    if (text === null) return undefined;
    const result = read(text);
    if (result.ok) return result.value;
    faults.push(...result.faults);
    return undefined;
  };
  const roles = words.values("role").flatMap((word) => {
    const role = ROLES.find((name) => name === word);
    if (role === undefined) faults.push(oneOf("--role", word, ROLES));
    return role === undefined ? [] : [role];
  });
  const medium = take(
    "medium",
    (word): Result<"flash" | "continuous"> =>
      word === "flash" || word === "continuous"
        ? success(word)
        : failure(oneOf("--medium", word, ["flash", "continuous"])),
  );
  const lights = take("lights", (text) => readWhole(text, "--lights", 0, 64));
  const mainToFill = take("main-to-fill", (text) => readNumber(text, "--main-to-fill", -30, 30));
  const text = words.value("text");
  const tag = words.value("tag");
  if (faults.length > 0) return failure(...faults);
  return success({
    ...(text === null ? {} : { text }),
    ...(tag === null ? {} : { tag }),
    ...(lights === undefined ? {} : { lights }),
    ...(mainToFill === undefined ? {} : { mainToFill }),
    ...(medium === undefined ? {} : { medium }),
    ...(roles.length === 0 ? {} : { roles }),
    ...(words.has("kit-here") ? { kitHere: true } : {}),
    ...(words.has("fits-here") ? { fitsHere: true } : {}),
    ...(words.has("met") ? { met: true } : {}),
    ...(words.has("trash") ? { trashed: true } : {}),
  });
}

const oneOf = (where: string, word: string, names: readonly string[]): Fault =>
  fault("not-a-choice", `${quoted(word)} is none of them`, where, `Write one of: ${names.join(", ")}.`);

async function importBook(words: Words, world: World): Promise<Result<Answer>> {
  const json = await readJson(words.positionals[0] ?? "", world, LARGEST_BOOK);
  if (!json.ok) return json;
  // Read in full before a book is opened, so that a bad file begins none.
  const file = parseBook(json.value);
  if (!file.ok) return file;
  const brought = await inBook(words, world, true, (book) => book.imported(file.value));
  if (!brought.ok) return brought;
  const { setups, same, kitItems, ids } = brought.value;
  return success({
    text: `${count(setups, "setup")} added, ${same} here already, ${count(kitItems, "kit item")} added.`,
    json: { format: "stopwise-import", version: 1, setups, same, kitItems, ids },
  });
}

const count = (n: number, thing: string): string => `${n} ${thing}${n === 1 ? "" : "s"}`;

async function exportBook(words: Words, world: World): Promise<Result<Answer>> {
  const path = words.positionals[0] ?? STANDARD_INPUT;
  if (path !== STANDARD_INPUT) {
    const free = checkNewFile(path);
    if (!free.ok) return free;
  }
  const book = await inBook(words, world, false, (opened) => opened.exported());
  if (!book.ok) return book;
  const text = JSON.stringify(book.value, null, 2);
  if (path === STANDARD_INPUT) return success({ text });
  const written = writeNewFile(path, `${text}\n`);
  return written.ok
    ? success({ text: `${count(book.value.setups.length, "setup")} written to ${safe(path)}.` })
    : written;
}

async function backUp(words: Words, world: World): Promise<Result<Answer>> {
  const path = words.positionals[0] ?? "";
  const free = checkNewFile(path);
  if (!free.ok) return free;
  const done = await inBook(words, world, false, (book) => book.backUp(free.value));
  return done.ok ? success({ text: `Backed up to ${safe(path)}.` }) : done;
}

async function restore(words: Words, world: World): Promise<Result<Answer>> {
  const path = words.positionals[0] ?? "";
  const isBook = looksLikeBackup(path);
  if (!isBook.ok) return isBook;
  const info = await inBook(words, world, true, (book) => book.restored(path));
  if (!info.ok) return info;
  const { id, generation, counts } = info.value;
  return success({
    text: `Restored from ${safe(path)}: ${count(counts.setups, "setup")}, ${counts.trashed} in the trash.`,
    json: { format: "stopwise-restore", version: 1, id, generation, counts },
  });
}

/** The first bytes of every SQLite 3 file (sqlite.org, "Database File Format", 1.3). */
const MAGIC = "SQLite format 3\0";

/** Looked at before a book is opened, so that a wrong file begins none and moves none aside. */
function looksLikeBackup(path: string): Result<void> {
  const notOne = fault("not-a-book", "This is no backup", path, "Choose the file that back-up wrote.");
  if (path.includes("\0")) return failure(fault("no-file", "No file has such a name", "the backup", "Check the name."));
  try {
    const handle = openSync(path, "r");
    try {
      const head = Buffer.alloc(MAGIC.length);
      readSync(handle, head, 0, head.length, 0);
      return head.toString("latin1") === MAGIC ? success(undefined) : failure(notOne);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    return failure(openFault(error, path));
  }
}
