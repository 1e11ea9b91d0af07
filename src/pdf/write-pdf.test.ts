import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { inflateSync } from "node:zlib";
import { choirReport, choirSetup } from "../drawing/choir-example.ts";
import { type SheetPage, sheetPages, toSvg } from "../drawing/index.ts";
import { fontsFromPackage } from "./fonts-node.ts";
import { writePdf } from "./index.ts";

const folder = mkdtempSync(join(tmpdir(), "sheet-"));
after(() => rmSync(folder, { recursive: true }));

const has = (tool: string): boolean => spawnSync(tool, ["-v"]).error === undefined;
const poppler = has("pdftoppm") && has("pdftotext") && has("pdffonts") ? false : "the poppler tools are not installed";
const chromium = ["chromium", "chromium-browser", "google-chrome"].find(
  (name) => spawnSync(name, ["--version"]).error === undefined,
);
const browser = poppler || (chromium === undefined ? "no browser found to draw the SVG" : false);

const meta = async (): Promise<Parameters<typeof writePdf>[1]> => ({
  title: choirSetup.title,
  date: new Date("2026-11-25T12:00:00Z"),
  fonts: await fontsFromPackage(),
});
const pagesOf = (paper: "A4" | "Letter" = "A4"): readonly SheetPage[] =>
  sheetPages(choirSetup, choirReport, [], { paper, units: "metres" });

async function written(paper: "A4" | "Letter" = "A4"): Promise<string> {
  const file = join(folder, `${paper}.pdf`);
  writeFileSync(file, await writePdf(pagesOf(paper), await meta()));
  return file;
}

test("the same drawings give the same bytes", async () => {
  const [a, b] = [await writePdf(pagesOf(), await meta()), await writePdf(pagesOf(), await meta())];
  assert.ok(Buffer.from(a).equals(Buffer.from(b)));
  assert.ok(a.length < 400_000, `${a.length} bytes`);
});

test("a web font is refused: its pages would stay blank", async () => {
  const good = await meta();
  const woff2 = new TextEncoder().encode("wOF2 and more");
  await assert.rejects(writePdf(pagesOf(), { ...good, fonts: { ...good.fonts, bold: woff2 } }), RangeError);
  await assert.rejects(writePdf([], good), RangeError);
});

test("the document is tagged, named and in a language (ISO 32000-1:2008, 14.7 to 14.9)", async () => {
  const text = Buffer.from(await writePdf(pagesOf(), await meta())).toString("latin1");
  for (const key of ["/StructTreeRoot", "/Marked true", "/Lang (en-GB)", "/DisplayDocTitle true"]) {
    assert.ok(text.includes(key), key);
  }
});

test("fonts are embedded, and every reading can be found as text", { skip: poppler }, async () => {
  const file = await written();
  const fonts = execFileSync("pdffonts", [file], { encoding: "utf8" }).trim().split("\n").slice(2);
  assert.equal(fonts.length, 3);
  for (const font of fonts) assert.match(font, /Archivo.* yes yes yes/);
  const text = execFileSync("pdftotext", ["-raw", file, "-"], { encoding: "utf8" }).replace(/\s+/g, " ");
  for (const told of choirReport.lights) {
    if (told.readingAv === null) continue;
    const tenth = Math.round(told.readingAv * 10) % 10;
    const mark = { 5: "5.6", 1: "1.4", 3: "2.8" }[Math.floor(told.readingAv)] ?? "";
    assert.ok(new RegExp(`f/ ?${mark.replace(".", "\\.")} ?${tenth}`).test(text), `${told.tag} f/${mark} ${tenth}`);
  }
  for (const words of ["Choir headshots", "camera left", "Run of sitters", "black panel 1 × 2"])
    assert.ok(text.includes(words), words);
  assert.match(execFileSync("pdfinfo", [file], { encoding: "utf8" }), /Pages: +2\s/);
});

