/**
 * The pictures of docs/screens, taken anew: `node bin/stopwise.mjs run screenshots`, or this file with the pinned
 * Node. Starts a server with the demo book on a temporary data directory and looks at every screen: at a desk
 * (1440 x 900), on a tablet (1024 x 768) and on a phone (390 x 844), dark and light. `--all DIR` writes every
 * screen in every size and theme to DIR instead, to be looked at; without it only the set that is kept.
 */

import { mkdirSync, mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { FRAME_NAMES, writeFrameFiles } from "../test/browser/frame-files.ts";
import { DESK, openBrowser, openPage, PHONE, type Served, serve } from "../test/browser/harness.ts";

type Theme = "dark" | "light";
type SizeName = "desk" | "tablet" | "phone";

interface Screen {
  readonly name: string;
  readonly path: string;
  /** What shows that the screen is there. */
  readonly mark: string;
  /** What is pressed before the picture is taken, and what then shows. */
  readonly press?: { readonly button: RegExp; readonly mark: string };
  /** Anything more that must happen first. */
  readonly prepare?: (page: Page) => Promise<void>;
  /** Sizes in which the screen is a screen of its own. */
  readonly sizes: readonly SizeName[];
  /** Pictures that are kept in docs/screens. */
  readonly kept: readonly `${SizeName}-${Theme}`[];
}

const SIZES: Readonly<Record<SizeName, BrowserContextOptions>> = {
  desk: DESK,
  tablet: { viewport: { width: 1024, height: 768 }, hasTouch: true },
  phone: PHONE,
};
const EVERYWHERE = ["desk", "tablet", "phone"] as const;
const SETUP = "/setup/demo-choir";
/** A picture in the repository may weigh so much. */
const MOST_BYTES = 300_000;

/** Lit cheek, far cheek, hair, paper, sleeve: parts of the frame. */
const PATCHES = [
  [0.43, 0.37],
  [0.56, 0.37],
  [0.44, 0.2],
  [0.1, 0.1],
  [0.3, 0.85],
] as const;

const SCREENS: readonly Screen[] = [
  { name: "book", path: "/", mark: ".card h2", sizes: EVERYWHERE, kept: ["desk-light", "desk-dark"] },
  { name: "new", path: "/new", mark: ".pattern", sizes: EVERYWHERE, kept: ["desk-light"] },
  {
    name: "plan",
    path: `${SETUP}/plan`,
    mark: "[aria-label=Ladder] svg",
    sizes: EVERYWHERE,
    kept: ["desk-dark", "desk-light", "tablet-light", "phone-dark"],
  },
  {
    name: "plan-side",
    path: `${SETUP}/plan`,
    mark: "[aria-label=Ladder] svg",
    press: { button: /^Side$/, mark: ".plan-drawing svg" },
    sizes: ["desk", "tablet"],
    kept: [],
  },
  {
    name: "plan-cautions",
    path: `${SETUP}/plan`,
    mark: ".caution-more",
    press: { button: /cautions$/i, mark: ".caution-item" },
    sizes: EVERYWHERE,
    kept: ["desk-light"],
  },
  {
    name: "plan-room",
    path: `${SETUP}/plan`,
    mark: ".phone-tabs",
    press: { button: /^Room$/, mark: ".plan-drawing svg" },
    sizes: ["phone"],
    kept: [],
  },
  {
    name: "plan-details",
    path: `${SETUP}/plan`,
    mark: ".phone-tabs",
    press: { button: /^Details$/, mark: ".details-pane" },
    sizes: ["phone"],
    kept: [],
  },
  {
    name: "why",
    path: `${SETUP}/plan?why=light:light-m`,
    mark: ".why[open] [role=table]",
    sizes: EVERYWHERE,
    kept: ["desk-light"],
  },
  { name: "meter", path: `${SETUP}/meter`, mark: ".keypad", sizes: EVERYWHERE, kept: ["phone-dark", "phone-light"] },
  { name: "meter-together", path: `${SETUP}/meter?at=together`, mark: ".together-row", sizes: EVERYWHERE, kept: [] },
  { name: "call-out", path: `${SETUP}/meter?call=1`, mark: ".call-out[open]", sizes: EVERYWHERE, kept: ["phone-dark"] },
  {
    name: "plan-picture",
    path: `${SETUP}/plan`,
    mark: "[aria-label=Ladder] svg",
    prepare: showPicture,
    sizes: ["desk"],
    kept: ["desk-dark"],
  },
  {
    name: "frames",
    path: `${SETUP}/frames`,
    mark: ".frame-list",
    prepare: mixFrames,
    sizes: EVERYWHERE,
    kept: ["desk-dark"],
  },
  { name: "devices", path: "/devices", mark: "main h1, main h2", sizes: EVERYWHERE, kept: [] },
  { name: "sheet", path: `${SETUP}/sheet`, mark: ".sheet-page svg", sizes: EVERYWHERE, kept: ["desk-dark"] },
  { name: "kit", path: "/kit", mark: ".kit-table", sizes: EVERYWHERE, kept: ["desk-light"] },
];

const { values } = parseArgs({ options: { all: { type: "string" } } });
const folder = values.all ?? join(import.meta.dirname, "..", "docs", "screens");
mkdirSync(folder, { recursive: true });
const frameFolder = mkdtempSync(join(tmpdir(), "stopwise-screens-"));
const served = await serve();
const browser = await openBrowser();
try {
  let count = 0;
  for (const size of EVERYWHERE) count += await picturesOf(browser, served, size);
  console.log(`${count} pictures in ${folder}`);
} finally {
  await browser.close();
  await served.close();
  rmSync(frameFolder, { recursive: true, force: true });
}

async function picturesOf(from: Browser, { address }: Served, size: SizeName): Promise<number> {
  const { page, context, clean } = await openPage(from, {
    ...SIZES[size],
    deviceScaleFactor: 1,
    reducedMotion: "reduce",
  });
  let count = 0;
  for (const screen of SCREENS) {
    const themes = (["dark", "light"] as const).filter((theme) =>
      values.all === undefined ? screen.kept.includes(`${size}-${theme}`) : screen.sizes.includes(size),
    );
    if (themes.length === 0) continue;
    await open(page, address, screen);
    for (const theme of themes) {
      await picture(page, theme, join(folder, `${screen.name}-${size}-${theme}.png`));
      count += 1;
    }
  }
  clean();
  await context.close();
  return count;
}

/** The predicted picture beside the plan, once it is calm. */
async function showPicture(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Picture", exact: true }).click();
  const calm = (): boolean =>
    /\b(8|1[0-9]|[2-9][0-9]) paths a pixel/.test(document.querySelector(".picture-state")?.textContent ?? "");
  await page.waitForFunction(calm, null, { timeout: 180_000 });
}

/** Frames rendered here, their sum checked, a mix and a few patches. */
async function mixFrames(page: Page): Promise<void> {
  if ((await page.locator(".frame-item").count()) === 0) {
    await writeFrameFiles(frameFolder, { width: 180, samples: 16 });
    const files = FRAME_NAMES.map((name) => join(frameFolder, `${name}.png`));
    await page.locator('input[type="file"]').setInputFiles(files);
  }
  await page.locator(".difference-causes li").first().waitFor({ timeout: 60_000 });
  for (const [name, key, times] of [
    ["F fill in the mix", "ArrowUp", 4],
    ["H hair in the mix", "ArrowDown", 7],
  ] as const) {
    await page.getByRole("slider", { name }).focus();
    for (let i = 0; i < times; i++) await page.keyboard.press(key);
  }
  await page.getByRole("button", { name: "Place" }).click();
  const box = await page.locator(".mix-view .frame-canvas").boundingBox();
  for (const [x, y] of PATCHES) if (box) await page.mouse.click(box.x + x * box.width, box.y + y * box.height);
  await page.getByRole("button", { name: "Done" }).click();
  await page
    .locator(".patches tbody tr")
    .nth(PATCHES.length - 1)
    .waitFor();
}

async function open(page: Page, address: string, { path, mark, press, prepare }: Screen): Promise<void> {
  await page.goto(address + path);
  await page.locator(mark).first().waitFor();
  if (press !== undefined) {
    await page.getByRole("button", { name: press.button }).first().click();
    await page.locator(press.mark).first().waitFor();
  }
  await prepare?.(page);
  // The cautions are worked out behind the screen, the fonts come behind the first text.
  await page.getByText("Checking", { exact: true }).waitFor({ state: "detached" });
  await page.evaluate(() => document.fonts.ready);
}

async function picture(page: Page, theme: Theme, file: string): Promise<void> {
  await page.evaluate(async (shown) => {
    document.documentElement.dataset.theme = shown;
    await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
    await Promise.allSettled(document.getAnimations().map((animation) => animation.finished));
  }, theme);
  await page.screenshot({ path: file });
  const bytes = statSync(file).size;
  if (bytes > MOST_BYTES) console.warn(`${file} weighs ${Math.round(bytes / 1000)} kB`);
}
