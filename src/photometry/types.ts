/**
 * The shared vocabulary of photometry: what emits (a front), what reads (a receptor), what stands in
 * between (an occluder), and how far a reading may be trusted to mean the same as another.
 * Lengths in metres, world axes of the setup (docs/architecture.md), angles in degrees.
 */

import type { Vec3 } from "../units/index.ts";

/** The two weightings a meter offers: flat (cosine) and hemispherical (cardioid). */
export type ReceptorKind = "disc" | "dome";

/** What reads the light: M = ∫ L·r(θ) dω, θ from the receptor's axis, r(0) = 1. */
export interface Receptor {
  readonly kind: ReceptorKind;
  /** C of the exposure equation, lx·s (250 is common for flat receptors, 340 for domes). */
  readonly constant: number;
  /** Added to the Av this meter shows before it is believed, found by comparison; 0 when absent. */
  readonly offsetStops?: number;
  /** Measured weighting in place of the ideal one: angle ascending in degrees, r relative to r(0) = 1. */
  readonly response?: ResponseTable;
}

/** Points of a measured receptor response, angles ascending, straight lines between them. */
export type ResponseTable = readonly (readonly [angleDeg: number, r: number])[];

export type FrontShape = "rectangle" | "octagon" | "disc" | "umbrella" | "bare" | "lobe" | "measured";

/** A square-cell grid before a front: black thin cells, product form. */
export interface Grid {
  readonly cellM: number;
  readonly depthM: number;
  /** Fraction of the face that is hole, 0…1. */
  readonly openFraction: number;
}

/** A measured luminous intensity distribution, relative: the reader of files supplies the function. */
export interface IntensityField {
  /**
   * Intensity in cd (any common scale) at polar angle θ from the aim (0…180) and azimuth φ about it
   * (0 at `up`, 90 at `up` × `normal`, which is to the right seen from in front).
   */
  readonly intensity: (thetaDeg: number, phiDeg: number) => number;
  /** Flux of that field over the whole sphere, lm on the same scale. */
  readonly fluxLm: number;
}

/** A uniform or weighted emitting front placed in space. */
export interface Front {
  readonly shape: FrontShape;
  readonly centre: Vec3;
  /** Unit vector, direction of emission. */
  readonly normal: Vec3;
  /** Unit vector in the front's plane. */
  readonly up: Vec3;
  /** Planar polygon, counter-clockwise seen from in front; empty for point-like fronts. */
  readonly outline: readonly Vec3[];
  /** Area of the outline, m²; 0 for point-like fronts. */
  readonly areaM2: number;
  /** Depth of a lip standing forward of the front along its whole rim. */
  readonly lipM?: number;
  readonly grid?: Grid;
  /** Exponent n of a cosⁿθ intensity lobe; 1 or absent is Lambertian. */
  readonly lobeExponent?: number;
  /** k of L = L₀·(1 − k·ρ²), ρ = 0 at the centre and 1 at the rim; 0 or absent is even. */
  readonly hotCentre?: number;
  readonly web?: IntensityField;
}

/** Analytic things that stop light. Points and vectors in m, world axes. */
export type Occluder =
  | { readonly kind: "ellipsoid"; readonly centre: Vec3; readonly axes: readonly [Vec3, Vec3, Vec3] }
  | { readonly kind: "capsule"; readonly a: Vec3; readonly b: Vec3; readonly radiusM: number }
  | { readonly kind: "polygon"; readonly points: readonly Vec3[] };
