/** The static fonts from the installed package, for Node; the page fetches the same files. */

import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { PdfFonts } from "./write-pdf.ts";

export async function fontsFromPackage(): Promise<PdfFonts> {
  const { resolve } = createRequire(import.meta.url);
  const face = (file: string): Promise<Uint8Array> => readFile(resolve(`@expo-google-fonts/archivo/${file}`));
  const [regular, semibold, bold] = await Promise.all([
    face("400Regular/Archivo_400Regular.ttf"),
    face("600SemiBold/Archivo_600SemiBold.ttf"),
    face("700Bold/Archivo_700Bold.ttf"),
  ]);
  return { regular, semibold, bold };
}
