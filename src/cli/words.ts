/**
 * The words after a command, read against what the command takes. The lexing is node's own (`parseArgs`, with
 * tokens); the faults are ours, all of them at once, and an unknown option is answered with the nearest known.
 */

import { parseArgs } from "node:util";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { type Command, HELP_OPTION, type OptionShape } from "./command.ts";
import { nearest } from "./nearest.ts";
import { quoted } from "./print.ts";

/** The words of one call, in order. */
export interface Words {
  readonly positionals: readonly string[];
  has(name: string): boolean;
  /** The value of an option, or null where it was not given or has none. */
  value(name: string): string | null;
  values(name: string): readonly string[];
}

/** A value that may be left out is taken from the next word only when that is as short as a light's tag. */
const LONGEST_TAG = 2;

type Token = NonNullable<ReturnType<typeof parseArgs>["tokens"]>[number];
type OptionToken = Extract<Token, { kind: "option" }>;

/** Faults: option-unknown, option-value (missing or not wanted), option-twice, words-few, words-many. */
export function readWords(command: Command, args: readonly string[]): Result<Words> {
  const shapes = new Map([...command.options, HELP_OPTION].map((shape) => [shape.name, shape]));
  const tokens = tokensOf(shapes, args);
  const faults: Fault[] = [];
  const given = new Map<string, (string | null)[]>();
  const taken = new Set<number>();
  for (const token of tokens) {
    if (token.kind !== "option") continue;
    const shape = token.rawName.startsWith("--") ? shapes.get(token.name) : undefined;
    const word = args[token.index] ?? token.rawName;
    if (shape === undefined) {
      // A group of short letters gives one token each; the word is refused once.
      if (!taken.has(token.index)) faults.push(unknownOption(command, word, [...shapes.keys()]));
      taken.add(token.index);
      continue;
    }
    const value = optionValue(shape, token, tokens, taken, faults);
    const before = given.get(shape.name) ?? [];
    if (before.length > 0 && shape.many !== true) faults.push(twice(shape));
    given.set(shape.name, [...before, value]);
  }
  const positionals = tokens.flatMap((token) =>
    token.kind === "positional" && !taken.has(token.index) ? [token.value] : [],
  );
  // After an unknown option nobody knows which words were meant for it, so they are not counted.
  if (!given.has("help") && faults.length === 0) faults.push(...countFaults(command, positionals));
  if (faults.length > 0) return failure(...faults);
  return success({
    positionals,
    has: (name) => given.has(name),
    value: (name) => given.get(name)?.[0] ?? null,
    values: (name) => (given.get(name) ?? []).filter((value) => value !== null),
  });
}

function tokensOf(shapes: ReadonlyMap<string, OptionShape>, args: readonly string[]): readonly Token[] {
  const options = Object.fromEntries(
    [...shapes.values()].map(({ name, takes }) => [name, { type: takes === "value" ? "string" : "boolean" } as const]),
  );
  return parseArgs({ args: [...args], options, strict: false, allowPositionals: true, tokens: true }).tokens;
}

/** The value of an option, noting the following word when it belongs to it. */
function optionValue(
  shape: OptionShape,
  token: OptionToken,
  tokens: readonly Token[],
  taken: Set<number>,
  faults: Fault[],
): string | null {
  if (shape.takes === "nothing") {
    if (token.value === undefined) return null;
    faults.push(fault("option-value", `--${shape.name} takes no value`, `--${shape.name}`, `Write --${shape.name}.`));
    return null;
  }
  if (shape.takes === "value") {
    const { value } = token;
    if (value !== undefined && value !== "" && (token.inlineValue || !value.startsWith("--"))) return value;
    const what = `--${shape.name} needs a value`;
    faults.push(fault("option-value", what, `--${shape.name}`, `Write --${shape.name} ${shape.value ?? "VALUE"}.`));
    return null;
  }
  if (token.value !== undefined) return token.value === "" ? null : token.value;
  const next = tokens.find(({ index }) => index === token.index + 1);
  if (next?.kind !== "positional" || next.value === "-" || next.value.length > LONGEST_TAG) return null;
  taken.add(next.index);
  return next.value;
}

function unknownOption(command: Command, word: string, known: readonly string[]): Fault {
  const name = word.replace(/^-+/, "").replace(/=.*$/, "");
  const close = nearest(name, known);
  const mend =
    close === null
      ? `Type: stopwise ${command.name} --help.`
      : `Did you mean --${close}? Else: stopwise ${command.name} --help.`;
  return fault("option-unknown", `${quoted(word)} is no option of ${command.name}`, "command line", mend);
}

const twice = ({ name }: OptionShape): Fault =>
  fault("option-twice", `--${name} is given twice`, `--${name}`, "Give it once.");

function countFaults({ name, usage, positionals }: Command, given: readonly string[]): readonly Fault[] {
  const { least, most, mend } = positionals;
  const usual = `${mend} Usage: stopwise ${name}${usage === "" ? "" : ` ${usage}`}.`;
  if (given.length < least) return [fault("words-few", `${name} needs more words`, "command line", usual)];
  if (given.length <= most) return [];
  const extra = quoted(given[most] ?? "");
  return [fault("words-many", `${extra} is one word too many`, "command line", usual)];
}
