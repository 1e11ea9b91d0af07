/**
 * The main job as a user does it: a new setup from a pattern, planned, predicted, metered, opened into its
 * reasons, printed, and found again after a restart. The test plays the meter: each head is off by an amount
 * that only the test knows, and the meter shows the plan's own prediction at the dial the page asked for,
 * plus that amount, rounded to the tenth as a meter rounds.
 */

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import type { Light, Setup } from "../../src/setup/index.ts";
import { predict } from "../../src/solve/index.ts";
import { DESK, openBrowser, openPage, type Served, serve, type WatchedPage, waitKept } from "./harness.ts";
import { cell, dialTold, keptSetup, keptWhen, shownAv, tapReading, words } from "./screen.ts";

/** What each head gives beside its catalogue, stops; every one is more than its role's tolerance. */
const OFF: Readonly<Record<string, number>> = { main: -0.6, fill: 0.7, edge: -0.8, hair: 0.9 };

interface Point {
  readonly x: number;
  readonly y: number;
}

let served: Served;
let browser: Browser;
let watched: WatchedPage;
let page: Page;
let id = "";

before(async () => {
  served = await serve();
  browser = await openBrowser();
  watched = await openPage(browser, { ...DESK, acceptDownloads: true });
  page = watched.page;
});

after(async () => {
  await browser?.close();
  await served?.close();
});

test("a first run leads from the Book to a four-light setup in Plan, aperture first", async () => {
  await page.goto(served.address);
  await page.getByRole("link", { name: "New setup" }).first().click();
  await page.getByRole("heading", { name: "Which aperture will you work at?" }).waitFor();
  await page.getByRole("radio", { name: /^f 8/ }).click();
  assert.equal(await page.getByRole("radio", { name: /^f 8/ }).getAttribute("aria-checked"), "true");
  const pattern = page.getByRole("button", { name: /Main, fill, edge, hair/ });
  assert.match(await words(pattern), /fits this room and kit/);
  await pattern.click();
  await page.waitForURL(/\/setup\/[^/]+\/plan/);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await waitKept(page);
  id = /\/setup\/([^/]+)\//.exec(page.url())?.[1] ?? "";
  const setup = await keptSetup(served.address, id);
  assert.deepEqual(
    setup.lights.map((l) => l.role),
    ["main", "fill", "edge", "hair"],
  );
  assert.equal(setup.exposure.apertureAv, 6, "f/8");
});

test("a light that is dragged farther away reads less, before the hand lets go and after", async () => {
  const fill = await lightOf("fill");
  const [distance, predicted] = [await shownText("distance", 1), await shownAv(cell(page, "predicted", 1))];
  const from = await frontOnScreen(fill);
  const away = awayFromNose(fill, from, 40);
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move((from.x + away.x) / 2, (from.y + away.y) / 2, { steps: 4 });
  await page.mouse.move(away.x, away.y, { steps: 4 });
  const during = await shownAv(cell(page, "predicted", 1));
  assert.ok((during ?? 99) < (predicted ?? 0) - 0.15, `${predicted} went to ${during} while dragged`);
  assert.deepEqual(
    (await keptSetup(served.address, id)).lights[1]?.place,
    fill.place,
    "nothing is written before it ends",
  );
  await page.mouse.up();
  await waitKept(page);
  assert.equal(await shownAv(cell(page, "predicted", 1)), during);
  assert.notEqual(await shownText("distance", 1), distance);
  const moved = await lightOf("fill");
  assert.ok(distanceOf(moved) > distanceOf(fill) * 1.1, `${distanceOf(fill)} m became ${distanceOf(moved)} m`);
});

test("Undo brings the dragged light back and Redo takes it away again", async () => {
  const moved = await shownText("distance", 1);
  const undo = page.getByRole("button", { name: /^Undo/ });
  await undo.click();
  const back = await shownText("distance", 1);
  assert.notEqual(back, moved);
  await page.getByRole("button", { name: /^Redo/ }).click();
  assert.equal(await shownText("distance", 1), moved);
  await undo.click();
  assert.equal(await shownText("distance", 1), back);
  await waitKept(page);
});

test("a distance that is typed moves the prediction, and the planned turn answers with a dial", async () => {
  const before = await shownAv(cell(page, "predicted", 0));
  const entry = cell(page, "distance", 0).getByRole("textbox");
  await entry.fill("0,9 m");
  await entry.press("Enter");
  await page.waitForFunction(
    (was) => document.querySelector<HTMLInputElement>(".strip-cell input")?.value !== was,
    "0,9 m",
  );
  assert.equal(await shownText("distance", 0), "0.90 m");
  const after = await shownAv(cell(page, "predicted", 0));
  assert.ok((after ?? 0) > (before ?? 99) + 0.2, `nearer is brighter: ${before} became ${after}`);
  const turn = cell(page, "turn", 0).getByRole("button");
  assert.match(await words(turn), /^down \d\.\d/);
  const dial = await shownText("dial", 0);
  await turn.click();
  assert.notEqual(await shownText("dial", 0), dial);
  assert.match(await words(cell(page, "turn", 0)), /as planned/);
  assert.equal(await shownAv(cell(page, "predicted", 0)), 6, "planned back to the working aperture");
  await waitKept(page);
});

