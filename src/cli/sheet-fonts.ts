/** The sheet's fonts, read from the installed package. */

import { fontsFromPackage } from "../pdf/fonts-node.ts";
import type { PdfFonts } from "../pdf/index.ts";

export const sheetFonts = (): Promise<PdfFonts> => fontsFromPackage();
