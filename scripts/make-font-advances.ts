/**
 * Writes src/drawing/font-advances.ts: how far each character of Archivo moves the pen, read from the static
 * font files that the PDF embeds, with tabular lining figures. Run it after a change of the font package:
 * `node scripts/make-font-advances.ts`.
 */

import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";

/** The part of fontkit that this script uses; the package carries no types. */
interface OpenFont {
  readonly unitsPerEm: number;
  hasGlyphForCodePoint(codePoint: number): boolean;
  layout(text: string, features: readonly string[]): { readonly advanceWidth: number };
}

const fontkit: { create(bytes: Uint8Array): OpenFont } = createRequire(import.meta.url)("fontkit");
const root = new URL("../", import.meta.url);
const faces = [
  [400, "400Regular/Archivo_400Regular.ttf"],
  [600, "600SemiBold/Archivo_600SemiBold.ttf"],
  [700, "700Bold/Archivo_700Bold.ttf"],
] as const;

/** Basic Latin to Latin Extended-A, general punctuation, and the few signs that the drawings use. */
const ranges = [
  [0x20, 0x7e],
  [0xa0, 0x17f],
  [0x2009, 0x200a],
  [0x2010, 0x2026],
  [0x202f, 0x2033],
  [0x2044, 0x2044],
  [0x20ac, 0x20ac],
  [0x2126, 0x2126],
  [0x2212, 0x2212],
  [0x2248, 0x2248],
  [0x2264, 0x2265],
] as const;

const open = (file: string): OpenFont => {
  const bytes = readFileSync(new URL(`node_modules/@expo-google-fonts/archivo/${file}`, root));
  return fontkit.create(bytes);
};

/** Thousandths of an em, 0 where the font has no such character. */
function advancesOf(font: OpenFont): string {
  return ranges
    .map(([from, to]) => {
      const advances = Array.from({ length: to - from + 1 }, (_, i) => {
        if (!font.hasGlyphForCodePoint(from + i)) return 0;
        const { advanceWidth } = font.layout(String.fromCodePoint(from + i), ["tnum", "lnum"]);
        return Math.round((1000 * advanceWidth) / font.unitsPerEm);
      });
      return `    [0x${from.toString(16)}, [${advances.join(", ")}]],`;
    })
    .join("\n");
}

const text = `/**
 * How far each character of Archivo moves the pen, thousandths of an em, tabular lining figures, without kerning.
 * Made by scripts/make-font-advances.ts from the static fonts of @expo-google-fonts/archivo (SIL Open Font
 * License); 0 marks a character that the font lacks. Do not edit by hand.
 */

/** Runs of advances by weight: the first code point, then one number per code point. */
export const fontAdvances: Readonly<
  Record<400 | 600 | 700, readonly (readonly [firstCodePoint: number, advances: readonly number[]])[]>
> = {
${faces.map(([weight, file]) => `  ${weight}: [\n${advancesOf(open(file))}\n  ],`).join("\n")}
};
`;
writeFileSync(new URL("src/drawing/font-advances.ts", root), text);
