/**
 * What the journeys ask of a browser that playwright does not drive: a page to go to, words to run in it, a pointer
 * and keys, and what went wrong. Firefox and WebKit have a driver each; missing programs are said, not failed.
 */

import type { ChildProcess } from "node:child_process";
import { once } from "node:events";

export interface EnginePage {
  /** The browser's own name and version. */
  readonly engine: string;
  go(address: string): Promise<void>;
  reload(): Promise<void>;
  /** Runs a function in the page; arguments and answer cross as JSON. It may use nothing from outside itself. */
  run<A extends readonly unknown[], T>(body: (...given: A) => T | Promise<T>, ...given: A): Promise<T>;
  /** A press of the pointer, in CSS px of the window. */
  press(x: number, y: number): Promise<void>;
  /** Keys one after another, in the codes of W3C WebDriver, section "Keyboard actions". */
  keys(text: string): Promise<void>;
  /** Makes the window's inside that large, CSS px. */
  size(width: number, height: number): Promise<void>;
  /** PNG of what the window shows. */
  picture(): Promise<Uint8Array>;
  /** Errors that the page logged and other machines that it asked, as far as this browser tells. */
  wrong(): Promise<readonly string[]>;
  close(): Promise<void>;
}

export const ENTER = "\uE007";

/** The source of a function for a page, which takes its arguments as one JSON text. */
export function source(body: (...given: never[]) => unknown): string {
  return `async (given) => JSON.stringify((await (${body})(...JSON.parse(given))) ?? null)`;
}

/** One press of the pointer, as the actions of W3C WebDriver, which WebDriver BiDi shares. */
export function pressActions(x: number, y: number): readonly object[] {
  const at = { type: "pointerMove", x: Math.round(x), y: Math.round(y), origin: "viewport" };
  const button = (type: string): object => ({ type, button: 0 });
  const actions = [{ ...at, duration: 0 }, button("pointerDown"), button("pointerUp")];
  return [{ type: "pointer", id: "mouse", parameters: { pointerType: "mouse" }, actions }];
}

/** Each key down and up again. */
export function keyActions(text: string): readonly object[] {
  const actions = [...text].flatMap((value) => [
    { type: "keyDown", value },
    { type: "keyUp", value },
  ]);
  return [{ type: "key", id: "keys", actions }];
}

/** Ends a process that was started here, and waits until it is gone. */
export async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exit = once(child, "exit");
  const late = setTimeout(() => child.kill("SIGKILL"), 5000);
  child.kill();
  await exit;
  clearTimeout(late);
}
