/**
 * Chromaticity in its three usual planes: CIE 1931 (x, y), CIE 1960 (u, v) for colour temperature, and
 * CIE 1976 (u′, v′) for tolerances. Source: CIE 15. Unitless.
 */

/** CIE 1931. */
export interface Xy {
  readonly x: number;
  readonly y: number;
}

/** CIE 1960 uniform chromaticity scale. */
export interface Uv {
  readonly u: number;
  readonly v: number;
}

/** Tristimulus values, Y on any scale proportional to light. */
export interface Xyz {
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
}

export function uvOfXy({ x, y }: Xy): Uv {
  const d = -2 * x + 12 * y + 3;
  return { u: (4 * x) / d, v: (6 * y) / d };
}

export function xyOfUv({ u, v }: Uv): Xy {
  const d = 2 * u - 8 * v + 4;
  return { x: (3 * u) / d, y: (2 * v) / d };
}

/** CIE 1976: v′ = 1.5·v, u′ = u. */
export function uvPrimeOfXy(xy: Xy): Uv {
  const { u, v } = uvOfXy(xy);
  return { u, v: 1.5 * v };
}

export function xyOfXyz({ X, Y, Z }: Xyz): Xy {
  const sum = X + Y + Z;
  return { x: X / sum, y: Y / sum };
}

/** Tristimulus values of light of luminance `Y` and chromaticity (x, y); y must be above 0. */
export function xyzOfXy({ x, y }: Xy, Y = 1): Xyz {
  return { X: (Y * x) / y, Y, Z: (Y * (1 - x - y)) / y };
}
