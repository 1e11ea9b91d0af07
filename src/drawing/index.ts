/** The door of the drawing room. */

export * from "./bead.ts";
export { type DialStripOptions, dialStrip } from "./dial-strip.ts";
export { elevation } from "./elevation.ts";
export { type LadderDrawing, type LadderOptions, ladder, type Strip } from "./ladder.ts";
export type { LadderStyle } from "./ladder-look.ts";
export * from "./measure.ts";
export { type ModifierRowOptions, modifierRow, type RowItem } from "./modifier-row.ts";
export { printPalette } from "./palette.ts";
export { type IconLight, patternIcon } from "./pattern-icon.ts";
export { plan } from "./plan.ts";
export { boundsOf, flat, type Point, pathPoints, placed, textCorners } from "./shape.ts";
export type { SheetFrame, SheetOptions, SheetPicture } from "./sheet/paper.ts";
export { type SheetPage, sheetPages } from "./sheet/sheet.ts";
export { escapeXml, type SvgOptions, screenPaint, toSvg, toSvgShapes } from "./svg.ts";
export * from "./types.ts";
export type { RoomDrawing, RoomDrawingOptions, View } from "./view.ts";
export { type LengthUnits, lengthText, readingRuns, runsOf } from "./words.ts";
