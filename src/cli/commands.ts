/** Every command, in the order of the help. */

import { bookCommands } from "./book.ts";
import { checkCommand } from "./check.ts";
import type { Command } from "./command.ts";
import { lightFileCommand } from "./light-file.ts";
import { predictCommand } from "./predict.ts";
import { ratioCommand } from "./ratio.ts";
import { sheetCommand } from "./sheet.ts";
import { startCommand } from "./start.ts";
import { sumCommand } from "./sum.ts";
import { turnCommand } from "./turn.ts";

export const COMMANDS: readonly Command[] = [
  startCommand,
  ...bookCommands,
  predictCommand,
  checkCommand,
  turnCommand,
  sumCommand,
  ratioCommand,
  lightFileCommand,
  sheetCommand,
];