test("a distance that cannot be is refused in words beside its field, and nothing changes", async () => {
  const kept = await keptSetup(served.address, id);
  const entry = cell(page, "distance", 0).getByRole("textbox");
  await entry.fill("three apples");
  await entry.press("Enter");
  const alert = cell(page, "distance", 0).getByRole("alert");
  assert.match(await words(alert), /three apples/);
  await entry.press("Escape");
  assert.equal(await alert.count(), 0);
  assert.deepEqual(await keptSetup(served.address, id), kept);
});

test("all four lights, each off by what only the test knows, are metered to within a tenth by following the turns", async (t) => {
  const planned = await keptSetup(served.address, id);
  await page.getByRole("link", { name: "Meter", exact: true }).click();
  for (const light of planned.lights) {
    await t.test(`${light.role} is ${OFF[light.role]} off its catalogue`, () => meterLight(planned, light));
  }
  await page.getByRole("button", { name: "together" }).and(page.locator("[aria-current=step]")).waitFor();
  await waitKept(page);
  const metered = await keptSetup(served.address, id);
  assert.ok(metered.readings.length >= 8, `${metered.readings.length} readings, two or more a light`);
});

test("Why opens a reading into rows that sum to it, with formula, inputs and source", async () => {
  await page.getByRole("link", { name: "Back to Plan" }).click();
  for (const [index, light] of (await keptSetup(served.address, id)).lights.entries()) {
    await cell(page, "predicted", index).getByRole("button").click();
    const why = page.getByRole("dialog");
    await why.getByRole("table").waitFor();
    const rows = await why.locator(".why-stops").allInnerTexts();
    assert.ok(rows.length >= 4, `${light.tag} has ${rows.length} rows`);
    const sum = rows.reduce((total, text) => total + Number(text.replace("−", "-").replace("+", "")), 0);
    const total = await shownAv(why.locator(".why-sum .why-total"));
    // Rows are shown to 0.01, the reading to 0.1: half of each may be lost.
    const slack = 0.05 + 0.005 * rows.length + 1e-9;
    assert.ok(Math.abs(sum - (total ?? 99)) <= slack, `${light.tag}: rows sum to ${sum}, reading says ${total}`);
    for (const name of await why.locator(".why-name").all()) {
      await name.click();
      const detail = await words(why.locator(".why-detail"));
      assert.match(detail, /Inputs[\s\S]+Source\s+\S+/i);
      assert.ok((await words(why.locator(".why-formula"))).length > 2);
    }
    await why.getByRole("button", { name: "Close" }).click();
    await why.waitFor({ state: "detached" });
  }
});

test("the PDF of the Sheet has its text, its fonts inside and at most two pages", async (t) => {
  await page.getByRole("link", { name: "Sheet", exact: true }).click();
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name: "Save as PDF" }).click(),
  ]);
  const folder = await mkdtemp(join(tmpdir(), "stopwise-pdf-"));
  t.after(() => rm(folder, { recursive: true, force: true }));
  const file = join(folder, "sheet.pdf");
  await download.saveAs(file);
  const setup = await keptSetup(served.address, id);
  const run = (program: string, ...words: string[]): string => execFileSync(program, words, { encoding: "utf8" });
  if (!has("pdftotext")) return t.skip("poppler's pdftotext is not on this machine");
  const pages = Number(/Pages:\s+(\d+)/.exec(run("pdfinfo", file))?.[1]);
  assert.ok(pages >= 1 && pages <= 2, `${pages} pages`);
  const text = run("pdftotext", "-layout", file, "-");
  assert.ok(text.includes(setup.title), "the title is on it");
  for (const light of setup.lights) assert.ok(text.includes(light.head.name), `${light.head.name} is on it`);
  for (const light of setup.lights) {
    const av = setup.readings.filter((r) => r.lightId === light.id && !r.undone).at(-1)?.av ?? 0;
    const mark = ["1.0", "1.4", "2.0", "2.8", "4.0", "5.6", "8.0", "11", "16"][Math.floor(av + 1e-6)] ?? "";
    const tenth = Math.round(av * 10) % 10;
    assert.match(
      text,
      new RegExp(`${mark.replace(".", "\\.")}\\s*${tenth}`),
      `${light.tag}'s reading ${mark} ${tenth}`,
    );
  }
  const fonts = run("pdffonts", file).trim().split("\n").slice(2);
  assert.ok(fonts.length > 0);
  for (const font of fonts) assert.match(font, /yes\s+(yes|no)\s+(yes|no)\s+\d+/, `embedded: ${font}`);
  // Text alone would pass on a blank page: something must be drawn.
  run("pdftoppm", "-r", "40", "-gray", "-f", "1", "-l", "1", "-singlefile", file, join(folder, "page"));
  const grey = (await readFile(join(folder, "page.pgm"))).subarray(20);
  const inked = grey.filter((value) => value < 128).length / grey.length;
  assert.ok(inked > 0.005 && inked < 0.5, `${(100 * inked).toFixed(1)} % of the page is dark`);
});

