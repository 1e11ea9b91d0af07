/**
 * Every screen by keyboard alone: Tab reaches everything that a pointer could use, each with a focus that is
 * seen, and the work itself (choose, nudge, type, meter, open a Why, undo) needs no pointer.
 */

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { DESK, openBrowser, openPage, type Served, serve, type WatchedPage, waitKept } from "./harness.ts";
import { cell, keptSetup, shownAv, words } from "./screen.ts";

let served: Served;
let browser: Browser;
let watched: WatchedPage;
let page: Page;
let id = "";

before(async () => {
  served = await serve();
  browser = await openBrowser();
  watched = await openPage(browser, DESK);
  page = watched.page;
});

after(async () => {
  await browser?.close();
  await served?.close();
});

test("from the Book, Tab and Enter lead to a setup", async () => {
  await page.goto(served.address);
  await page.locator(".card h2").first().waitFor();
  await tabTo(/^.*Choir headshots/, "A");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/setup\/[^/]+\/plan/);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  id = /\/setup\/([^/]+)\//.exec(page.url())?.[1] ?? "";
  await waitKept(page);
});

test("on every screen Tab reaches every control, in a ring that is seen, and comes round", async (t) => {
  const screens = [
    ["Book", "/", ".card h2"],
    ["New setup", "/new", ".pattern"],
    ["Plan", `/setup/${id}/plan`, "[aria-label=Ladder]"],
    ["Meter", `/setup/${id}/meter`, ".keypad"],
    ["Meter, together", `/setup/${id}/meter?at=together`, ".together-row"],
    ["Frames", `/setup/${id}/frames`, ".frame-list"],
    ["Sheet", `/setup/${id}/sheet`, ".sheet-page svg"],
    ["Kit & room", "/kit", ".kit-table"],
  ] as const;
  for (const [name, path, mark] of screens) {
    await t.test(name, async () => {
      await page.goto(served.address + path);
      await page.locator(mark).first().waitFor();
      await tabsThrough();
    });
  }
});

test("Plan: a light is chosen, nudged on the plan with the arrows, by degrees with Alt, and Ctrl Z takes each back", async () => {
  await page.goto(`${served.address}/setup/${id}/plan`);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await tabTo(/^Choose F fill$/, "BUTTON");
  await page.keyboard.press("Enter");
  assert.equal(await page.getByRole("button", { name: "Choose F fill" }).getAttribute("aria-pressed"), "true");
  await tabTo(/^Room to scale/, "DIV");
  const before = await placeOf("F");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  await waitKept(page);
  const nearer = await placeOf("F");
  assert.ok(Math.abs(cartesianZ(nearer) - cartesianZ(before) - 0.02) < 1e-6, "two presses are 2 cm toward the camera");
  await page.keyboard.press("Alt+ArrowRight");
  await waitKept(page);
  const turned = await placeOf("F");
  assert.ok(Math.abs(turned.azimuthDeg - nearer.azimuthDeg - 1) < 1e-6, "Alt is a degree round the sitter");
  for (let press = 0; press < 3; press += 1) await page.keyboard.press("Control+z");
  await waitKept(page);
  const back = await placeOf("F");
  assert.ok(Math.abs(cartesianZ(back) - cartesianZ(before)) < 1e-9 && back.azimuthDeg === before.azimuthDeg);
  await page.keyboard.press("Control+Shift+z");
  await waitKept(page);
  assert.ok(Math.abs(cartesianZ(await placeOf("F")) - cartesianZ(before) - 0.01) < 1e-6, "Redo is Ctrl Shift Z");
  await page.keyboard.press("Control+z");
});

test("Plan: a distance is typed, stepped with the arrows, and left with Escape", async () => {
  await tabTo(/^M distance$/, "INPUT");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("4 ft 3 in");
  await page.keyboard.press("Enter");
  const entry = cell(page, "distance", 0).getByRole("textbox");
  assert.equal(await entry.inputValue(), "1.30 m");
  await page.keyboard.press("ArrowUp");
  assert.equal(await entry.inputValue(), "1.31 m");
  await page.keyboard.press("Control+a");
  await page.keyboard.type("9");
  await page.keyboard.press("Escape");
  assert.equal(await entry.inputValue(), "1.31 m");
  assert.equal(await focused(), "M distance");
});

test("Plan: Why opens with Enter, holds the focus, closes with Escape, and the focus is back where it was", async () => {
  await tabTo(/^Why: E predicted/, "BUTTON");
  await page.keyboard.press("Enter");
  const why = page.getByRole("dialog");
  await why.getByRole("table").waitFor();
  for (let press = 0; press < 30; press += 1) {
    await page.keyboard.press("Tab");
    const outside = await page.evaluate(() => {
      const at = document.activeElement;
      return at !== null && at !== document.body && at.closest("dialog") === null;
    });
    assert.equal(outside, false, "Tab does not leave the open Why");
  }
  await tabTo(/^\S/, "BUTTON");
  await page.keyboard.press("Escape");
  await why.waitFor({ state: "detached" });
  assert.match(await focused(), /^Why: E predicted/);
});

test("Plan: the cautions open and close, and keep the focus near", async () => {
  await tabTo(/cautions$/i, "BUTTON");
  await page.keyboard.press("Enter");
  await page.locator(".caution-item").first().waitFor();
  assert.equal(await focused(), "Close");
  await page.keyboard.press("Enter");
  await page.locator(".caution-item").first().waitFor({ state: "detached" });
  assert.match(await focused(), /cautions$/i);
});

