/**
 * On set: the laptop by the camera, a phone at the meter, a second one at the boom, over HTTPS on the network side. The
 * demo is metered together; one phone is cut off, its page closed and opened again without a network, and comes back.
 */

import assert from "node:assert/strict";
import { createHash, X509Certificate } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { type RunningServer, startServer } from "../../src/server/index.ts";
import type { Setup } from "../../src/setup/index.ts";
import { expectOk } from "../../src/units/index.ts";
import { DESK, openBrowser, openPage, PHONE, type WatchedPage, waitKept } from "./harness.ts";
import { keptWhen, shownAv, words } from "./screen.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-on-set-"));
const lan = "127.0.0.2";
let server: RunningServer;
let browser: Browser;
let laptop: WatchedPage;
let meter: WatchedPage;
let boom: WatchedPage;
let origin = "";
let made = 0;

before(async () => {
  server = expectOk(
    await startServer({
      ...{ dataDir: root, port: 0, webDir: join(import.meta.dirname, "..", "..", "dist", "web"), seedDemo: true },
      ...{ now: () => new Date(), newId: () => `set${made++}` },
      network: { port: 0, addresses: () => [lan], mdnsPort: null },
    }),
  );
  expectOk(await server.network.switchOn("secure"));
  origin = server.network.state().origins[0] ?? "";
  const served = new X509Certificate(readFileSync(join(root, "network", "served.pem"), "utf8"));
  const spki = createHash("sha256")
    .update(served.publicKey.export({ type: "spki", format: "der" }))
    .digest("base64");
  // As phones that trust the certificate and find the name.
  browser = await openBrowser([
    `--host-resolver-rules=MAP *.local ${lan}`,
    `--ignore-certificate-errors-spki-list=${spki}`,
  ]);
  laptop = await openPage(browser, DESK);
  meter = await openPage(browser, PHONE, new URL(origin).hostname);
  boom = await openPage(browser, PHONE, new URL(origin).hostname);
});

after(async () => {
  await browser?.close();
  await server?.close();
  rmSync(root, { recursive: true, force: true });
});

/** The laptop shows a code; gives the words that stand there. */
async function codeOnLaptop(permission: string): Promise<string> {
  const { page } = laptop;
  const part = page.getByRole("region", { name: "Let one device in" });
  await part.getByRole("button", { name: permission, exact: true }).click();
  await part.getByRole("button", { name: /^(Show a|Another) code$/ }).click();
  await part.locator(".code-text").waitFor();
  return words(part.locator(".code-text"));
}

async function letIn({ page }: WatchedPage, code: string, name: string): Promise<void> {
  await page.goto(`${origin}/pair`);
  await page.getByLabel("The four words").fill(code);
  await page.getByLabel("What this device is called").fill(name);
  await page.getByRole("button", { name: "Let me in" }).tap();
  await page.getByRole("heading", { name: "Choir headshots", exact: true }).waitFor();
}

const lightOf = (setup: Setup, tag: string): string => setup.lights.find((light) => light.tag === tag)?.id ?? "";
const stored = (): Setup => expectOk(server.store.setup("demo-choir"));
const counted = (setup: Setup): number => setup.readings.filter((reading) => !reading.undone).length;
const stepUrl = (tag: string, base = origin): string => `${base}/setup/demo-choir/meter?at=${lightOf(stored(), tag)}`;

/** Two taps: "4.0", then the tenth. */
async function tapReading(page: Page, stop: string, tenth: string): Promise<void> {
  const keys = page.getByRole("region", { name: "The meter says" });
  await keys.getByRole("button", { name: `f ${stop}`, exact: true }).tap();
  await keys.getByRole("button", { name: `${tenth} tenths`, exact: true }).tap();
}

