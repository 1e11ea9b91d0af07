/**
 * A drawing is a short list of shapes in one unit (millimetres on paper, CSS pixels on screen), y down.
 * Colours are names, resolved by the one who renders: SVG with custom properties on screen, fixed values
 * in print and PDF.
 */

/** Greys by meaning, or a light's hue 1…8 (0 the room). on-N is the ink on that hue. */
export type Paint =
  | "none"
  | "ink"
  | "ink2"
  | "ink3"
  | "line"
  | "edge"
  | "panel"
  | "row"
  | "well"
  | "floor"
  | "wall"
  | "paper"
  | "inverse"
  | "on-inverse"
  /** The keyline round a light's hue: ink on a light ground, nothing on a dark one. */
  | "key"
  | "black"
  | "white"
  | `hue-${number}`
  | `on-${number}`;

export interface Style {
  readonly fill?: Paint;
  readonly fillOpacity?: number;
  readonly stroke?: Paint;
  readonly strokeWidth?: number;
  readonly dash?: readonly number[];
  readonly join?: "round" | "miter";
  readonly cap?: "round" | "butt";
}

export type PathStep =
  | readonly ["M", number, number]
  | readonly ["L", number, number]
  | readonly ["C", number, number, number, number, number, number]
  | readonly ["Z"];

export interface PathShape extends Style {
  readonly kind: "path";
  readonly steps: readonly PathStep[];
  readonly part?: string;
}

export interface TextShape {
  readonly kind: "text";
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly anchor: "start" | "middle" | "end";
  readonly weight: 400 | 600 | 700;
  readonly fill: Paint;
  readonly halo?: Paint;
  readonly rotateDeg?: number;
  /** Pieces of one line; raised pieces are tenths. */
  readonly runs: readonly TextRun[];
  readonly part?: string;
}

export interface TextRun {
  readonly text: string;
  readonly raised?: boolean;
  /** The denominator of a fraction: small, on the line. */
  readonly small?: boolean;
  /** f/ stands quiet beside its number. */
  readonly quiet?: boolean;
  /** Bold within a line of text. */
  readonly strong?: boolean;
}

/** A picture of pixels laid into a box, upper left at (x, y). */
export interface ImageShape {
  readonly kind: "image";
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** A PNG as a data address, "data:image/png;base64,…". */
  readonly source: string;
  /** What it shows, for those who cannot see it. */
  readonly label: string;
  readonly part?: string;
}

export interface GroupShape {
  readonly kind: "group";
  /** What the pointer takes hold of: "light:ID", "panel:ID:corner". */
  readonly part?: string;
  readonly label?: string;
  readonly shapes: readonly Shape[];
}

export type Shape = PathShape | TextShape | ImageShape | GroupShape;

export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly unit: "mm" | "px";
  readonly title: string;
  readonly shapes: readonly Shape[];
}
