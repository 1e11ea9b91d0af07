/**
 * Every screen against axe-core, all of its rules (WCAG 2.2 A and AA and its best practices), in both themes, at a
 * desk and on a phone.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import type axe from "axe-core";
import type { Browser, Page } from "playwright-core";
import {
  DESK,
  openBrowser,
  openDemo,
  openPage,
  PHONE,
  type Served,
  serve,
  type WatchedPage,
  waitKept,
} from "./harness.ts";
import { cell, tapReading } from "./screen.ts";

interface Stop {
  readonly name: string;
  readonly path: string;
  /** What shows that the screen is there. */
  readonly mark: string;
  /** What is done on it before it is looked at. */
  readonly first?: (page: Page) => Promise<void>;
}

let served: Served;
let browser: Browser;
let desk: WatchedPage;
let phone: WatchedPage;
let source = "";
let id = "";

before(async () => {
  source = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  served = await serve();
  browser = await openBrowser();
  desk = await openPage(browser, DESK);
  phone = await openPage(browser, PHONE);
  id = await openDemo(desk.page, served.address, "Choir headshots");
});

after(async () => {
  await browser?.close();
  await served?.close();
});

const button = (name: string | RegExp) => (page: Page) => page.getByRole("button", { name }).first().click();

const BOTH: readonly Stop[] = [
  { name: "Book", path: "/", mark: ".card h2" },
  { name: "New setup", path: "/new", mark: ".pattern" },
  { name: "Plan", path: "plan", mark: "[aria-label=Ladder]" },
  {
    name: "Plan with its cautions open",
    path: "plan",
    mark: "[aria-label=Ladder]",
    first: async (page) => {
      await button(/cautions/i)(page);
      await page.locator(".caution-item").first().waitFor();
    },
  },
  { name: "Meter", path: "meter", mark: ".keypad" },
  { name: "Meter, together", path: "meter?at=together", mark: ".together-row" },
  { name: "Meter's call-out", path: "meter?call=1", mark: ".call-out[open]" },
  { name: "Frames", path: "frames", mark: ".frame-list" },
  { name: "Sheet", path: "sheet", mark: ".sheet-page svg" },
  { name: "Kit & room", path: "/kit", mark: ".kit-table" },
  { name: "Let a phone in", path: "/devices", mark: ".home-list" },
  { name: "an address where nothing is", path: "/nowhere", mark: ".failed" },
];

const AT_THE_DESK: readonly Stop[] = [
  {
    name: "Why",
    path: "plan",
    mark: "[aria-label=Ladder]",
    first: async (page) => {
      await cell(page, "predicted", 0).getByRole("button").click();
      await page.getByRole("dialog").getByRole("table").waitFor();
    },
  },
  {
    name: "Plan from the side, with a refused entry",
    path: "plan",
    mark: "[aria-label=Ladder]",
    first: async (page) => {
      await button("Side")(page);
      const entry = cell(page, "height", 0).getByRole("textbox");
      await entry.fill("no height");
      await entry.press("Enter");
      await page.getByRole("alert").waitFor();
    },
  },
];

const ON_THE_PHONE: readonly Stop[] = [
  { name: "Plan's room", path: "plan", mark: ".phone-tabs", first: button("Room") },
  { name: "Plan's details", path: "plan", mark: ".phone-tabs", first: button("Details") },
  { name: "Meter in thirds", path: "meter", mark: ".keypad", first: (page) => page.getByRole("switch").click() },
  {
    name: "Why",
    path: "meter",
    mark: ".keypad",
    first: async (page) => {
      await button("Why this number")(page);
      await page.getByRole("dialog").getByRole("table").waitFor();
    },
  },
];

test("at a desk no screen breaks a rule, dark or light", async (t) => {
  for (const stop of [...BOTH, ...AT_THE_DESK]) await t.test(stop.name, () => look(desk.page, stop));
});

test("on a phone no screen breaks a rule, dark or light", async (t) => {
  for (const stop of [...BOTH, ...ON_THE_PHONE]) await t.test(stop.name, () => look(phone.page, stop));
});

test("a light that was just met, and a page without its server, break no rule", async () => {
  const { page } = phone;
  await page.goto(`${served.address}/setup/${id}/meter`);
  if ((await page.getByRole("switch").getAttribute("aria-checked")) === "true") await page.getByRole("switch").click();
  await page.locator(".steps").getByRole("button", { name: "F fill" }).click();
  await tapReading(page, 2);
  await violationsIn(page, "F met");
  await waitKept(page);
  await served.stop("SIGKILL");
  await page.locator('[data-keep="browser"]').waitFor();
  await violationsIn(page, "offline");
});

test("neither page logged an error or asked another machine", () => {
  desk.clean();
  phone.clean();
});

async function look(page: Page, { path, mark, first, name }: Stop): Promise<void> {
  await page.goto(served.address + (path.startsWith("/") ? path : `/setup/${id}/${path}`));
  await page.locator(mark).first().waitFor();
  await first?.(page);
  await violationsIn(page, name);
}

async function violationsIn(page: Page, name: string): Promise<void> {
  await page.evaluate(source);
  for (const theme of ["dark", "light"] as const) {
    const broken = await page.evaluate(async (shown) => {
      document.documentElement.dataset.theme = shown;
      const frame = (): Promise<unknown> => new Promise((resolve) => requestAnimationFrame(resolve));
      await frame();
      await frame();
      // Colours that are still on their way from the other theme have no contrast of their own. Asked frame by frame:
      // in a closed <details> Chromium ends a transition without ever settling its `finished`.
      const late = performance.now() + 3000;
      while (document.getAnimations().some(({ playState }) => playState === "running") && performance.now() < late)
        await frame();
      // The other theme changes colours and nothing else.
      const rules = shown === "dark" ? {} : { runOnly: { type: "rule" as const, values: ["color-contrast"] } };
      const { violations } = await (globalThis as unknown as { axe: typeof axe }).axe.run(document, {
        resultTypes: ["violations"],
        ...rules,
      });
      return violations.map(({ id: rule, help, nodes }) => ({
        rule,
        help,
        where: nodes
          .slice(0, 4)
          .map((n) => `${n.target.join(" ")}: ${n.any[0]?.message ?? n.all[0]?.message ?? n.none[0]?.message ?? ""}`),
      }));
    }, theme);
    assert.deepEqual(broken, [], `${name}, ${theme}`);
  }
}