test("two phones are let in with the words on the laptop, and a used code serves nobody else", async () => {
  await laptop.page.goto(`${server.address}/devices`);
  const code = await codeOnLaptop("Meter");
  await letIn(meter, code, "phone at the meter");
  await boom.page.goto(`${origin}/pair`);
  await boom.page.getByLabel("The four words").fill(code);
  await boom.page.getByLabel("What this device is called").fill("again");
  await boom.page.getByRole("button", { name: "Let me in" }).tap();
  assert.match(await words(boom.page.getByRole("alert")), /no code is open/i);
  await letIn(boom, await codeOnLaptop("Meter"), "phone at the boom");
  const list = laptop.page.getByRole("region", { name: "Devices let in" });
  await list.getByRole("button", { name: "Put out phone at the boom" }).waitFor();
});

test("what one phone meters is on the laptop and called out on the other; each sees who meters what", async () => {
  await meter.page.goto(stepUrl("F"));
  await boom.page.goto(stepUrl("E"));
  await laptop.page.goto(stepUrl("F", server.address));
  await Promise.all([laptop, meter, boom].map(({ page }) => waitKept(page)));
  await meter.page.getByText("phone at the boom meters E").waitFor();
  await boom.page.getByText("phone at the meter meters F").waitFor();
  const before = counted(stored());
  await tapReading(meter.page, "1.4", "4");
  await keptWhen(server.address, "demo-choir", (setup) => counted(setup) === before + 1);
  for (const page of [laptop.page, meter.page]) {
    await page.waitForFunction(() => document.querySelector(".big-reading")?.textContent?.includes("1.4") === true);
  }
  const newest = stored().readings.at(-1);
  assert.equal(newest?.device, "phone at the meter");
  await boom.page.getByRole("button", { name: "Call it out" }).tap();
  const call = boom.page.getByRole("dialog", { name: "The turn, called out" });
  assert.match(await words(call), /\bup\b/);
  await call.getByRole("button", { name: "Close" }).tap();
});

test("a phone that is cut off, closed and opened again without a network meters on, and all arrives once", async () => {
  await boom.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await boom.context.setOffline(true);
  await boom.page.close();
  const page = await boom.context.newPage();
  await page.goto(stepUrl("E"));
  await page.getByRole("heading", { name: /^E edge/ }).waitFor();
  const before = counted(stored());
  await tapReading(page, "2.8", "3");
  await page.locator('[data-keep="browser"]').first().waitFor();
  await meter.page.goto(stepUrl("H"));
  await tapReading(meter.page, "2", "2");
  await keptWhen(server.address, "demo-choir", (setup) => counted(setup) === before + 1);
  await boom.context.setOffline(false);
  const end = await keptWhen(server.address, "demo-choir", (setup) => counted(setup) === before + 2, 20_000);
  await waitKept(page);
  const ids = end.readings.map((reading) => reading.id);
  assert.equal(new Set(ids).size, ids.length, "each once");
  assert.deepEqual(
    end.readings
      .slice(-2)
      .map(({ device }) => device)
      .sort(),
    ["phone at the boom", "phone at the meter"],
  );
  for (const tag of ["M", "F", "E", "H"]) {
    const shown: (number | null)[] = [];
    for (const [one, base] of [
      [laptop.page, server.address],
      [meter.page, origin],
      [page, origin],
    ] as const) {
      await one.goto(stepUrl(tag, base));
      await waitKept(one);
      shown.push(await shownAv(one.locator(".big-reading")));
    }
    assert.ok(shown[0] !== null && shown.every((av) => av === shown[0]), `${tag}: ${shown.join(", ")}`);
  }
  await page.close();
});

test("a phone that is put out is told so and gets nothing more; what it shows stays its own", async () => {
  await laptop.page.goto(`${server.address}/devices`);
  await meter.page.goto(stepUrl("F"));
  await waitKept(meter.page);
  await laptop.page.getByRole("button", { name: "Put out phone at the meter" }).click();
  await meter.page.locator('[data-keep="refused"]').first().waitFor({ timeout: 2000 });
  assert.match(await words(meter.page.locator(".meter-head .state")), /put out/i);
  const answer = await meter.page.evaluate(() => fetch("/api/cards").then((response) => response.status));
  assert.equal(answer, 401);
  laptop.clean();
});
