/** What a command may touch of the machine, handed to it so that the rest of the room asks nobody else. */

import { randomUUID } from "node:crypto";
import { totalmem } from "node:os";

export interface World {
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly platform: NodeJS.Platform;
  readonly now: () => Date;
  readonly newId: () => string;
  /** Standard input, which is read only when a command is told "-". */
  readonly input: AsyncIterable<Uint8Array>;
  /** Ends when somebody asks the program to stop. */
  readonly stopAsked: () => Promise<void>;
  /** One line for standard output at once, for a command that goes on after it. */
  readonly say: (line: string) => void;
  /** How far a long job is, on standard error: on a terminal each line replaces the one before, null ends the last. */
  readonly progress: (line: string | null) => void;
  /** What this machine has, bytes. */
  readonly memoryBytes: number;
}

/** The world as it is. */
export function realWorld(): World {
  return {
    env: process.env,
    platform: process.platform,
    now: () => new Date(),
    newId: randomUUID,
    input: process.stdin,
    stopAsked: () =>
      new Promise((resolve) => {
        // Ctrl-C reaches us twice, from the terminal and from the launcher: the second must not cut the closing off.
        for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => resolve());
      }),
    say: (line) => process.stdout.write(`${line}\n`),
    progress: (line) => {
      if (!process.stderr.isTTY) process.stderr.write(line === null ? "" : `${line}\n`);
      else process.stderr.write(line === null ? "\n" : `\r\u001b[K${line}`);
    },
    memoryBytes: totalmem(),
  };
}
