/** The door of the PDF room. Node's fonts come from `fonts-node.ts`, which a page must not load. */

export { type PdfFonts, type PdfMeta, writePdf } from "./write-pdf.ts";
