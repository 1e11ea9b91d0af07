/**
 * Every command, in the order of the help. A command's own module is loaded when it is called for: a sum should not
 * wait for the server.
 */

import type { Command } from "./command.ts";

export interface CommandEntry {
  readonly name: string;
  readonly summary: string;
  readonly load: () => Promise<Command>;
}

export const COMMANDS: readonly CommandEntry[] = [
  {
    name: "start",
    summary: "serve the page and the book on this machine, and open it",
    load: async () => (await import("./start.ts")).startCommand,
  },
  {
    name: "book list",
    summary: "the setups of the book, newest change first",
    load: async () => (await import("./book.ts")).listCommand,
  },
  {
    name: "book import",
    summary: "add an exported book to this one",
    load: async () => (await import("./book.ts")).importCommand,
  },
  {
    name: "book export",
    summary: "the book as one JSON file, or on standard output",
    load: async () => (await import("./book.ts")).exportCommand,
  },
  {
    name: "book back-up",
    summary: "the whole book with its history, but for test frames' files, as one new file",
    load: async () => (await import("./book.ts")).backUpCommand,
  },
  {
    name: "book restore",
    summary: "put a backup in place of the book",
    load: async () => (await import("./book.ts")).restoreCommand,
  },
  {
    name: "predict",
    summary: "what each light should read, alone and together, and where its dial should stand",
    load: async () => (await import("./predict.ts")).predictCommand,
  },
  {
    name: "check",
    summary: "cautions of a setup: booms, stands, mains, heat, ways out, flashing, reach",
    load: async () => (await import("./check.ts")).checkCommand,
  },
  {
    name: "turn",
    summary: "from one reading to a turn of the dial",
    load: async () => (await import("./turn.ts")).turnCommand,
  },
  {
    name: "sum",
    summary: "several lights together, from each read alone",
    load: async () => (await import("./sum.ts")).sumCommand,
  },
  {
    name: "ratio",
    summary: "stops under and lighting ratios, in both conventions",
    load: async () => (await import("./ratio.ts")).ratioCommand,
  },
  {
    name: "light-file",
    summary: "read a measured light: .ies (LM-63, 1986 to 2019) or .ldt (EULUMDAT)",
    load: async () => (await import("./light-file.ts")).lightFileCommand,
  },
  {
    name: "sheet",
    summary: "the sheet that lets somebody rebuild the setup, as PDF or SVG",
    load: async () => (await import("./sheet.ts")).sheetCommand,
  },
  {
    name: "render",
    summary: "the picture that the lights make, together or one alone, as PNG and as float layers",
    load: async () => (await import("./render.ts")).renderCommand,
  },
  {
    name: "frames",
    summary: "photographs shot one light at a time: which is which, and do they add up",
    load: async () => (await import("./frames.ts")).framesCommand,
  },
];
