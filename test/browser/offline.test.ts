/**
 * The page without its server, two pages on one setup, and nobody else asked: what the service worker and
 * the browser's own store promise.
 */

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type { Setup } from "../../src/setup/index.ts";
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
import { cell, keptSetup, keptWhen, words } from "./screen.ts";

/** How soon one page shows what the other did. */
const SOON_MS = 1000;

let served: Served;
let browser: Browser;
let desk: WatchedPage;
let phone: WatchedPage;
let page: Page;
let id = "";

before(async () => {
  served = await serve();
  browser = await openBrowser();
  desk = await openPage(browser, DESK);
  phone = await openPage(browser, PHONE);
  page = desk.page;
  id = await openDemo(page, served.address, "Choir headshots");
  await waitKept(page);
});

after(async () => {
  await browser?.close();
  await served?.close();
});

test("every answer carries a content security policy that lets no script stand in line", async () => {
  for (const path of ["/", "/setup/x/plan", "/api/book", "/sw.js"]) {
    const policy = (await fetch(served.address + path)).headers.get("content-security-policy") ?? "";
    assert.match(policy, /default-src 'self'/, path);
    assert.match(policy, /script-src 'self'(;|$)/, path);
    assert.match(policy, /frame-ancestors 'none'/, path);
  }
  // On a page of its own: the browser logs the violation that is asked for here.
  const { page: other, context } = await openPage(browser, DESK);
  await other.goto(served.address);
  const refused = await other.evaluate(() => {
    const told = new Promise((resolve) =>
      addEventListener("securitypolicyviolation", (event) => resolve(event.effectiveDirective)),
    );
    const script = document.createElement("script");
    script.textContent = "window.ran = true";
    document.head.append(script);
    return told;
  });
  assert.match(String(refused), /^script-src/);
  assert.equal(await other.evaluate(() => "ran" in globalThis), false);
  await context.close();
});

test("two pages on one setup see each other's edits within a second", async () => {
  const other = phone.page;
  await other.goto(`${served.address}/setup/${id}/plan`);
  await waitKept(other);
  await other.getByRole("button", { name: "Details" }).tap();
  await typeDistance("1.40 m");
  await showsWithin(other, "1.40 m", SOON_MS);
  const back = other.getByLabel("M distance");
  await back.fill("1.30 m");
  await back.press("Enter");
  await showsWithin(page, "1.30 m", SOON_MS);
});

test("the service worker holds the page once it was loaded", async () => {
  const scope = await page.evaluate(async () => (await navigator.serviceWorker.ready).scope);
  assert.equal(scope, `${served.address}/`);
  await page.waitForFunction(async () => {
    const names = (await caches.keys()).filter((name) => name.startsWith("stopwise-files-"));
    const kept = names.length === 0 ? [] : await (await caches.open(names[0] ?? "")).keys();
    return kept.length > 5;
  });
});

test("with the server killed an edit is made, kept in this browser, and said to be", async () => {
  await served.stop("SIGKILL");
  await page.locator('[data-keep="browser"]').first().waitFor();
  assert.match(await keepWords(), /Offline, all kept here/);
  await typeDistance("1.50 m");
  await waitForWords(/Offline, 1 edit kept in this browser/);
  await typeDistance("1.60 m");
  await waitForWords(/Offline, 2 edits kept in this browser/);
});

test("without the server the page loads again, with the edits and their count, and every screen opens", async () => {
  await page.reload();
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  assert.equal(await distance(), "1.60 m");
  await waitForWords(/Offline, 2 edits kept in this browser/);
  for (const [name, mark] of [
    ["Meter", ".keypad"],
    ["Sheet", ".sheet-page svg"],
    ["Kit & room", ".kit-table"],
    ["Book", ".card h2"],
  ] as const) {
    await page.goto(`${served.address}/setup/${id}/plan`);
    await page.getByRole("link", { name, exact: true }).click();
    await page.locator(mark).first().waitFor();
  }
  await page.goto(`${served.address}/setup/${id}/meter`);
  await page.locator(".keypad").waitFor();
});

test("metering goes on without the server", async () => {
  await page.locator(".steps").getByRole("button", { name: "H hair" }).click();
  const keys = page.getByRole("region", { name: "The meter says" });
  await keys.getByRole("button", { name: "f 2", exact: true }).click();
  await keys.getByRole("button", { name: "3 tenths", exact: true }).click();
  await waitForWords(/Offline, 3 edits kept in this browser/);
});

test("when the server is back the edits arrive by themselves, and the page says they are on the machine", async () => {
  const before = Date.now();
  await served.start();
  await page.locator('[data-keep="machine"]').first().waitFor({ timeout: 30_000 });
  const setup = await keptSetup(served.address, id);
  const main = setup.lights.find((l) => l.tag === "M");
  assert.equal(main?.place.kind === "polar" ? main.place.distanceM : null, 1.6);
  assert.equal(setup.readings.filter((r) => r.lightId === setup.lights.find((l) => l.tag === "H")?.id).at(-1)?.av, 2.3);
  assert.match(await keepWords(), /Kept on this machine \d\d:\d\d/);
  assert.ok(Date.now() - before < 30_000);
});

test("edits that two pages made apart without the server are both there in the end, on both", async () => {
  const other = phone.page;
  await page.goto(`${served.address}/setup/${id}/plan`);
  await waitKept(page);
  await other.getByRole("button", { name: "Ladder", exact: true }).tap();
  await other.locator(".phone-rows").getByRole("button", { name: /fill/ }).tap();
  await served.stop("SIGKILL");
  await page.locator('[data-keep="browser"]').first().waitFor();
  await typeDistance("1.55 m");
  await other.getByLabel("F height").fill("1.65 m");
  await other.getByLabel("F height").press("Enter");
  await served.start();
  await keptWhen(served.address, id, bothThere, 30_000);
  assert.equal(await distance(), "1.55 m");
  await showsWithin(page, "1.65 m", 5000);
  await other.getByRole("button", { name: "Ladder", exact: true }).tap();
  await other.locator(".phone-rows").getByRole("button", { name: /main/ }).tap();
  assert.equal(await other.getByLabel("M distance").inputValue(), "1.55 m");
});

test("neither page logged an error or asked another machine", () => {
  desk.clean();
  phone.clean();
});

/** Waits until a field of the page holds that value. */
async function showsWithin(at: Page, value: string, timeout: number): Promise<void> {
  const holds = (wanted: string): boolean => [...document.querySelectorAll("input")].some((i) => i.value === wanted);
  await at.waitForFunction(holds, value, { timeout, polling: 20 });
}

const keepWords = (): Promise<string> => words(page.locator("[data-keep]").first());

async function waitForWords(wanted: RegExp): Promise<void> {
  await page.locator("[data-keep]").filter({ hasText: wanted }).first().waitFor();
}

function bothThere({ lights }: Setup): boolean {
  const [main, fill] = ["M", "F"].map((tag) => lights.find((l) => l.tag === tag)?.place);
  return main?.kind === "polar" && main.distanceM === 1.55 && fill?.kind === "polar" && fill.heightM === 1.65;
}

const distance = (): Promise<string> => cell(page, "distance", 0).getByRole("textbox").inputValue();

async function typeDistance(text: string): Promise<void> {
  const entry = cell(page, "distance", 0).getByRole("textbox");
  await entry.fill(text);
  await entry.press("Enter");
}
