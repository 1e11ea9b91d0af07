/**
 * The picture beside the plan, as a user meets it: asked for, it comes as a first look and then in passes; lights go
 * on, off and alone without a new ray; stops have a legend; a press reads like a meter. No pixel is checked against
 * a stored picture: what one light alone adds is checked against the sum.
 */

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import type axe from "axe-core";
import type { Browser, Page } from "playwright-core";
import { DESK, openBrowser, openDemo, openPage, type Served, serve, type WatchedPage } from "./harness.ts";
import { keptSetup } from "./screen.ts";

let served: Served;
let browser: Browser;
let desk: WatchedPage;
let setupId: string;

before(async () => {
  served = await serve();
  browser = await openBrowser();
  desk = await openPage(browser, DESK);
  await desk.page.addInitScript(countMessages);
  setupId = await openDemo(desk.page, served.address, "Choir headshots");
  await desk.page.getByRole("button", { name: "Picture", exact: true }).click();
});

after(async () => {
  await browser.close();
  await served.close();
});

type Counted = { readonly messages: Record<string, number> };

/** Counts what the page and its workers say to each other, by kind; runs in the page. */
function countMessages(): void {
  const messages: Record<string, number> = {};
  Object.assign(globalThis, { messages });
  const count = (way: string, data: unknown): void => {
    const said = data as { kind?: string; job?: number; layers?: unknown };
    const key = `${way} ${said.kind ?? ("layers" in said ? "sketched" : "other")}`;
    messages[key] = (messages[key] ?? 0) + 1;
  };
  const Real = Worker;
  globalThis.Worker = class extends Real {
    constructor(...made: ConstructorParameters<typeof Real>) {
      super(...made);
      this.addEventListener("message", ({ data }) => count("from", data));
    }
    override postMessage(data: unknown, transfer?: Transferable[] | StructuredSerializeOptions): void {
      count("to", data);
      super.postMessage(data, transfer as Transferable[]);
    }
  };
}

const counted = (page: Page): Promise<Record<string, number>> =>
  page.evaluate(() => ({ ...(globalThis as unknown as Counted).messages }));

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
    () => /[1-9]\d* paths? a pixel/.test(document.querySelector(".picture-state")?.textContent ?? ""),
    null,
    {
      timeout: 90_000,
    },
  );

test("the picture comes, is not black, and says how far it is and on what", async () => {
  const { page } = desk;
  await page.getByText(/first look|paths? a pixel/).waitFor({ timeout: 60_000 });
  await settled(page);
  assert.ok((await meanLight(page)) > 0.005, "something is seen");
  assert.match((await page.locator(".picture-state").textContent()) ?? "", /on the processor|noise/);
});

test("passes end at once when asked and go on from where they were", async () => {
  const { page } = desk;
  const state = async (): Promise<string> => (await page.locator(".picture-state").textContent()) ?? "";
  await page.getByRole("button", { name: "Stop here" }).click();
  await page.getByText(/^Stopped at \d+ paths? a pixel/).waitFor();
  const paths = async (): Promise<number> => Number(/(\d+) path/.exec(await state())?.[1]);
  const stopped = await paths();
  await page.waitForTimeout(1500);
  assert.equal(await paths(), stopped, "nothing is traced");
  await page.getByRole("button", { name: "Go on" }).click();
  for (const until = Date.now() + 60_000; (await paths()) <= stopped; ) {
    assert.ok(Date.now() < until, await state());
    await page.waitForTimeout(200);
  }
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

test("the meter is held otherwise, moved by keys, and lists each light by what it gives", async () => {
  const { page } = desk;
  const before = await page.locator(".picture-total").textContent();
  await page.getByLabel("Receptor").selectOption("disc");
  await page.getByLabel("Aimed").selectOption({ label: "to each light" });
  await page.getByText("disc to each light, straight light").waitFor();
  const frame = page.getByRole("application");
  await frame.focus();
  for (let i = 0; i < 12; i++) await page.keyboard.press("ArrowDown");
  await page.waitForFunction((was) => document.querySelector(".picture-total")?.textContent !== was, before);
  assert.ok((await page.locator(".probe-rows li").count()) >= 2);
});

test("a light alone is lifted by its stops under the main, and the small pictures follow", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Plain" }).click();
  await page.getByRole("button", { name: "alone, F" }).click();
  const plain = await meanLight(page);
  await page.getByLabel(/lift a light alone/).check();
  await page.getByText(/^F alone, lifted [23]\.\d stops$/).waitFor();
  const ratio = (await meanLight(page)) / plain;
  // 3 stops are 8 times; 8-bit codes and what clips take a little.
  assert.ok(ratio > 5 && ratio < 9, `${ratio.toFixed(2)} times as bright`);
  await page.getByLabel("small pictures of each light").check();
  const strip = page.getByRole("list", { name: "Each light alone, and all together" });
  // Four lights, the room's own light, all together.
  assert.equal(await strip.getByRole("listitem").count(), 6);
  await strip.getByRole("button", { name: "together" }).click();
  await page.getByLabel(/lift a light alone/).uncheck();
});

test("the picture with all its parts open breaks no rule of axe", async () => {
  const { page } = desk;
  await page.getByRole("button", { name: "Both" }).click();
  const source = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  await page.evaluate(source);
  const { violations } = await page.evaluate(() =>
    (globalThis as unknown as { axe: typeof axe }).axe.run(".picture-pane"),
  );
  assert.deepEqual(
    violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)]),
    [],
  );
  await page.getByRole("button", { name: "Plain" }).click();
});

