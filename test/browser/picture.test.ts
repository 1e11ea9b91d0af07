/**
 * The picture beside the plan, as a user meets it: asked for, it comes as a first look and then in passes; lights go
 * on, off and alone without a new ray; stops have a legend; a press reads like a meter. No pixel is checked against
 * a stored picture: what one light alone adds is checked against the sum.
 */

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { DESK, openBrowser, openDemo, openPage, type Served, serve, type WatchedPage } from "./harness.ts";

let served: Served;
let browser: Browser;
let desk: WatchedPage;

before(async () => {
  served = await serve();
  browser = await openBrowser();
  desk = await openPage(browser, DESK);
  await openDemo(desk.page, served.address, "Choir headshots");
  await desk.page.getByRole("button", { name: "Picture", exact: true }).click();
});

after(async () => {
  await browser.close();
  await served.close();
});

/** Mean of the canvas, 0…255, linearised: IEC 61966-2-1 decode. */
const meanLight = (page: Page): Promise<number> =>
  page
    .locator(".picture-frame canvas")
    .first()
    .evaluate((node) => {
      const canvas = node as HTMLCanvasElement;
      const { data } = (canvas.getContext("2d") as CanvasRenderingContext2D).getImageData(
        0,
        0,
        canvas.width,
        canvas.height,
      );
      let sum = 0;
      for (let i = 0; i < data.length; i += 4) {
        for (let c = 0; c < 3; c++) {
          const v = (data[i + c] as number) / 255;
          sum += v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
        }
      }
      return sum / ((3 * data.length) / 4);
    });

const settled = (page: Page): Promise<unknown> =>
  page.waitForFunction(
    () => /[1-9]\d* paths a pixel/.test(document.querySelector(".picture-state")?.textContent ?? ""),
    null,
    {
      timeout: 90_000,
    },
  );

test("the picture comes, is not black, and says how far it is and on what", async () => {
  const { page } = desk;
  await page.getByText(/first look|paths a pixel/).waitFor({ timeout: 60_000 });
  await settled(page);
  assert.ok((await meanLight(page)) > 0.005, "something is seen");
  assert.match((await page.locator(".picture-state").textContent()) ?? "", /on the processor|noise/);
});

test("each light alone, added up, is all of them together: light is linear and no ray is traced for a switch", async () => {
  const { page } = desk;
  const whole = await meanLight(page);
  let sum = 0;
  for (const tag of ["M", "F", "E", "H"]) {
    await page.getByRole("button", { name: `alone, ${tag}` }).click();
    sum += await meanLight(page);
    await page.getByRole("button", { name: "all together" }).click();
  }
  // 8-bit steps, clipping and the ambient layer (in the whole, in no light alone) leave a little.
  assert.ok(sum > 0.7 * whole && sum < 1.05 * whole, `alone ${sum.toFixed(4)}, together ${whole.toFixed(4)}`);
});

test("switching a light off darkens the picture, and on again brings it back", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "on, M" }).click();
  const without = await meanLight(page);
  await page.getByRole("button", { name: "on, M" }).click();
  assert.ok(without < 0.8 * (await meanLight(page)), "the main carries most of the light");
});

test("stops have a legend, the wipe a handle that keys move, and a press reads in f-numbers", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Both" }).click();
  await page.getByRole("list", { name: "Stops from a mid grey card" }).waitFor();
  const wipe = page.getByRole("slider", { name: "Wipe" });
  const at = Number(await wipe.inputValue());
  await wipe.focus();
  await page.keyboard.press("ArrowRight");
  assert.equal(Number(await wipe.inputValue()), at + 1);
  const box = await page.locator(".picture-frame").boundingBox();
  assert.ok(box !== null);
  await page.mouse.click(box.x + box.width * 0.46, box.y + box.height * 0.4);
  const read = page.locator(".picture-total");
  await read.waitFor({ timeout: 20_000 });
  assert.match((await read.textContent()) ?? "", /f [\d.]+ and \d tenths/);
});

test("the page logged no error and asked no other machine", () => desk.clean());
