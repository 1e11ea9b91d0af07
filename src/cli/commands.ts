/** Every command, in the order of the help. */

import type { Command } from "./command.ts";
import { lightFileCommand } from "./light-file.ts";
import { ratioCommand } from "./ratio.ts";
import { sumCommand } from "./sum.ts";
import { turnCommand } from "./turn.ts";

export const COMMANDS: readonly Command[] = [turnCommand, sumCommand, ratioCommand, lightFileCommand];