test("the set is walked round by keys and pointer, one press goes back, and the setup is as it was", async () => {
  const { page } = desk;
  const before = await keptSetup(served.address, setupId);
  await page.getByRole("button", { name: "Walk round" }).click();
  const frame = page.getByRole("application", { name: "Set, walked round" });
  await frame.waitFor();
  await page.getByText("A first look").waitFor({ timeout: 60_000 });
  const look = await meanLight(page);
  await frame.focus();
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("+");
  const box = await frame.boundingBox();
  assert.ok(box !== null);
  await page.mouse.move(box.x + 80, box.y + 80);
  await page.mouse.down();
  await page.mouse.move(box.x + 160, box.y + 90, { steps: 4 });
  await page.mouse.up();
  for (const until = Date.now() + 60_000; Math.abs((await meanLight(page)) - look) < 1e-5; ) {
    assert.ok(Date.now() < until, "the view turned");
    await page.waitForTimeout(100);
  }
  await frame.focus();
  await page.keyboard.press("Escape");
  await page.getByRole("application", { name: "Picture, with a meter" }).waitFor();
  // The camera's layers were kept: no first look is needed again.
  await settled(page);
  assert.deepEqual(await keptSetup(served.address, setupId), before);
});

test("a dragged light is sketched at once; a hundred fast moves leave no queue; then only what changed is traced", async () => {
  const { page } = desk;
  const light = page.getByRole("region", { name: "Plan" }).locator('[data-part="light:light-e"]').first();
  const box = await light.boundingBox();
  assert.ok(box !== null);
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 12, y, { steps: 100 });
  await page.getByText("E: a sketch without shadows").waitFor({ timeout: 20_000 });
  await page.mouse.up();
  const said = await counted(page);
  const open = (to: string, from: string): number => (said[`to ${to}`] ?? 0) - (said[`from ${from}`] ?? 0);
  assert.ok(open("sketch", "sketched") <= 1, JSON.stringify(said));
  assert.ok(open("render", "taken") <= 1, JSON.stringify(said));
  assert.ok((said["from sketched"] ?? 0) >= 1);
  await page.getByText(/E traced anew|paths? a pixel/).waitFor({ timeout: 90_000 });
  const sketches = await page.evaluate(() => performance.getEntriesByName("stopwise-sketch").map((e) => e.duration));
  assert.ok(sketches.length >= 1);
});

test("the small picture is on the Book's card after a reload, and the Sheet takes a page of them", async () => {
  const { page } = desk;
  await page.getByRole("link", { name: "Sheet", exact: true }).click();
  await page.getByRole("button", { name: "Pictures of each light" }).click();
  await page.locator(".sheet-page").nth(2).waitFor({ timeout: 120_000 });
  assert.ok((await page.locator(".sheet-page").nth(2).locator("image").count()) >= 5);
  await page.getByRole("link", { name: "Book", exact: true }).click();
  await page.reload();
  await page.locator('.card-picture[data-age="present"]').waitFor();
});

test("the page logged no error and asked no other machine", () => desk.clean());