test("Meter: a reading is entered with Tab and Enter, and taken back with Undo", async () => {
  await page.goto(`${served.address}/setup/${id}/meter`);
  await page.locator(".keypad").waitFor();
  await tabTo(/^Ffill, /, "BUTTON");
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: /^F fill/ }).waitFor();
  const was = await shownAv(page.locator(".big-reading"));
  await tabTo(/^f 2$/, "BUTTON");
  await page.keyboard.press("Enter");
  await tabTo(/^4 tenths$/, "BUTTON");
  await page.keyboard.press(" ");
  assert.equal(await shownAv(page.locator(".big-reading")), 2.4);
  assert.match(await words(page.locator(".turn-card")), /turn down 0\.4/);
  await tabTo(/^Call it out$/, "BUTTON");
  await page.keyboard.press("Enter");
  await page.getByRole("dialog").waitFor();
  await page.keyboard.press("Escape");
  await page.getByRole("dialog").waitFor({ state: "detached" });
  assert.equal(await focused(), "Call it out");
  await tabTo(/^Undo$/, "BUTTON");
  await page.keyboard.press("Enter");
  assert.equal(await shownAv(page.locator(".big-reading")), was);
  await waitKept(page);
});

test("New setup: an aperture and a pattern without a pointer", async () => {
  await page.goto(`${served.address}/new`);
  await page.locator(".pattern").first().waitFor();
  await tabTo(/^f\/5\.6/, "BUTTON");
  await page.keyboard.press("ArrowRight");
  assert.match(
    await words(page.locator('[role=radio][aria-checked="true"]')),
    /8\.0/,
    "the arrows choose among the apertures",
  );
  await tabTo(/One light and a card/, "BUTTON");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/setup\/[^/]+\/plan/);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
});

test("the page logged no error and asked no other machine", () => watched.clean());

/** Tabs once round the page; fails when a control that can be used is never reached, or is reached unseen. */
async function tabsThrough(): Promise<void> {
  await page.evaluate(() => {
    (document.activeElement as HTMLElement | null)?.blur();
    getSelection()?.removeAllRanges();
  });
  const wanted = await page.evaluate(() => {
    const usable = [
      ...document.querySelectorAll<HTMLElement>("a[href], button, input, select, textarea, summary, [tabindex]"),
    ].filter((e) => !e.hasAttribute("disabled") && e.tabIndex >= 0 && e.checkVisibility({ visibilityProperty: true }));
    for (const [index, e] of usable.entries()) e.setAttribute("data-wanted", String(index));
    return usable.length;
  });
  const reached = new Set<string>();
  const unseen: string[] = [];
  for (let press = 0; press < wanted + 8; press += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const e = document.activeElement as HTMLElement | null;
      if (e === null || e === document.body) return null;
      const style = getComputedStyle(e);
      const ring =
        (style.outlineStyle !== "none" && Number.parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none";
      const box = e.getBoundingClientRect();
      const inView = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      return {
        wanted: e.dataset.wanted ?? "",
        ring,
        inView,
        name: e.getAttribute("aria-label") ?? e.textContent ?? e.tagName,
      };
    });
    if (at === null) continue;
    reached.add(at.wanted);
    if (!at.ring) unseen.push(`${at.name}: no ring`);
    if (!at.inView) unseen.push(`${at.name}: out of view`);
  }
  const missed = await page.evaluate(
    (seen) =>
      [...document.querySelectorAll("[data-wanted]")]
        .filter((e) => !seen.includes(e.getAttribute("data-wanted") ?? ""))
        .filter((e) => !(e instanceof HTMLInputElement && e.type === "radio"))
        .map((e) => e.getAttribute("aria-label") ?? e.textContent ?? e.tagName),
    [...reached],
  );
  assert.deepEqual([...new Set(unseen)], []);
  assert.deepEqual(missed, [], "never reached");
}

/** Presses Tab until the control of that name has the focus. */
async function tabTo(name: RegExp, tagName: string): Promise<void> {
  for (let press = 0; press < 160; press += 1) {
    await page.keyboard.press("Tab");
    const [tag, label] = await page.evaluate(nameOfFocus);
    if (tag === tagName && name.test(label)) return;
  }
  throw new Error(`Tab never reached ${name}`);
}

const focused = async (): Promise<string> => (await page.evaluate(nameOfFocus))[1];

/** Runs in the page: the tag of what has the focus, and its name as assistive technology would hear it, nearly. */
function nameOfFocus(): [tag: string, name: string] {
  const at = document.activeElement;
  if (at === null || at === document.body) return ["", ""];
  const label = at instanceof HTMLInputElement || at instanceof HTMLSelectElement ? at.labels?.[0]?.textContent : null;
  const own = at.getAttribute("aria-label") ?? label ?? at.textContent ?? "";
  return [at.tagName, own.replace(/\s+/g, " ").trim()];
}

interface PolarPlace {
  readonly azimuthDeg: number;
  readonly distanceM: number;
  readonly heightM: number;
}

async function placeOf(tag: string): Promise<PolarPlace> {
  const place = (await keptSetup(served.address, id)).lights.find((l) => l.tag === tag)?.place;
  if (place?.kind !== "polar") throw new Error(`${tag} has no polar place`);
  return place;
}

/** Toward the camera from the nose, m; the demo's nose is at 1.25 m. */
function cartesianZ({ azimuthDeg, distanceM, heightM }: PolarPlace): number {
  return Math.sqrt(distanceM ** 2 - (heightM - 1.25) ** 2) * Math.cos((azimuthDeg * Math.PI) / 180);
}
