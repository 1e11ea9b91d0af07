/**
 * Metering with one thumb: a phone's window, taps and nothing else. The choir's headshots are metered to the
 * end; the test plays the meter at each head.
 */

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Locator, Page } from "playwright-core";
import type { Light, Setup } from "../../src/setup/index.ts";
import { predict } from "../../src/solve/index.ts";
import { openBrowser, openPage, PHONE, type Served, serve, type WatchedPage, waitKept } from "./harness.ts";
import { dialTold, keptSetup, shownAv, words } from "./screen.ts";

/** What fingers need, px: the height that the design asks of everything on touch. */
const FINGER_PX = 44;
const SMALL = { width: 360, height: 740 };
const USUAL = { width: 390, height: 844 };
/** What each head gives beside what the book knows of it, stops. The hair light cannot go low enough as it is. */
const OFF: Readonly<Record<string, number>> = { F: -0.9, E: 0.7, H: 0.2 };

let served: Served;
let browser: Browser;
let watched: WatchedPage;
let page: Page;
let planned: Setup;
let taps = 0;

before(async () => {
  served = await serve();
  browser = await openBrowser();
  watched = await openPage(browser, PHONE);
  page = watched.page;
});

after(async () => {
  await browser?.close();
  await served?.close();
});

test("from the Book two taps lead to Plan and a third to the first light that needs the meter", async () => {
  await page.goto(served.address);
  await page.getByRole("heading", { name: "Choir headshots", exact: true }).tap();
  await page.getByRole("link", { name: "Meter F next, fire 2" }).tap();
  await page.getByRole("heading", { name: /^F fill/ }).waitFor();
  await waitKept(page);
  planned = await keptSetup(served.address, idOf(page));
  assert.match(await words(page.locator(".how")), /Dome at the nose tip, pointing at F\.\s+M, E and H off\. Fire 2\./);
});

test("every target on the Meter screen takes a finger, and nothing is wider than the phone", async () => {
  for (const size of [USUAL, SMALL]) {
    await page.setViewportSize(size);
    await fitsFingers(`alone at ${size.width}`);
  }
  await step("together").tap();
  await fitsFingers("together at 360");
  await step("F fill").tap();
  await page.setViewportSize(USUAL);
});

test("two taps are a reading; the turn is answered at once, and a light that is met gives way to the next by itself", async () => {
  taps = 0;
  const readings = await meter("F");
  assert.ok(readings >= 2, "its first reading was off");
  assert.equal(taps, 2 * readings);
  await page.getByRole("heading", { name: /^E edge/ }).waitFor();
  assert.match(await words(step("F fill")), /, met$/);
});

test("one Undo comes back to the light that gave way, without its last reading", async () => {
  const before = (await keptSetup(served.address, idOf(page))).readings.length;
  await tap(page.getByRole("button", { name: "Undo", exact: true }));
  await page.getByRole("heading", { name: /^F fill/ }).waitFor();
  assert.match(await words(page.locator(".turn-card")), /turn (up|down)/);
  await waitKept(page);
  const kept = await keptSetup(served.address, idOf(page));
  assert.equal(kept.readings.filter((r) => !r.undone).length, before - 1);
  await meter("F");
  await page.getByRole("heading", { name: /^E edge/ }).waitFor();
});

test("a head in thirds is turned by its own steps until it is met or as close as it goes", async () => {
  await meter("E");
  const setup = await keptSetup(served.address, idOf(page));
  const edge = setup.lights.find((l) => l.tag === "E");
  assert.ok(
    Math.abs(3 * (edge?.dialStops ?? 0.1) - Math.round(3 * (edge?.dialStops ?? 0.1))) < 1e-6,
    "a third of a stop",
  );
  await page.getByRole("heading", { name: /^H hair/ }).waitFor();
  assert.match(await words(page.locator(".turn-card")), /E met\s+On to H\. Dial −\d\.\d, fire 4\./);
});

test("the call-out fills the screen with the newest turn, and closes", async () => {
  await step("F fill").tap();
  await tapKeys(2.6);
  await tap(page.getByRole("button", { name: "Call it out" }));
  const dialog = page.getByRole("dialog", { name: "The turn, called out" });
  await dialog.waitFor();
  const box = await dialog.boundingBox();
  assert.ok((box?.width ?? 0) >= USUAL.width - 1 && (box?.height ?? 0) >= USUAL.height - 1, "the whole screen");
  assert.match(await words(dialog), /down\s+0\.6\s+dial −\d\.\d → −\d\.\d/);
  const big = await dialog
    .locator(".call-number")
    .evaluate((number) => Number.parseFloat(getComputedStyle(number).fontSize));
  assert.ok(big >= 120, `${big} px can be read from four metres`);
  await fitsFingers("call-out");
  await tap(dialog.getByRole("button", { name: "Close" }));
  await dialog.waitFor({ state: "detached" });
  await tap(page.getByRole("button", { name: "Undo", exact: true }));
});

test("readings in thirds: the switch changes the keys, the shown reading and what is kept", async () => {
  const thirds = page.getByRole("switch", { name: "Readings in thirds" });
  await tap(thirds);
  assert.equal(await thirds.getAttribute("aria-checked"), "true");
  await fitsFingers("thirds");
  await tap(key("f 2.8"));
  await tap(key("1/3 stop"));
  assert.match(await words(page.locator(".big-reading")), /2\.8\s*1\/3/);
  await waitKept(page);
  const last = (await keptSetup(served.address, idOf(page))).readings.at(-1);
  assert.equal(last?.av, 3 + 1 / 3);
  await tap(page.getByRole("button", { name: "Undo", exact: true }));
  await tap(thirds);
  assert.equal(await thirds.getAttribute("aria-checked"), "false");
});