test("a page of pictures holds them as figures with words (ISO 32000-1:2008, 14.8.4.5)", {
  skip: poppler,
}, async () => {
  // One grey pixel, as PNG.
  const source =
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==";
  const pictures = [{ lightId: null, liftedStops: 0, source, width: 2, height: 3 }];
  const pages = sheetPages(choirSetup, choirReport, [], { paper: "A4", units: "metres", pictures });
  const bytes = await writePdf(pages, await meta());
  assert.match(Buffer.from(bytes).toString("latin1"), /\/Figure/);
  const file = join(folder, "pictures.pdf");
  writeFileSync(file, bytes);
  assert.match(execFileSync("pdfimages", ["-list", file], { encoding: "utf8" }), /\n +3 +\d+ image +1 +1 +gray/);
});

interface Raster {
  readonly width: number;
  readonly height: number;
  readonly grey: Uint8Array;
}

/** A portable greymap (P5), as pdftoppm -gray writes it. */
function readPgm(file: string): Raster {
  const bytes = readFileSync(file);
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.subarray(0, 40).toString("latin1"));
  assert.ok(head);
  return { width: Number(head[1]), height: Number(head[2]), grey: bytes.subarray(head[0].length) };
}

function rastered(file: string, page: number, dpi: number): Raster {
  const out = join(folder, `page-${page}-${dpi}`);
  execFileSync("pdftoppm", [
    "-gray",
    "-r",
    String(dpi),
    "-f",
    String(page),
    "-l",
    String(page),
    "-singlefile",
    file,
    out,
  ]);
  return readPgm(`${out}.pgm`);
}

/** The longest unbroken dark run of any row in a band, in pixels. */
function longestRun(raster: Raster, from: number, to: number, darkerThan: number): number {
  let best = 0;
  for (let y = from; y < to; y++) {
    let run = 0;
    for (let x = 0; x < raster.width; x++) {
      run = (raster.grey[y * raster.width + x] ?? 255) < darkerThan ? run + 1 : 0;
      best = Math.max(best, run);
    }
  }
  return best;
}

test("printed at 300 dpi the line measures 100 mm and the room its width at the stated scale", {
  skip: poppler,
}, async () => {
  for (const paper of ["A4", "Letter"] as const) {
    const raster = rastered(await written(paper), 1, 300);
    const mm = 300 / 25.4;
    const rule = longestRun(raster, Math.round(raster.height - 14 * mm), raster.height, 128);
    assert.ok(Math.abs(rule / mm - 100) < 0.4, `${paper}: the line is ${(rule / mm).toFixed(2)} mm`);
    // The plan's back wall is the longest dark bar in the upper part of the page: the room and both walls, 7 cm each.
    const wall = longestRun(raster, Math.round(36 * mm), Math.round(48 * mm), 140);
    const wanted = (4200 + 140) / 50;
    assert.ok(Math.abs(wall / mm - wanted) < 0.4, `${paper}: the wall is ${(wall / mm).toFixed(2)} mm, not ${wanted}`);
  }
});

/** A PNG of 8-bit RGB or RGBA as grey: enough of ISO/IEC 15948:2004 for a browser's screenshot. */
function readPng(file: string): Raster {
  const bytes = readFileSync(file);
  const parts: Buffer[] = [];
  let [width, height, channels] = [0, 0, 4];
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    const kind = bytes.toString("latin1", at + 4, at + 8);
    const body = bytes.subarray(at + 8, at + 8 + length);
    if (kind === "IHDR")
      [width, height, channels] = [body.readUInt32BE(0), body.readUInt32BE(4), body[9] === 2 ? 3 : 4];
    if (kind === "IDAT") parts.push(body);
    at += 12 + length;
  }
  const pixels = unfiltered(inflateSync(Buffer.concat(parts)), width, height, channels);
  const grey = new Uint8Array(width * height);
  for (let i = 0; i < grey.length; i++) {
    const [r = 0, g = 0, b = 0] = pixels.subarray(i * channels, i * channels + 3);
    grey[i] = Math.round(0.299 * r + 0.587 * g + 0.114 * b);
  }
  return { width, height, grey };
}

