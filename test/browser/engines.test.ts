/**
 * The main job, short, in the engines beside Chromium: Firefox at a desk, WebKit at a desk and in a phone's window.
 * Book, Plan, Meter with one Undo, Sheet, Frames, and the page without its server. A browser that is not on the
 * machine is skipped with the name of its package.
 */

import assert from "node:assert/strict";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { long } from "../counts.ts";
import { ENTER, type EnginePage } from "./engine-page.ts";
import { firefoxMissing, openFirefox } from "./firefox.ts";
import { type Served, serve } from "./harness.ts";
import { keptSetup, keptWhen } from "./screen.ts";
import { openWebkit, webkitMissing } from "./webkit.ts";

const HOST = "127.0.0.1";
const DESK = { width: 1440, height: 900 };
const PHONE = { width: 390, height: 844 };
/** The reading of F that is entered, Av, and what the demo wants of it. */
const READING_AV = 2.6;
const WANTED_AV = 2;
const SOON_MS = 10_000;
/** How long a page may take to find its server again: its tries grow apart. */
const BACK_MS = 30_000;
/** The first pass of the picture on a processor with other work. */
const PICTURE_MS = 90_000;

interface Case {
  readonly name: string;
  readonly size: typeof DESK;
  readonly missing: string | null;
  open(): Promise<EnginePage>;
}

const CASES: readonly Case[] = [
  { name: "Firefox at a desk", size: DESK, missing: firefoxMissing(), open: () => openFirefox(HOST) },
  { name: "WebKit at a desk", size: DESK, missing: webkitMissing(), open: () => openWebkit(HOST) },
  { name: "WebKit in a phone's window", size: PHONE, missing: webkitMissing(), open: () => openWebkit(HOST) },
];

for (const one of CASES) {
  if (one.missing === null) describe(one.name, () => journey(one));
  else test(`${one.name}: the main job`, { skip: one.missing }, () => undefined);
}

function journey({ name, size, open }: Case): void {
  let served: Served;
  let page: EnginePage;
  let id = "";
  const onPhone = size === PHONE;

  before(async () => {
    served = await serve();
    page = await open();
    await page.size(size.width, size.height);
  });

  after(async () => {
    await page?.close();
    await served?.close();
  });

  test("the Book opens, and a setup of the demo in Plan with its four lights", async (t) => {
    await page.go(served.address);
    await appears(page, "h2", "Choir headshots");
    t.diagnostic(page.engine);
    assert.deepEqual(await page.run(() => [innerWidth, innerHeight]), [size.width, size.height]);
    await picture(page, name, "book");
    await press(page, "h2", "Choir headshots");
    const rows = onPhone ? ".phone-rows button" : ".strip-choose";
    await appears(page, rows, "fill");
    assert.equal(await page.run((at) => document.querySelectorAll(at).length, rows), 4);
    await kept(page, "machine");
    id = /\/setup\/([^/]+)\/plan/.exec(await page.run(() => location.href))?.[1] ?? "";
    await picture(page, name, "plan");
    await fitsWindow(page);
    // The picture would take the processor from the rest of the journey.
    if (!onPhone) await press(page, ".side-tabs button", "^Details$");
  });

  test("a distance that is typed is kept", { skip: onPhone && "the desk's table" }, async () => {
    const field = ".strip-table .strip-cell input";
    await press(page, field);
    await page.run((at) => document.querySelector<HTMLInputElement>(at)?.select(), field);
    await page.keys(`1,35 m${ENTER}`);
    await until(
      page,
      "the typed distance",
      (at) => document.querySelector<HTMLInputElement>(at)?.value === "1.35 m",
      field,
    );
    await keptWhen(
      served.address,
      id,
      ({ lights: [main] }) => main?.place.kind === "polar" && main.place.distanceM === 1.35,
    );
  });

  const picked = !long ? "in npm run test:long" : onPhone && "at a desk";
  test("without WebGPU the picture comes on the processor", { skip: picked }, async () => {
    await press(page, ".side-tabs button", "^Picture$");
    await appears(page, ".picture-state", "[1-9] paths? a pixel.*, on the processor", PICTURE_MS);
    await picture(page, name, "picture");
  });

  test("two taps are a reading, the turn answers, and one Undo takes it back", async () => {
    const before = await readings(served, id);
    await press(page, "a", "^Meter");
    await press(page, ".steps button", "F fill");
    await tapReading(page, READING_AV);
    const turn = `down ${(READING_AV - WANTED_AV).toFixed(1)}`;
    await appears(page, ".turn-card", turn);
    await kept(page, "machine");
    assert.equal(await readings(served, id), before + 1);
    await picture(page, name, "meter");
    await fitsWindow(page);
    await press(page, ".meter-foot button", "^Undo$");
    await keptWhen(served.address, id, (setup) => setup.readings.filter((r) => !r.undone).length === before);
  });

  test("the Sheet shows its two pages", async () => {
    await page.go(`${served.address}/setup/${id}/sheet`);
    await until(page, "two pages", () => document.querySelectorAll(".sheet-page svg").length === 2);
    await picture(page, name, "sheet");
  });

  test("Frames opens and asks for files", async () => {
    await page.go(`${served.address}/setup/${id}/frames`);
    await until(page, "a way to give files", () => document.querySelector('input[type="file"]') !== null);
    await picture(page, name, "frames");
    await fitsWindow(page);
  });

  test("with the server stopped the page loads again, and a reading is kept in this browser", async () => {
    await page.go(`${served.address}/setup/${id}/meter`);
    await until(page, "a kept page", async () => {
      await navigator.serviceWorker.ready;
      const [files] = (await caches.keys()).filter((cache) => cache.startsWith("stopwise-files-"));
      const held = files === undefined ? [] : await (await caches.open(files)).keys();
      return navigator.serviceWorker.controller !== null && held.length > 5;
    });
    await kept(page, "machine");
    await served.stop("SIGKILL");
    await kept(page, "browser");
    await page.reload();
    await press(page, ".steps button", "F fill");
    await tapReading(page, READING_AV);
    await appears(page, "[data-keep]", "Offline, 1 edit kept in this browser");
    await page.reload();
    await appears(page, "[data-keep]", "Offline, 1 edit kept in this browser");
  });

  test("when the server is back the reading that was made without it arrives", async () => {
    await served.start();
    await kept(page, "machine", BACK_MS);
    const setup = await keptSetup(served.address, id);
    const fill = setup.lights.find((light) => light.tag === "F");
    assert.equal(setup.readings.filter((r) => r.lightId === fill?.id && !r.undone).at(-1)?.av, READING_AV);
  });

  test("the page logged no error and asked no other machine", async () => assert.deepEqual(await page.wrong(), []));
}

