/** What a command is: its name and words for people, the options it takes, and what it answers. */

import type { Result } from "../units/index.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

/** One option, as it is typed and as its help says it. */
export interface OptionShape {
  /** Without the two dashes. */
  readonly name: string;
  /** What stands after it: nothing, a value, or a value that may be left out. */
  readonly takes: "nothing" | "value" | "maybe";
  /** How the help names the value. */
  readonly value?: string;
  readonly help: string;
  /** May be given more than once. */
  readonly many?: boolean;
}

/** Exit codes; docs/commands.md says what each means. */
export const EXIT = { done: 0, ours: 1, input: 2, cautions: 3 } as const;

/** What a command answers: text for people and the same as data. */
export interface Answer {
  /** Ends without a line feed. */
  readonly text: string;
  /** The documented JSON of `--json`; undefined where a command has none. */
  readonly json?: unknown;
  readonly code?: number;
  /** Words for standard error that are no faults, such as where a file went. */
  readonly aside?: string;
}

export interface Command {
  /** "turn", "book import". */
  readonly name: string;
  /** The words after the name, as the help shows them: "READING". */
  readonly usage: string;
  readonly positionals: { readonly least: number; readonly most: number; readonly mend: string };
  readonly options: readonly OptionShape[];
  /** Further lines of help: how it is used, what it means. */
  readonly notes: readonly string[];
  readonly run: (words: Words, world: World) => Promise<Result<Answer>> | Result<Answer>;
}

export const JSON_OPTION: OptionShape = {
  name: "json",
  takes: "nothing",
  help: "answer as JSON (docs/json.md)",
};

export const HELP_OPTION: OptionShape = { name: "help", takes: "nothing", help: "these words" };

export const DATA_OPTION: OptionShape = {
  name: "data",
  takes: "value",
  value: "DIR",
  help: "the folder of the book; else STOPWISE_DATA, else the usual place",
};
