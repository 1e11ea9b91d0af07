/**
 * Drawings as a PDF: vector shapes, static fonts embedded, text that can be selected and is tagged for screen
 * readers, a fixed date, so that the same drawings give the same bytes in Node. Runs in Node and in the browser;
 * the fonts are handed in. Variable and woff2 fonts are refused: their text extracts, but the page stays blank.
 */

import PDFDocument from "pdfkit";
import {
  type Drawing,
  type ImageShape,
  type Paint,
  type PathShape,
  placed,
  printPalette,
  runsWidth,
  type Shape,
  setRun,
  type TextShape,
  type Weight,
} from "../drawing/index.ts";

export interface PdfFonts {
  readonly regular: Uint8Array;
  readonly semibold: Uint8Array;
  readonly bold: Uint8Array;
}

export interface PdfMeta {
  readonly title: string;
  /** BCP 47; en-GB unless said. */
  readonly language?: string;
  /** The document's date; the same date gives the same bytes. */
  readonly date: Date;
  readonly fonts: PdfFonts;
}

const fontNames: Readonly<Record<Weight, string>> = { 400: "regular", 600: "semibold", 700: "bold" };

/** Tabular lining figures, as the widths were measured; without kerning, for the same reason. */
const features = { tnum: true, lnum: true, kern: false } as unknown as PDFKit.Mixins.OpenTypeFeatures[];

/** One page per drawing. RangeError where there is no page or a font is no static TrueType file. */
export async function writePdf(pages: readonly Drawing[], meta: PdfMeta): Promise<Uint8Array> {
  if (pages.length === 0) throw new RangeError("a PDF needs at least one page");
  const { fonts } = meta;
  for (const [name, bytes] of Object.entries(fonts)) {
    if (!isTrueType(bytes)) throw new RangeError(`the ${name} font is not a TrueType file`);
  }
  const doc = new PDFDocument({
    autoFirstPage: false,
    // No standard font is loaded: its metrics would be read from disc.
    font: null as unknown as string,
    tagged: true,
    displayTitle: true,
    lang: meta.language ?? "en-GB",
    pdfVersion: "1.7",
    info: { Title: meta.title, Creator: "Stopwise", Producer: "Stopwise", CreationDate: meta.date, ModDate: meta.date },
  });
  const finished = collected(doc);
  doc.registerFont("regular", fonts.regular as unknown as string);
  doc.registerFont("semibold", fonts.semibold as unknown as string);
  doc.registerFont("bold", fonts.bold as unknown as string);
  const root = doc.struct("Document");
  doc.addStructure(root);
  for (const page of pages) addPage(doc, root, page);
  root.end();
  doc.end();
  return finished;
}

type Doc = PDFKit.PDFDocument;
type Structure = ReturnType<Doc["struct"]>;

const isTrueType = (bytes: Uint8Array): boolean =>
  bytes.length > 4 && bytes[0] === 0 && bytes[1] === 1 && bytes[2] === 0 && bytes[3] === 0;

function collected(doc: Doc): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    doc.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    doc.on("error", reject);
    doc.on("end", () => {
      const whole = new Uint8Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0));
      let offset = 0;
      for (const chunk of chunks) {
        whole.set(chunk, offset);
        offset += chunk.length;
      }
      resolve(whole);
    });
  });
}

function addPage(doc: Doc, root: Structure, page: Drawing): void {
  const toPoints = page.unit === "mm" ? 72 / 25.4 : 0.75;
  doc.addPage({ size: [page.width * toPoints, page.height * toPoints], margin: 0 });
  const section = doc.struct("Sect", { title: page.title });
  root.add(section);
  drawShapes(doc, section, placed(page.shapes, toPoints, 0, 0));
  section.end();
}

function drawShapes(doc: Doc, section: Structure, shapes: readonly Shape[]): void {
  for (const shape of shapes) {
    if (shape.kind === "group") drawShapes(doc, section, shape.shapes);
    else if (shape.kind === "path") artifact(doc, () => drawPath(doc, shape));
    else if (shape.kind === "image") drawImage(doc, section, shape);
    else if (shape.runs.length > 0) drawText(doc, section, shape);
  }
}

/** Lines and areas carry no words: a screen reader passes them by. */
function artifact(doc: Doc, draw: () => void): void {
  doc.markContent("Artifact", { type: "Layout" });
  draw();
  doc.endMarkedContent();
}

