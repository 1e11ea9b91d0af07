/** The QR code (ISO/IEC 18004) of an address as rows of dark and light, for whoever draws it. */

import makeQr from "qrcode-generator";

/** One string a row, "1" dark, "0" light; without the quiet zone of four modules that belongs around it. */
export function qrRows(text: string): readonly string[] {
  const qr = makeQr(0, "M");
  qr.addData(text, "Byte");
  qr.make();
  const across = Array.from({ length: qr.getModuleCount() }, (_, i) => i);
  return across.map((row) => across.map((column) => (qr.isDark(row, column) ? "1" : "0")).join(""));
}
