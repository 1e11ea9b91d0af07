/**
 * Frames as a photographer meets them: a folder of files, each with one light, one with all, one with none, from a set
 * whose hair light was bumped before the last; what they show, what does not add up, a mix, and its turns in Meter.
 * Photographs are rendered here and photographed by a camera in numbers: invented.
 */

import assert from "node:assert/strict";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import type axe from "axe-core";
import type { Browser } from "playwright-core";
import { BUMPED_STOPS, FRAME_NAMES, writeFrameFiles } from "./frame-files.ts";
import { DESK, openBrowser, openDemo, openPage, type Served, serve, type WatchedPage } from "./harness.ts";

let served: Served;
let browser: Browser;
let desk: WatchedPage;
let folder: string;

before(async () => {
  folder = await mkdtemp(join(tmpdir(), "stopwise-frames-"));
  await writeFrameFiles(folder, { width: 108, samples: 6 });
  served = await serve();
  browser = await openBrowser();
  desk = await openPage(browser, DESK);
  await openDemo(desk.page, served.address, "Choir headshots");
  await desk.page.getByRole("link", { name: "Frames" }).click();
});

after(async () => {
  await browser.close();
  await served.close();
  await rm(folder, { recursive: true, force: true });
});

test("files are read and assigned to their lights, and the sum says which light was bumped", async () => {
  const { page } = desk;
  const names = FRAME_NAMES;
  await page.locator('input[type="file"]').setInputFiles(names.map((name) => join(folder, `${name}.png`)));
  const shows = (name: string) => page.getByLabel(`What ${name}.png shows`);
  const expected = [
    "M main alone",
    "F fill alone",
    "E edge alone",
    "H hair alone",
    "all together",
    "none: the room alone",
  ];
  await shows("0417_none").waitFor({ timeout: 30_000 });
  for (const [i, name] of names.entries()) {
    await page.waitForFunction(
      ([label, words]) => {
        const select = document.querySelector<HTMLSelectElement>(`select[data-frame="${label}"]`);
        return select?.selectedOptions[0]?.textContent === words;
      },
      [`${name}.png`, expected[i] as string] as const,
      { timeout: 20_000 },
    );
  }
  const cause = page.locator(".difference-causes li", { hasText: "H" }).first();
  await cause.waitFor({ timeout: 20_000 });
  const words = (await cause.textContent()) ?? "";
  const told = Number(/(\d\.\d)/.exec(words)?.[1]);
  assert.ok(Math.abs(told - Math.abs(BUMPED_STOPS)) <= 0.11, words);
});

test("the mix with a patch and all its parts breaks no rule of axe, dark or light", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Place" }).click();
  await page.getByRole("application", { name: /Place a patch/ }).focus();
  await page.keyboard.press("ArrowLeft");
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: "Done" }).click();
  await page.getByLabel("Name of patch 1").fill("lit cheek");
  await page.getByText("Reach a picture").click();
  await page.evaluate(await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8"));
  for (const theme of ["dark", "light"]) {
    await page.evaluate((shown) => {
      document.documentElement.dataset.theme = shown;
    }, theme);
    // Colours fade over; half-way they are neither theme's.
    await page.waitForTimeout(500);
    const { violations } = await page.evaluate(() =>
      (globalThis as unknown as { axe: typeof axe }).axe.run(document, { resultTypes: ["violations"] }),
    );
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 90)).join(" | ")}`),
      [],
    );
  }
});

test("jaws moved in the mix change the picture, and the setup takes them as targets that Meter turns toward", async () => {
  const { page } = desk;
  const fill = page.getByRole("slider", { name: "F fill in the mix" });
  const before = await pixel(desk);
  await fill.focus();
  for (let i = 0; i < 10; i++) await page.keyboard.press("ArrowUp");
  await page.waitForFunction((was) => {
    const canvas = document.querySelector<HTMLCanvasElement>(".mix-view canvas");
    const data = canvas?.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height).data ?? [];
    let sum = 0;
    for (let i = 0; i < data.length; i++) sum += data[i] as number;
    return sum > was;
  }, before);
  await page.getByRole("button", { name: "Apply to setup: F up 1" }).click();
  await page.getByText("In the setup: F up 1").waitFor();
  await page.getByRole("link", { name: "Meter" }).click();
  await page.waitForURL(/\/meter/);
  await page.goto(`${page.url().split("?")[0]}?at=light-f`);
  await page
    .getByText(/up 1(\.0)?\b/)
    .first()
    .waitFor();
});

test("a person's word goes before the machine's, and a frame taken out is gone after a reload", async () => {
  const { page } = desk;
  await page.goto(page.url().replace(/\/meter.*/, "/frames"));
  const select = page.getByLabel("What 0417_none.png shows");
  await select.selectOption("aside");
  await page.reload();
  await page.getByLabel("What 0417_none.png shows").waitFor();
  assert.equal(await page.getByLabel("What 0417_none.png shows").inputValue(), "aside");
  await page.getByRole("button", { name: "take out 0417_none.png" }).click();
  await page.getByLabel("What 0417_none.png shows").waitFor({ state: "detached" });
  await page.reload();
  await page.getByLabel("What 0416_all.png shows").waitFor();
  assert.equal(await page.getByLabel("What 0417_none.png shows").count(), 0);
});

test("a file that is no picture is said with its mend, and the others stay", async () => {
  const { page } = desk;
  const broken = join(folder, "0499.jpg");
  await writeFile(broken, "not a picture at all");
  await page.locator('input[type="file"]').setInputFiles([broken]);
  await page.locator(".frame-faults").waitFor({ timeout: 15_000 });
  assert.match((await page.locator(".frame-faults").textContent()) ?? "", /0499\.jpg/);
  assert.equal(await page.locator("select[data-frame]").count(), 5);
});

/** Sum of all codes of the mix. */
const pixel = ({ page }: WatchedPage): Promise<number> =>
  page
    .locator(".mix-view canvas")
    .first()
    .evaluate((node) => {
      const canvas = node as HTMLCanvasElement;
      const { data } = (canvas.getContext("2d") as CanvasRenderingContext2D).getImageData(
        0,
        0,
        canvas.width,
        canvas.height,
      );
      return data.reduce((sum, code) => sum + code, 0);
    });