test("a light that cannot go low enough is said to be over, with a way out, and can be accepted", async () => {
  await step("H hair").tap();
  await meter("H");
  assert.match(await words(page.locator(".turn-card")), /over[\s\S]*as close as this head goes/);
  await tap(page.getByRole("button", { name: /^Accept \d\.\d over/ }));
  await page.locator("[aria-current=step]").filter({ hasText: "together" }).waitFor();
});

test("together: each reading that was predicted is asked for in turn, down to the room's own", async () => {
  const rows = page.locator(".together-row").filter({ has: page.getByRole("button") });
  const count = await rows.count();
  assert.ok(count >= 3, `${count} readings together`);
  for (let index = 0; index < count; index += 1) {
    const now = page.locator('.together-row[data-now="true"]');
    const expected = await shownAv(now.locator("small .reading"));
    assert.ok(expected !== null);
    assert.equal(await rows.nth(index).getAttribute("data-now"), "true", "the readings are asked for in their order");
    await tapKeys(Math.min(10.9, Math.max(0, expected)));
    assert.equal(await shownAv(rows.nth(index).locator(".together-value > .reading")), Math.max(0, expected));
  }
  await waitKept(page);
  const setup = await keptSetup(served.address, idOf(page));
  assert.equal(setup.readings.filter((r) => r.kind === "room").length, 1);
  assert.equal(setup.readings.filter((r) => r.kind === "together").length, count - 1);
});

test("a target under the meter's range is helped: another ISO on the meter, and what it says is counted right", async () => {
  await page.goto(`${served.address}/new`);
  await page.getByRole("radio").first().tap();
  await page.getByRole("button", { name: /Main and fill/ }).tap();
  await page.waitForURL(/\/plan/);
  await page.goto(page.url().replace("/plan", "/meter"));
  await page.getByRole("button", { name: /fill/ }).tap();
  const target = await shownAv(page.locator(".goal"));
  assert.ok(target !== null && target < 0, `target Av ${target} lies under f/1.0`);
  assert.match(await words(page.locator(".key-words")), /Set the meter to ISO 200, enter what it says/);
  await fitsFingers("under f/1.0");
  await tap(page.getByRole("button", { name: "Meter is at ISO 200" }));
  assert.match(await words(page.locator(".key-words")), /Meter at ISO 200: 1 stop is taken off what it says/);
  await tapKeys(target + 1);
  assert.ok(Math.abs(((await shownAv(page.locator(".big-reading"))) ?? 99) - target) < 1e-6);
  await page.locator("[aria-current=step]").filter({ hasNotText: "fill" }).waitFor();
});

test("the page logged no error and asked no other machine", () => watched.clean());

/** Fires, reads and turns until the page says anything but a turn; how many readings that took. */
async function meter(tag: string): Promise<number> {
  const light = planned.lights.find((l) => l.tag === tag);
  if (light === undefined) throw new Error(`no ${tag}`);
  for (let readings = 1; readings <= 4; readings += 1) {
    const dial = dialTold(await words(page.locator(".turn-card")), light.head.dial);
    await tapKeys(meterShows(light, dial));
    if (!/turn (up|down)/.test(await words(page.locator(".turn-card")))) return readings;
  }
  throw new Error(`${tag} was not met in four readings`);
}

function meterShows(light: Light, dialStops: number): number {
  const turned = { ...planned, lights: planned.lights.map((l) => (l.id === light.id ? { ...l, dialStops } : l)) };
  const av = predict(turned).lights.find((l) => l.lightId === light.id)?.predicted.av;
  if (av === null || av === undefined) throw new Error(`${light.tag} is dark`);
  return Math.round(10 * (av + (OFF[light.tag] ?? 0))) / 10;
}

/** All that can be tapped is tall enough, inside the window, and not under something else's edge. */
async function fitsFingers(where: string): Promise<void> {
  const open = page.getByRole("dialog");
  const within = (await open.count()) > 0 ? open : page.locator("body");
  const small: string[] = [];
  for (const target of await within.locator("button, a, input, select, [role=switch]").all()) {
    const box = await target.boundingBox();
    if (box === null || box.width === 0) continue;
    const name = (await target.getAttribute("aria-label")) ?? (await words(target));
    if (box.height < FINGER_PX - 0.01) small.push(`${name}: ${box.height.toFixed(1)} high`);
    if (box.width < FINGER_PX - 0.01) small.push(`${name}: ${box.width.toFixed(1)} wide`);
  }
  assert.deepEqual(small, [], where);
  const wide = await page.evaluate(() => {
    const limit = document.documentElement.clientWidth;
    const over = [...document.querySelectorAll("body *")].filter((e) => {
      const box = e.getBoundingClientRect();
      return box.width > 1 && box.right > limit + 0.5 && e.closest("svg") === null;
    });
    return [document.documentElement.scrollWidth - limit, over.map((e) => `${e.tagName} ${e.className}`)] as const;
  });
  assert.deepEqual(wide, [0, []], `${where}: wider than the phone`);
}

const key = (name: string): Locator =>
  page.getByRole("region", { name: "The meter says" }).getByRole("button", { name, exact: true });

async function tapKeys(av: number): Promise<void> {
  const tenths = Math.round(av * 10);
  const marks = ["1.0", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32"];
  await tap(key(`f ${marks[Math.floor(tenths / 10)]}`));
  await tap(key(`${tenths % 10} tenths`));
}

async function tap(at: Locator): Promise<void> {
  taps += 1;
  await at.tap();
}

const step = (name: string): Locator => page.locator(".steps").getByRole("button", { name });

const idOf = (at: Page): string => /\/setup\/([^/]+)\//.exec(at.url())?.[1] ?? "";
