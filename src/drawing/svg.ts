/**
 * A drawing as SVG text. On screen every colour is a custom property, so that one drawing serves both themes;
 * for print and for tests the colours are fixed. Numbers are rounded to hundredths.
 */

import { setRun } from "./measure.ts";
import { printPalette } from "./palette.ts";
import type { Drawing, ImageShape, Paint, PathShape, Shape, Style, TextRun, TextShape } from "./types.ts";

export interface SvgOptions {
  /** screen: custom properties. print: fixed colours of the printed sheet. */
  readonly palette?: "screen" | "print";
  /** A longer account for those who cannot see it. */
  readonly description?: string;
  /** Leave out width and height, so that the page sizes it. */
  readonly fluid?: boolean;
}

/** The whole `<svg>` element. */
export function toSvg(drawing: Drawing, options: SvgOptions = {}): string {
  const { width, height, unit, title } = drawing;
  const suffix = unit === "mm" ? "mm" : "";
  const size = options.fluid ? "" : ` width="${number(width)}${suffix}" height="${number(height)}${suffix}"`;
  const description = options.description === undefined ? "" : `<desc>${escapeXml(options.description)}</desc>`;
  const role = hasParts(drawing.shapes) ? "group" : "img";
  return (
    `<svg xmlns="http://www.w3.org/2000/svg"${size} viewBox="0 0 ${number(width)} ${number(height)}" ` +
    `role="${role}" aria-label="${escapeXml(title)}" font-family="Archivo, &quot;Archivo Variable&quot;, sans-serif" ` +
    `style="font-variant-numeric:tabular-nums lining-nums"><title>${escapeXml(title)}</title>${description}` +
    `${toSvgShapes(drawing.shapes, options.palette)}</svg>`
  );
}

/** Only what stands inside the `<svg>`. */
export function toSvgShapes(shapes: readonly Shape[], palette: "screen" | "print" = "screen"): string {
  const paint = palette === "print" ? (p: Paint): string => printPalette(p) : screenPaint;
  return shapes.map((shape) => shapeSvg(shape, paint)).join("");
}

/** The custom property of a paint. */
export function screenPaint(paint: Paint): string {
  if (paint === "none" || paint === "black" || paint === "white") return paint;
  if (paint === "inverse") return "var(--inv)";
  if (paint === "on-inverse") return "var(--oninv)";
  if (paint.startsWith("hue-")) return `var(--l${paint.slice(4)})`;
  if (paint.startsWith("on-")) return `var(--on${paint.slice(3)})`;
  return `var(--${paint})`;
}

export const escapeXml = (raw: string): string =>
  raw
    // Control characters have no place in XML 1.0.
    // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is removed.
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f]/g, "")
    .replace(/&/g, "&amp;")
    .replace(/</g, "&lt;")
    .replace(/>/g, "&gt;")
    .replace(/"/g, "&quot;");

type Painter = (paint: Paint) => string;

function shapeSvg(shape: Shape, paint: Painter): string {
  switch (shape.kind) {
    case "group": {
      const label = shape.label === undefined ? "" : ` role="img" aria-label="${escapeXml(shape.label)}"`;
      const inner = shape.shapes.map((s) => shapeSvg(s, paint)).join("");
      return `<g${partAttribute(shape.part)}${label}>${inner}</g>`;
    }
    case "path":
      return pathSvg(shape, paint);
    case "text":
      return textSvg(shape, paint);
    case "image":
      return imageSvg(shape);
  }
}

const partAttribute = (part: string | undefined): string =>
  part === undefined ? "" : ` data-part="${escapeXml(part)}"`;

function imageSvg({ x, y, width, height, source, label }: ImageShape): string {
  const box = `x="${number(x)}" y="${number(y)}" width="${number(width)}" height="${number(height)}"`;
  return `<image ${box} href="${escapeXml(source)}" role="img" aria-label="${escapeXml(label)}"/>`;
}

function pathSvg(shape: PathShape, paint: Painter): string {
  const d = shape.steps
    .map(
      (step) =>
        step[0] +
        step
          .slice(1)
          .map((n) => number(n as number))
          .join(" "),
    )
    .join("");
  return `<path${partAttribute(shape.part)} d="${d}"${styleAttributes(shape, paint)}/>`;
}

function styleAttributes(style: Style, paint: Painter): string {
  let out = ` fill="${paint(style.fill ?? "none")}"`;
  if (style.fillOpacity !== undefined) out += ` fill-opacity="${number(style.fillOpacity)}"`;
  if (style.stroke === undefined) return out;
  out += ` stroke="${paint(style.stroke)}" stroke-width="${number(style.strokeWidth ?? 1)}"`;
  if (style.dash !== undefined) out += ` stroke-dasharray="${style.dash.map(number).join(" ")}"`;
  if (style.join === "round") out += ` stroke-linejoin="round"`;
  if (style.cap === "round") out += ` stroke-linecap="round"`;
  return out;
}

function textSvg(shape: TextShape, paint: Painter): string {
  const turn =
    shape.rotateDeg === undefined
      ? ""
      : ` transform="rotate(${number(shape.rotateDeg)} ${number(shape.x)} ${number(shape.y)})"`;
  const halo =
    shape.halo === undefined
      ? ""
      : ` stroke="${paint(shape.halo)}" stroke-width="${number(shape.size * 0.36)}" stroke-linejoin="round" paint-order="stroke"`;
  const anchor = shape.anchor === "start" ? "" : ` text-anchor="${shape.anchor}"`;
  let risen = 0;
  const spans = shape.runs.map((run) => {
    const span = runSvg(run, shape, risen, paint);
    risen = setRun(run, shape.size, shape.weight).rise;
    return span;
  });
  return (
    `<text${partAttribute(shape.part)} x="${number(shape.x)}" y="${number(shape.y)}" font-size="${number(shape.size)}" ` +
    `font-weight="${shape.weight}"${anchor} fill="${paint(shape.fill)}"${halo}${turn} xml:space="preserve">${spans.join("")}</text>`
  );
}

/** A run as text, or as a tspan where it differs from its line; `risen` is how far the run before it stands up. */
function runSvg(run: TextRun, shape: TextShape, risen: number, paint: Painter): string {
  const set = setRun(run, shape.size, shape.weight);
  const dy = risen - set.rise;
  const attributes = [
    set.gap === 0 ? "" : ` dx="${number(set.gap)}"`,
    dy === 0 ? "" : ` dy="${number(dy)}"`,
    set.size === shape.size ? "" : ` font-size="${number(set.size)}"`,
    set.weight === shape.weight ? "" : ` font-weight="${set.weight}"`,
    run.quiet ? ` fill="${paint("ink2")}"` : "",
  ].join("");
  const content = escapeXml(run.text);
  return attributes === "" ? content : `<tspan${attributes}>${content}</tspan>`;
}

const hasParts = (shapes: readonly Shape[]): boolean =>
  shapes.some((shape) => shape.part !== undefined || (shape.kind === "group" && hasParts(shape.shapes)));

const number = (value: number): string => String(Math.round(value * 100) / 100 + 0);
