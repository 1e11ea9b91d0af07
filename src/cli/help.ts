/** Help: the list of commands, and the words of one. */

import { type Command, HELP_OPTION, type OptionShape } from "./command.ts";
import type { CommandEntry } from "./commands.ts";
import { columns } from "./print.ts";

/** What `stopwise` alone says. */
export function overview(commands: readonly CommandEntry[]): string {
  return [
    "Stopwise plans, meters and records studio lighting, in stops.",
    "",
    columns(commands.map(({ name, summary }) => [`  stopwise ${name}`, summary])),
    "",
    "stopwise COMMAND --help says more. --json answers as data. Exit codes: 0 done, 1 a mistake of ours,",
    "2 bad input or a place that cannot be read or written, 3 check found cautions to look at.",
  ].join("\n");
}

export function helpOf(command: Command, summary: string): string {
  const usage = ["Usage: stopwise", command.name, command.usage, "[options]"].filter((piece) => piece !== "").join(" ");
  return [
    `stopwise ${command.name}: ${summary}`,
    usage,
    "",
    columns([...command.options, HELP_OPTION].map((option) => [`  ${optionWords(option)}`, option.help])),
    ...(command.notes.length > 0 ? ["", ...command.notes] : []),
  ].join("\n");
}

function optionWords({ name, takes, value }: OptionShape): string {
  if (takes === "nothing") return `--${name}`;
  return takes === "value" ? `--${name} ${value ?? "VALUE"}` : `--${name} [${value ?? "VALUE"}]`;
}
