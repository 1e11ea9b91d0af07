/**
 * What a measured photometric file says, in one shape for both formats: luminous intensity in candela over
 * a grid of directions, the size of the luminous opening, and what the file states about its lamps.
 * All factors of the file are already applied; angles in degrees, lengths in metres, flux in lumens.
 *
 * Sources: ANSI/IES LM-63 (editions 1986, 1991, 1995, 2002, 2019) and EULUMDAT (Stockmar, 1990 and 1998).
 */

import type { Fault } from "../../units/index.ts";

export type PhotometricFormat = "LM-63-1986" | "LM-63-1991" | "LM-63-1995" | "LM-63-2002" | "LM-63-2019" | "EULUMDAT";

/**
 * Type C: vertical angle γ from the nadir, horizontal angle C about it.
 * Type B: vertical angle V about a horizontal axis, horizontal angle H out of that plane.
 * Type A: horizontal angle H about a vertical axis, vertical angle V out of that plane.
 */
export type PhotometricType = "C" | "B" | "A";

/**
 * How the stored planes extend to the sphere.
 * Type C: axial (one plane), quadrant (0…90), bilateral (0…180, mirrored in the 0–180 plane),
 * bilateral-90 (90…270, mirrored in the 90–270 plane), none.
 * Types A and B: bilateral (H from 0, left mirrors right), up-down (V from 0, below mirrors above),
 * quadrant (both), none.
 */
export type WebSymmetry = "axial" | "quadrant" | "bilateral" | "bilateral-90" | "up-down" | "none";

export type OpeningShape =
  | "point"
  | "line"
  | "rectangle"
  | "box"
  | "disc"
  | "ellipse"
  | "cylinder-upright"
  | "cylinder-lengthwise"
  | "cylinder-crosswise"
  | "sphere"
  | "ellipsoid"
  | "disc-upright";

/**
 * The luminous opening. `lengthM` lies along the 0–180 plane and `widthM` along the 90–270 plane whatever
 * the file (EULUMDAT counts its length along C90, so the two are exchanged on reading); `heightM` lies
 * along the nadir axis.
 */
export interface Opening {
  readonly shape: OpeningShape;
  readonly widthM: number;
  readonly lengthM: number;
  readonly heightM: number;
}

export interface Lamp {
  readonly count: number;
  readonly name: string;
  /** Flux of the whole set, lm; null when the file does not rate its lamps. */
  readonly fluxLm: number | null;
  readonly colour: string;
  readonly colourRendering: string;
  readonly watts: number;
}

/**
 * TILT=INCLUDE: how the lamp's output changes when the luminaire is tipped. The factors apply to a tipped
 * lamp as a whole, never to the directions of the table, so they are kept here and not applied.
 */
export interface LampTilt {
  /** 1 lamp upright, 2 lamp lies in the 0–180 plane, 3 lamp lies in the 90–270 plane. */
  readonly geometry: 1 | 2 | 3;
  readonly anglesDeg: readonly number[];
  readonly factors: readonly number[];
}

export interface WebSource {
  readonly format: PhotometricFormat;
  readonly title: string;
  /** Keyword and text, in file order; lines without a keyword stand under an empty one. */
  readonly keywords: readonly (readonly [string, string])[];
}

export interface PhotometricWeb {
  readonly source: WebSource;
  readonly type: PhotometricType;
  readonly symmetry: WebSymmetry;
  /** Ascending. */
  readonly verticalDeg: readonly number[];
  /** Ascending; the stored planes only, `symmetry` says how they extend. */
  readonly horizontalDeg: readonly number[];
  /** cd, all factors applied: `candela[plane][vertical]`. */
  readonly candela: readonly (readonly number[])[];
  readonly lamps: readonly Lamp[];
  /** Rated lumens of one lamp; null when the photometry is absolute or the file rates no lamp. */
  readonly lumensPerLamp: number | null;
  /** Candela stand for themselves rather than for a rated lamp. */
  readonly absolute: boolean;
  readonly inputWatts: number;
  readonly opening: Opening;
  readonly tilt: LampTilt | null;
  /** EULUMDAT's ten direct ratios for room indices 0.60 to 5.00; null where the format has none. */
  readonly directRatios: readonly number[] | null;
  /** Flux of the table by zones (`zonalFlux`). */
  readonly fluxLm: number;
  /** Flux that the file claims for the luminaire (lamp flux × output ratio), when it claims one. */
  readonly statedFluxLm: number | null;
  readonly peakCd: number;
  readonly peakAt: {
    readonly verticalDeg: number;
    readonly horizontalDeg: number;
  };
  /** What was odd but could be read. */
  readonly warnings: readonly Fault[];
}

/** Largest file that is looked at, in characters or bytes. */
export const maxPhotometricFileSize: number = 8 * 1024 * 1024;
/** Most angles along either axis. */
export const maxPhotometricAngles: number = 2000;
