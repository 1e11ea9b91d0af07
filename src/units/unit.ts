/**
 * Branded numbers: a number that knows its unit while the compiler looks, and is a plain number at
 * run time. One maker per unit; a generic maker would let inference guess the unit. Values from
 * outside are range-checked where they are parsed, not here.
 */

declare const unit: unique symbol;

/** A number measured in the unit `Name`. */
export type Unit<Name extends string> = number & { readonly [unit]: Name };

/** A difference on the exposure scale; one stop is a factor 2 in light. */
export type Stops = Unit<"stop">;
/** A place on the exposure scale: 2·log2(N) for apertures (APEX Av), log2(N²/t) for exposures. */
export type Ev = Unit<"EV">;
/** An exact f-number N (the mark f/11 is 11.3137, not 11). */
export type FNumber = Unit<"f">;
/** Illuminance, lx. */
export type Lux = Unit<"lx">;
/** Luminous exposure, lx·s. */
export type LuxSeconds = Unit<"lx·s">;
/** Time, s. */
export type Seconds = Unit<"s">;
/** Length, m. */
export type Metres = Unit<"m">;
/** Angle, degrees. */
export type Degrees = Unit<"deg">;
/** Colour temperature, K. */
export type Kelvin = Unit<"K">;
/** Reciprocal colour temperature, 10⁶/K. */
export type Mired = Unit<"mired">;
/** Film or sensor speed, ISO arithmetic. */
export type Iso = Unit<"ISO">;

export const stops = (n: number): Stops => n as Stops;
export const ev = (n: number): Ev => n as Ev;
export const fNumber = (n: number): FNumber => n as FNumber;
export const lux = (n: number): Lux => n as Lux;
export const luxSeconds = (n: number): LuxSeconds => n as LuxSeconds;
export const seconds = (n: number): Seconds => n as Seconds;
export const metres = (n: number): Metres => n as Metres;
export const degrees = (n: number): Degrees => n as Degrees;
export const kelvin = (n: number): Kelvin => n as Kelvin;
export const mired = (n: number): Mired => n as Mired;
export const iso = (n: number): Iso => n as Iso;