function drawPath(doc: Doc, shape: PathShape): void {
  const { fill = "none", stroke } = shape;
  if (fill !== "none") {
    trace(doc, shape);
    doc.fillColor(colour(fill), shape.fillOpacity ?? 1).fill();
  }
  if (stroke === undefined || stroke === "none") return;
  trace(doc, shape);
  doc
    .lineWidth(shape.strokeWidth ?? 1)
    .lineJoin(shape.join === "round" ? "round" : "miter")
    .lineCap(shape.cap === "round" ? "round" : "butt");
  if (shape.dash === undefined) doc.undash();
  else doc.dash([...shape.dash] as unknown as number, {});
  doc.strokeColor(colour(stroke), 1).stroke();
}

/** A figure with its words for those who cannot see it. */
function drawImage(doc: Doc, section: Structure, shape: ImageShape): void {
  const { x, y, width, height, source, label } = shape;
  section.add(doc.struct("Figure", { alt: label }, () => doc.image(source, x, y, { width, height })));
}

const colour = (paint: Paint): string => printPalette(paint);

function trace(doc: Doc, shape: PathShape): void {
  for (const step of shape.steps) {
    switch (step[0]) {
      case "M":
        doc.moveTo(step[1], step[2]);
        break;
      case "L":
        doc.lineTo(step[1], step[2]);
        break;
      case "C":
        doc.bezierCurveTo(step[1], step[2], step[3], step[4], step[5], step[6]);
        break;
      case "Z":
        doc.closePath();
        break;
    }
  }
}

function drawText(doc: Doc, section: Structure, shape: TextShape): void {
  const { x, y, size, weight, anchor, rotateDeg } = shape;
  const width = runsWidth(shape.runs, size, weight);
  const left = anchor === "start" ? x : anchor === "end" ? x - width : x - width / 2;
  doc.save();
  if (rotateDeg !== undefined) doc.rotate(rotateDeg, { origin: [x, y] });
  if (shape.halo !== undefined) artifact(doc, () => drawHalo(doc, shape, left));
  section.add(doc.struct("P", {}, () => drawRuns(doc, shape, left)));
  doc.restore();
}

function drawRuns(doc: Doc, shape: TextShape, left: number): void {
  let x = left;
  for (const run of shape.runs) {
    const set = setRun(run, shape.size, shape.weight);
    x += set.gap;
    doc.font(fontNames[set.weight]).fontSize(set.size);
    doc.fillColor(colour(run.quiet ? "ink2" : shape.fill), 1);
    doc.text(run.text, x, shape.y - set.rise, { lineBreak: false, baseline: "alphabetic", features });
    x += runsWidth([run], shape.size, shape.weight) - set.gap;
  }
}

/** What the halo needs of the font behind the document: outlines of letters, not text that would extract twice. */
interface OutlineFont {
  readonly unitsPerEm: number;
  layout(
    text: string,
    features: unknown,
  ): { readonly glyphs: readonly OutlineGlyph[]; readonly positions: readonly { readonly xAdvance: number }[] };
}

interface OutlineGlyph {
  readonly path: { readonly commands: readonly { readonly command: string; readonly args: readonly number[] }[] };
}

function drawHalo(doc: Doc, shape: TextShape, left: number): void {
  const { halo } = shape;
  if (halo === undefined) return;
  let x = left;
  doc
    .lineWidth(shape.size * 0.36)
    .lineJoin("round")
    .lineCap("round")
    .undash();
  for (const run of shape.runs) {
    const set = setRun(run, shape.size, shape.weight);
    x += set.gap;
    doc.font(fontNames[set.weight]);
    const { font } = (doc as unknown as { readonly _font: { readonly font: OutlineFont } })._font;
    const k = set.size / font.unitsPerEm;
    const laid = font.layout(run.text, features);
    laid.glyphs.forEach((glyph, i) => {
      traceGlyph(doc, glyph, x, shape.y - set.rise, k);
      x += (laid.positions[i]?.xAdvance ?? 0) * k;
    });
  }
  doc.strokeColor(colour(halo), 1).stroke();
}

/** Outlines have y up and may be quadratic; the page has y down. */
function traceGlyph(doc: Doc, glyph: OutlineGlyph, x: number, y: number, k: number): void {
  for (const { command, args } of glyph.path.commands) {
    const p = args.map((value, i) => (i % 2 === 0 ? x + value * k : y - value * k));
    const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = p;
    if (command === "moveTo") doc.moveTo(a, b);
    else if (command === "lineTo") doc.lineTo(a, b);
    else if (command === "quadraticCurveTo") doc.quadraticCurveTo(a, b, c, d);
    else if (command === "bezierCurveTo") doc.bezierCurveTo(a, b, c, d, e, f);
    else if (command === "closePath") doc.closePath();
  }
}
