/**
 * A book that goes back in time, or another book, under a page that is open: the page says so, keeps its
 * edits, and nothing of one book gets into the other.
 */

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { openBrowser, openDemo, openPage, type Served, serve, type WatchedPage, waitKept } from "./harness.ts";
import { cell, keptSetup, words } from "./screen.ts";

let served: Served;
let browser: Browser;
let watched: WatchedPage;
let page: Page;
let id = "";

before(async () => {
  served = await serve();
  browser = await openBrowser();
  watched = await openPage(browser);
  page = watched.page;
  id = await openDemo(page, served.address, "Choir headshots");
  await waitKept(page);
});

after(async () => {
  await browser?.close();
  await served?.close();
});

test("an older backup restored under a connected page: the page says so and takes no edit for kept", async () => {
  const backup = await (await fetch(`${served.address}/api/backup`)).arrayBuffer();
  await typeDistance("1.45 m");
  await waitKept(page);
  assert.equal(await mainDistance(id), 1.45);
  const restored = await fetch(`${served.address}/api/restore`, {
    method: "POST",
    headers: { "content-type": "application/octet-stream" },
    body: backup,
  });
  assert.equal(restored.status, 200, await restored.text());
  const notice = page.getByRole("alert").filter({ hasText: "restored from a backup" });
  await notice.waitFor();
  assert.match(await words(notice), /does not take edits of this setup any more/);
  assert.equal(await page.locator("[data-keep]").first().getAttribute("data-keep"), "refused");
  assert.equal(await mainDistance(id), 1.25, "the book is as it was when the backup was made");
});

test("an edit made after the restore stays on the page and does not reach the restored book", async () => {
  await typeDistance("1.47 m");
  assert.equal(await cell(page, "distance", 0).getByRole("textbox").inputValue(), "1.47 m");
  await new Promise((resolve) => setTimeout(resolve, 400));
  assert.equal(await mainDistance(id), 1.25);
});

test("the page's edits can be kept as a copy, which opens, is kept, and stands in the Book beside the restored one", async () => {
  await page.getByRole("button", { name: "Keep what is in this browser as a copy" }).click();
  await page.waitForURL((url) => /\/plan$/.test(url.pathname) && !url.pathname.includes(`/${id}/`));
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await waitKept(page);
  const copyId = /\/setup\/([^/]+)\//.exec(page.url())?.[1] ?? "";
  assert.equal(await mainDistance(copyId), 1.47);
  assert.equal(await cell(page, "distance", 0).getByRole("textbox").inputValue(), "1.47 m");
  await typeDistance("1.48 m");
  await waitKept(page);
  assert.equal(await mainDistance(copyId), 1.48);
  await page.getByRole("link", { name: "Book", exact: true }).click();
  await page.getByRole("heading", { name: "Choir headshots, copy from this browser" }).waitFor();
  await page.getByRole("heading", { name: "Choir headshots", exact: true }).click();
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await waitKept(page);
  assert.equal(await cell(page, "distance", 0).getByRole("textbox").inputValue(), "1.25 m", "as restored");
});

test("another data directory on the same port gets nothing of the first book's edits, and the first has them still", async () => {
  await typeDistance("1.33 m");
  await waitKept(page);
  await served.stop();
  const second = await serve({ port: served.port });
  try {
    const refused = page.getByRole("alert").filter({ hasText: "another book" });
    await refused.waitFor({ timeout: 20_000 });
    await page.goto(`${served.address}/setup/${id}/plan`);
    await page.getByRole("region", { name: "Ladder" }).waitFor();
    await waitKept(page);
    assert.equal(await cell(page, "distance", 0).getByRole("textbox").inputValue(), "1.25 m");
    assert.equal(await mainDistance(id), 1.25);
    await typeDistance("1.21 m");
    await waitKept(page);
  } finally {
    await second.close();
  }
  await served.start();
  await page.goto(`${served.address}/setup/${id}/plan`);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await waitKept(page);
  assert.equal(await cell(page, "distance", 0).getByRole("textbox").inputValue(), "1.33 m");
  assert.equal(await mainDistance(id), 1.33);
});

test("a setup that was put in the trash elsewhere says so on the page that has it open", async () => {
  await fetch(`${served.address}/api/setups/${id}`, { method: "DELETE" });
  await page.getByRole("alert").filter({ hasText: "was deleted" }).waitFor();
  await page.getByRole("button", { name: "Keep what is in this browser as a copy" }).waitFor();
});

test("the page logged no error and asked no other machine", () => watched.clean());

async function typeDistance(text: string): Promise<void> {
  const entry = cell(page, "distance", 0).getByRole("textbox");
  await entry.fill(text);
  await entry.press("Enter");
}

async function mainDistance(setupId: string): Promise<number | null> {
  const place = (await keptSetup(served.address, setupId)).lights.find((l) => l.role === "main")?.place;
  return place?.kind === "polar" ? place.distanceM : null;
}