function unfiltered(raw: Buffer, width: number, height: number, channels: number): Uint8Array {
  const stride = width * channels;
  const out = new Uint8Array(stride * height);
  for (let y = 0; y < height; y++) {
    const filter = raw[y * (stride + 1)];
    for (let i = 0; i < stride; i++) {
      const value = raw[y * (stride + 1) + 1 + i] ?? 0;
      const left = i >= channels ? (out[y * stride + i - channels] ?? 0) : 0;
      const up = y > 0 ? (out[(y - 1) * stride + i] ?? 0) : 0;
      const corner = i >= channels && y > 0 ? (out[(y - 1) * stride + i - channels] ?? 0) : 0;
      const guess = [0, left, up, (left + up) >> 1, paeth(left, up, corner)][filter ?? 0] ?? 0;
      out[y * stride + i] = (value + guess) & 255;
    }
  }
  return out;
}

function paeth(left: number, up: number, corner: number): number {
  const p = left + up - corner;
  const [a, b, c] = [Math.abs(p - left), Math.abs(p - up), Math.abs(p - corner)];
  return a <= b && a <= c ? left : b <= c ? up : corner;
}

test("the PDF looks like the SVG: the two rasters differ by little", { skip: browser, timeout: 60_000 }, async () => {
  const file = await written();
  const fonts = ["400Regular/Archivo_400Regular", "600SemiBold/Archivo_600SemiBold", "700Bold/Archivo_700Bold"]
    .map((face, i) => {
      const url = import.meta.resolve(`@expo-google-fonts/archivo/${face}.ttf`);
      return `@font-face{font-family:Archivo;font-weight:${[400, 600, 700][i]};src:url(${url})}`;
    })
    .join("");
  for (const [i, page] of pagesOf().entries()) {
    const html = join(folder, `page-${i + 1}.html`);
    const png = join(folder, `page-${i + 1}.png`);
    const svg = toSvg(page, { palette: "print", fluid: true });
    const style = `${fonts}html,body{margin:0;background:#fff}svg{display:block;width:794px;height:1123px;font-kerning:none}`;
    writeFileSync(html, `<!doctype html><meta charset=utf8><style>${style}</style>${svg}`);
    const flags = [
      "--headless",
      "--no-sandbox",
      "--disable-gpu",
      "--hide-scrollbars",
      "--allow-file-access-from-files",
    ];
    execFileSync(chromium ?? "", [...flags, "--window-size=794,1123", `--screenshot=${png}`, `file://${html}`], {
      stdio: "ignore",
    });
    const [a, b, other] = [rastered(file, i + 1, 96), readPng(png), rastered(file, 2 - i, 96)];
    const { mean, ink, inkOfPdf } = compared(a, b);
    assert.ok(compared(other, b).mean > 3 * mean, "the other page must differ by far more");
    assert.ok(mean < 5, `page ${i + 1}: mean difference ${mean.toFixed(2)} of 255`);
    // A blank page would also differ by little, so the amount of ink is held too.
    assert.ok(
      ink > 4 && Math.abs(inkOfPdf / ink - 1) < 0.08,
      `page ${i + 1}: ink ${ink.toFixed(2)} and ${inkOfPdf.toFixed(2)}`,
    );
  }
});

/** Mean difference after a blur of three pixels each way, which forgives how edges are smoothed; and mean ink. */
function compared(a: Raster, b: Raster): { readonly mean: number; readonly ink: number; readonly inkOfPdf: number } {
  const [width, height] = [Math.min(a.width, b.width), Math.min(a.height, b.height)];
  const block = 3;
  let [difference, inkA, inkB, count] = [0, 0, 0, 0];
  for (let y = 0; y + block <= height; y += block) {
    for (let x = 0; x + block <= width; x += block) {
      const [ga, gb] = [blockMean(a, x, y, block), blockMean(b, x, y, block)];
      difference += Math.abs(ga - gb);
      inkA += 255 - ga;
      inkB += 255 - gb;
      count++;
    }
  }
  return { mean: difference / count, ink: inkB / count, inkOfPdf: inkA / count };
}

function blockMean(raster: Raster, x: number, y: number, size: number): number {
  let sum = 0;
  for (let dy = 0; dy < size; dy++) {
    for (let dx = 0; dx < size; dx++) sum += raster.grey[(y + dy) * raster.width + x + dx] ?? 255;
  }
  return sum / size ** 2;
}
