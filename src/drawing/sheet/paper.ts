/** Paper, margins, and what the caller of a sheet chooses. Sizes in CSS pixels (1/96 in) unless said. */

import type { LengthUnits } from "../words.ts";

/** Small pictures of what the lights do, one page of them. */
export interface SheetPicture {
  /** A light's id; null: all together. */
  readonly lightId: string | null;
  /** Stops by which it is shown brighter than the working aperture shows it. */
  readonly liftedStops: number;
  /** PNG as a data address. */
  readonly source: string;
  readonly width: number;
  readonly height: number;
}

/** A test frame as the sheet names it. */
export interface SheetFrame {
  readonly name: string;
  /** Of the file as it came, hexadecimal. */
  readonly sha256: string;
  /** What it shows: a light's tag, "all", "none"; empty when nobody has said. */
  readonly shows: string;
}

export interface SheetOptions {
  readonly paper: "A4" | "Letter";
  readonly units: LengthUnits;
  /** Date and time as they should be printed; left out, none is printed. */
  readonly printedAt?: string;
  /** Adds a page: each light alone and all together. */
  readonly pictures?: readonly SheetPicture[];
  /** Test frames of the setup; left out where they were not asked for. */
  readonly frames?: readonly SheetFrame[];
}

/** ISO 216 and ANSI/ASME Y14.1, mm. */
export const papers = { A4: [210, 297], Letter: [215.9, 279.4] } as const;

export const pxPerMm: number = 96 / 25.4;

export const margin = { left: 42, right: 38, top: 24, bottom: 14 } as const;

export const footHeight = 26;

export interface Area {
  readonly width: number;
  readonly height: number;
}

export function areaOf(options: SheetOptions): Area {
  const [width, height] = papers[options.paper];
  return {
    width: width * pxPerMm - margin.left - margin.right,
    height: height * pxPerMm - margin.top - margin.bottom - footHeight,
  };
}
