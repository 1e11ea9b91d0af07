/**
 * The mix of test frames in the page, headless Chromium: a light's jaws move a tenth of a stop at every frame of the
 * screen; new pictures are counted as they reach the canvas. Six frames of 1080 × 1620, rendered here; the page mixes
 * the proxies at the size it shows. Aim of the frames: 60 pictures a second, or what the machine gives.
 */

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { FRAME_NAMES, writeFrameFiles } from "../test/browser/frame-files.ts";
import { DESK, openBrowser, openPage, serve } from "../test/browser/harness.ts";
import { printMachine } from "./harness.ts";

const SECONDS = 4;
const ROUNDS = 3;

const folder = mkdtempSync(join(tmpdir(), "stopwise-bench-"));
await writeFrameFiles(folder, { width: 360, samples: 2 });
const served = await serve();
const browser = await openBrowser();
try {
  const { page } = await openPage(browser, DESK);
  await page.goto(`${served.address}/setup/demo-choir/frames`);
  await page.locator('input[type="file"]').setInputFiles(FRAME_NAMES.map((name) => join(folder, `${name}.png`)));
  await page.locator(".difference-causes li").first().waitFor({ timeout: 120_000 });
  printMachine();
  for (let round = 0; round < ROUNDS; round++) {
    const { screens, pictures, size } = await page.evaluate(count, SECONDS);
    const rates = `${(screens / SECONDS).toFixed(0)} frames of the screen a second, ${(pictures / SECONDS).toFixed(0)} new mixes`;
    console.log(`   round ${round + 1}: ${rates}, at ${size}`);
  }
} finally {
  await browser.close();
  await served.close();
  rmSync(folder, { recursive: true, force: true });
}

/** In the page: a key at every animation frame, pictures counted where they are put on the canvas. */
async function count(seconds: number): Promise<{ screens: number; pictures: number; size: string }> {
  const canvas = document.querySelector<HTMLCanvasElement>(".mix-view canvas");
  const jaws = document.querySelector<HTMLElement>('.mix-jaws[aria-label^="F "]');
  if (canvas === null || jaws === null) throw new Error("no mix to move");
  let [screens, pictures] = [0, 0];
  const put = CanvasRenderingContext2D.prototype.putImageData;
  CanvasRenderingContext2D.prototype.putImageData = function (...parts: unknown[]) {
    if (this.canvas === canvas) pictures++;
    return (put as (...all: unknown[]) => void).apply(this, parts);
  };
  const end = performance.now() + 1000 * seconds;
  while (performance.now() < end) {
    await new Promise((resolve) => requestAnimationFrame(resolve));
    const key = screens++ % 20 < 10 ? "ArrowUp" : "ArrowDown";
    jaws.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
  }
  CanvasRenderingContext2D.prototype.putImageData = put;
  return { screens, pictures, size: `${canvas.width} × ${canvas.height}` };
}
