/**
 * The command line. Finds the command, reads its words, runs it, and prints what it answers: text for people or
 * JSON on standard output, every fault on standard error. Nothing that goes wrong shows a stack trace: what we
 * did not foresee is told as a mistake of ours.
 */

import { readFileSync } from "node:fs";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { type Answer, EXIT } from "./command.ts";
import { COMMANDS, type CommandEntry } from "./commands.ts";
import { helpOf, overview } from "./help.ts";
import { nearest } from "./nearest.ts";
import { faultText, quoted } from "./print.ts";
import { readWords } from "./words.ts";
import { realWorld } from "./world.ts";

// A reader that has seen enough (`| head`) ends the pipe; that is no fault.
for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    process.exit(error.code === "EPIPE" ? EXIT.done : EXIT.ours);
  });
}
process.on("uncaughtException", (error) => {
  tell("", [ourMistake(error)]);
  process.exit(EXIT.ours);
});
process.exitCode = await main(process.argv.slice(2));

async function main(args: readonly string[]): Promise<number> {
  const [first] = args;
  if (first === undefined || first === "help" || first === "--help" || first === "-h") return print(overview(COMMANDS));
  if (first === "--version") return print(version());
  const found = findCommand(args);
  if (!found.ok) return refuse("", found.faults, args);
  const { entry, rest } = found.value;
  try {
    const command = await entry.load();
    const words = readWords(command, rest);
    if (!words.ok) return refuse(entry.name, words.faults, rest);
    if (words.value.has("help")) return print(helpOf(command, entry.summary));
    const answer = await command.run(words.value, realWorld());
    return answer.ok ? show(answer.value, words.value.has("json")) : refuse(entry.name, answer.faults, rest);
  } catch (error) {
    tell(entry.name, [ourMistake(error)]);
    return EXIT.ours;
  }
}

/** The command whose name begins the words: two words for those of the book. */
function findCommand(args: readonly string[]): Result<{ entry: CommandEntry; rest: readonly string[] }> {
  const [first = "", second = ""] = args;
  const two = COMMANDS.find(({ name }) => name === `${first} ${second}`);
  if (two !== undefined) return success({ entry: two, rest: args.slice(2) });
  const one = COMMANDS.find(({ name }) => name === first);
  if (one !== undefined) return success({ entry: one, rest: args.slice(1) });
  const family = COMMANDS.filter(({ name }) => name.startsWith(`${first} `));
  if (family.length > 0) return failure(unknownPart(first, second, family));
  const close = nearest(
    first,
    COMMANDS.map(({ name }) => name.split(" ")[0] as string),
  );
  const mend = close === null ? "Type: stopwise --help." : `Did you mean stopwise ${close}? Else: stopwise --help.`;
  return failure(fault("command-unknown", `${quoted(first)} is no command`, "command line", mend));
}

function unknownPart(first: string, second: string, family: readonly CommandEntry[]): Fault {
  const names = family.map(({ name }) => name.slice(first.length + 1));
  const close = nearest(second, names);
  const what =
    second === "" || second.startsWith("-")
      ? `${first} needs one more word`
      : `${quoted(second)} is no part of ${first}`;
  const mend = `${close === null ? "" : `Did you mean ${first} ${close}? `}Write one of: ${names.join(", ")}.`;
  return fault("command-unknown", what, "command line", mend);
}

function show(answer: Answer, asJson: boolean): number {
  if (answer.aside !== undefined) process.stderr.write(`${answer.aside}\n`);
  if (asJson && answer.json !== undefined) print(JSON.stringify(answer.json, null, 2));
  else if (answer.text !== "") print(answer.text);
  return answer.code ?? EXIT.done;
}

/** Faults go to standard error for people; who asked for JSON finds them on standard output too. */
function refuse(command: string, faults: readonly Fault[], args: readonly string[]): number {
  tell(command, faults);
  if (args.includes("--json")) print(JSON.stringify({ format: "stopwise-faults", version: 1, faults }, null, 2));
  return EXIT.input;
}

function tell(command: string, faults: readonly Fault[]): void {
  process.stderr.write(`${faultText(command, faults)}\n`);
}

function print(text: string): number {
  process.stdout.write(`${text}\n`);
  return EXIT.done;
}

/** What nobody foresaw: said as such, with the error's own first line and nothing more. */
function ourMistake(error: unknown): Fault {
  const said = error instanceof Error ? error.message.split("\n")[0] : String(error);
  const what = `A mistake of ours stopped this: ${said ?? ""}`;
  return fault(
    "our-mistake",
    what,
    "Stopwise",
    "Please report it with the words that you typed. Your book is as it was.",
  );
}

/** From the package beside us: dist/cli and src/cli are equally deep. */
function version(): string {
  const text = readFileSync(new URL("../../package.json", import.meta.url), "utf8");
  return (JSON.parse(text) as { readonly version: string }).version;
}