const readings = async (served: Served, id: string): Promise<number> =>
  (await keptSetup(served.address, id)).readings.filter((r) => !r.undone).length;

const kept = (page: EnginePage, place: string, withinMs: number = SOON_MS): Promise<void> =>
  until(page, `kept: ${place}`, (at) => document.querySelector(at) !== null, `[data-keep="${place}"]`, withinMs);

async function tapReading(page: EnginePage, av: number): Promise<void> {
  const [stop, tenths] = [Math.floor(av), Math.round(10 * av) % 10];
  await press(page, ".meter-keys button", `^f ${["1\\.0", "1\\.4", "2", "2\\.8", "4"][stop]}$`);
  await press(page, ".meter-keys button", `^${tenths} tenths$`);
}

/** Waits until the page says so. `about` is for the message, `given` for the page. */
async function until(
  page: EnginePage,
  about: string,
  holds: (given: string) => boolean | Promise<boolean>,
  given = "",
  withinMs: number = SOON_MS,
): Promise<void> {
  const end = Date.now() + withinMs;
  while (!(await page.run(holds, given))) {
    if (Date.now() > end) throw new Error(`${page.engine}: never ${about}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

/** Where the first element is whose name or words are like that; null while there is none that is laid out. */
function place(selector: string, words: string): readonly [number, number] | null {
  const like = new RegExp(words);
  for (const element of document.querySelectorAll<HTMLElement>(selector)) {
    // biome-ignore lint/performance/useDomNodeTextContent: what stands on lines of its own stays apart
    const said = element.getAttribute("aria-label") ?? element.innerText.replaceAll(/\s+/g, " ");
    if (!like.test(said)) continue;
    element.scrollIntoView({ block: "nearest", inline: "nearest" });
    const box = element.getBoundingClientRect();
    const at = [box.left + box.width / 2, box.top + box.height / 2] as const;
    const hit = document.elementFromPoint(...at);
    if (box.width > 0 && hit !== null && element.contains(hit)) return at;
  }
  return null;
}

async function find(
  page: EnginePage,
  selector: string,
  words: string,
  withinMs: number = SOON_MS,
): Promise<readonly [number, number]> {
  const end = Date.now() + withinMs;
  for (;;) {
    const at = await page.run(place, selector, words);
    if (at !== null) return at;
    if (Date.now() > end) throw new Error(`${page.engine}: no ${selector} like ${words} that a pointer reaches`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

async function appears(page: EnginePage, selector: string, words: string, withinMs?: number): Promise<void> {
  await find(page, selector, words, withinMs);
}

async function press(page: EnginePage, selector: string, words = ""): Promise<void> {
  await page.press(...(await find(page, selector, words)));
}

/** Nothing that is laid out makes the page wider than its window. */
async function fitsWindow(page: EnginePage): Promise<void> {
  const over = await page.run(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.equal(over, 0, `${page.engine}: wider than its window`);
}

/**
 * Pictures to look at, where STOPWISE_PICTURES names a folder. WebKit's come out black at times on a machine without a
 * graphics card; WEBKIT_DISABLE_DMABUF_RENDERER=1 then helps, but may hang it. No test looks at them.
 */
async function picture(page: EnginePage, name: string, part: string): Promise<void> {
  const folder = process.env.STOPWISE_PICTURES;
  if (folder !== undefined)
    await writeFile(join(folder, `${name.replaceAll(/\W+/g, "-")}-${part}.png`), await page.picture());
}
