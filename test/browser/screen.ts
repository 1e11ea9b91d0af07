/** What a person reads off the screen, as values: readings, dials, the setup as the server keeps it. */

import type { Locator, Page } from "playwright-core";
import { parseSetup, type Setup } from "../../src/setup/index.ts";
import { type DialScale, expectOk, parseDial, parseReading } from "../../src/units/index.ts";

/** The words as they are laid out: what stands on lines of its own stays apart. */
export const words = (at: Locator): Promise<string> =>
  // biome-ignore lint/performance/useDomNodeTextContent: the layout is what is asked for
  at.innerText();

/** The Av of the reading that is shown there, to the step it is shown in; null where there is none. */
export async function shownAv(at: Locator): Promise<number | null> {
  const [mark, raised] = await at
    .locator("[aria-hidden]")
    .first()
    .evaluate((shown) => {
      const part = (tag: string): string => shown.querySelector(tag)?.textContent ?? "";
      const rest = [...shown.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE);
      return [rest.map((node) => node.textContent).join(""), part("sup")];
    });
  if (mark === undefined || mark === "" || mark.includes("–")) return null;
  const text =
    raised === undefined || raised === "" ? mark : raised.includes("/") ? `${mark}+${raised}` : `${mark}^${raised}`;
  return expectOk(parseReading(text)).av;
}

/** A cell of the desk's table of lights: the row by its name, the column by the light's place from the left. */
export function cell(page: Page, row: string, index: number): Locator {
  return page
    .getByRole("table", { name: "Lights" })
    .locator(".strip-row")
    .filter({ hasText: new RegExp(`^${row}`) })
    .locator(".strip-cell")
    .nth(index);
}

/** Where the screen says the dial is to stand: "dial −4.5 → −4.2" is −4.2. */
export function dialTold(said: string, scale: DialScale): number {
  const told = /dial\s+(?:\S+\s*→\s*)?([^\s,:.]+(?:\.\d)?)/i.exec(said)?.[1];
  if (told === undefined) throw new Error(`no dial in "${said}"`);
  return expectOk(parseDial(told, scale));
}

/** The setup as the machine has it on disc. */
export async function keptSetup(address: string, id: string): Promise<Setup> {
  const response = await fetch(`${address}/api/setups/${id}`);
  if (!response.ok) throw new Error(`the server answered ${response.status}`);
  return expectOk(parseSetup(await response.json()));
}

/** The setup on disc as soon as it is as wanted; fails when it is not within `withinMs`. */
export async function keptWhen(
  address: string,
  id: string,
  holds: (setup: Setup) => boolean,
  withinMs = 5000,
): Promise<Setup> {
  const until = Date.now() + withinMs;
  for (;;) {
    const setup = await keptSetup(address, id);
    if (holds(setup)) return setup;
    if (Date.now() > until) throw new Error("the machine never had that edit");
    await new Promise((resolve) => setTimeout(resolve, 30));
  }
}

/** Two taps on Meter's keys: the stop, then the tenth. */
export async function tapReading(
  page: Page,
  av: number,
  press: (at: Locator) => Promise<void> = (at) => at.click(),
): Promise<void> {
  const tenths = Math.round(av * 10);
  const mark = STOP_KEYS[Math.floor(tenths / 10)];
  if (mark === undefined) throw new Error(`the keys have no stop for Av ${av}`);
  const keys = page.getByRole("region", { name: "The meter says" });
  await press(keys.getByRole("button", { name: `f ${mark}`, exact: true }));
  await press(keys.getByRole("button", { name: `${tenths % 10} tenths`, exact: true }));
}

export const STOP_KEYS: readonly string[] = ["1.0", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32"];

export async function setTheme(page: Page, theme: "dark" | "light"): Promise<void> {
  const now = await page.evaluate(() => document.documentElement.dataset.theme);
  if (now === theme) return;
  const kept = await page.evaluate(() => localStorage.getItem("stopwise.preferences"));
  const preferences = { ...(kept === null ? {} : (JSON.parse(kept) as object)), theme };
  await page.evaluate((text) => localStorage.setItem("stopwise.preferences", text), JSON.stringify(preferences));
  await page.reload();
}
