/** Makes the PDF in this browser and hands it over as a download; loaded only when asked for. */

import archivoRegular from "@expo-google-fonts/archivo/400Regular/Archivo_400Regular.ttf?url";
import archivoSemiBold from "@expo-google-fonts/archivo/600SemiBold/Archivo_600SemiBold.ttf?url";
import archivoBold from "@expo-google-fonts/archivo/700Bold/Archivo_700Bold.ttf?url";
import type { Drawing } from "../../../drawing/index.ts";
import { writePdf } from "../../../pdf/index.ts";

export async function downloadPdf(pages: readonly Drawing[], title: string): Promise<void> {
  const [regular, semibold, bold] = await Promise.all([archivoRegular, archivoSemiBold, archivoBold].map(bytesOf));
  if (regular === undefined || semibold === undefined || bold === undefined) throw new Error("a font is missing");
  const bytes = await writePdf(pages, { title, date: new Date(), fonts: { regular, semibold, bold } });
  const url = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: "application/pdf" }));
  const anchor = document.createElement("a");
  anchor.href = url;
  anchor.download = `${fileName(title)}.pdf`;
  anchor.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

async function bytesOf(url: string): Promise<Uint8Array> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`the font at ${url} did not load`);
  return new Uint8Array(await response.arrayBuffer());
}

const fileName = (title: string): string =>
  title
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N}]+/gu, "-")
    .replaceAll(/^-|-$/g, "") || "setup";