test("after a restart of the server everything is there", async () => {
  const kept = await keptSetup(served.address, id);
  await served.stop();
  await served.start();
  await page.goto(`${served.address}/setup/${id}/plan`);
  await page.getByRole("region", { name: "Ladder" }).waitFor();
  await waitKept(page);
  assert.deepEqual(await keptSetup(served.address, id), kept);
  assert.equal(await shownText("distance", 0), "0.90 m");
  for (const [index, light] of kept.lights.entries()) {
    const last = kept.readings.filter((r) => r.lightId === light.id && !r.undone).at(-1);
    assert.equal(await shownAv(cell(page, "metered", index)), last?.av, `${light.tag} metered`);
  }
  await page.goto(served.address);
  await page.getByRole("heading", { name: kept.title, exact: true }).first().waitFor();
});

test("the page logged no error and asked no other machine", () => watched.clean());

/** Plays the photographer at one head: fire, read, turn, until the page goes on by itself. */
async function meterLight(planned: Setup, light: Light): Promise<void> {
  const current = page.locator(".steps [aria-current=step]");
  await page.getByRole("heading", { name: `${light.tag} ${light.role}` }).waitFor();
  const target = (await shownAv(page.locator(".goal"))) ?? 99;
  let shown = 99;
  let dial = 99;
  for (let shot = 1; shot <= 4; shot += 1) {
    dial = dialTold(await words(page.locator(".turn-card")), light.head.dial);
    shown = Math.round(10 * (predictedAt(planned, light, dial) + (OFF[light.role] ?? 0))) / 10;
    await tapReading(page, shown);
    const said = await words(page.locator(".turn-card"));
    if (!/turn (up|down)/.test(said)) break;
    assert.equal(/turn up/.test(said), shown < target, `${said} after ${shown}, wanted ${target}`);
  }
  const step = "stepStops" in light.head.dial ? light.head.dial.stepStops : 0.1;
  const near = Math.max(0.1, step / 2 + 0.05);
  assert.ok(Math.abs(shown - target) <= near + 1e-9, `${light.tag} reads ${shown}, wanted ${target}`);
  const label = await words(current);
  assert.match(label, /, met$/, "the step is ticked");
  await current.filter({ hasNotText: light.role }).waitFor();
  const kept = await keptWhen(
    served.address,
    id,
    (setup) => setup.lights.find((l) => l.id === light.id)?.dialStops === dial,
  );
  assert.equal(kept.readings.filter((r) => r.lightId === light.id).at(-1)?.av, shown);
}

/** What the plan says that this light reads with its dial there, learnt from no reading. */
function predictedAt(planned: Setup, light: Light, dialStops: number): number {
  const turned = { ...planned, lights: planned.lights.map((l) => (l.id === light.id ? { ...l, dialStops } : l)) };
  const av = predict(turned).lights.find((l) => l.lightId === light.id)?.predicted.av ?? null;
  if (av === null) throw new Error(`${light.tag} is dark`);
  return av;
}

async function lightOf(role: string): Promise<Light> {
  const light = (await keptSetup(served.address, id)).lights.find((l) => l.role === role);
  if (light === undefined) throw new Error(`no ${role}`);
  return light;
}

const distanceOf = (light: Light): number => (light.place.kind === "polar" ? light.place.distanceM : Number.NaN);

const shownText = (row: string, index: number): Promise<string> =>
  cell(page, row, index).getByRole("textbox").first().inputValue();

async function frontOnScreen(light: Light): Promise<Point> {
  const box = await page.locator(`.plan-drawing [data-part^="light:${light.id}"]`).first().boundingBox();
  if (box === null) throw new Error(`${light.tag} is not on the plan`);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** So many pixels farther from the nose: seen from above the camera is down and picture-right is right. */
function awayFromNose(light: Light, from: Point, pixels: number): Point {
  const angle = ((light.place.kind === "polar" ? light.place.azimuthDeg : Number.NaN) * Math.PI) / 180;
  return { x: from.x + pixels * Math.sin(angle), y: from.y + pixels * Math.cos(angle) };
}

function has(program: string): boolean {
  try {
    execFileSync(program, ["-v"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}
