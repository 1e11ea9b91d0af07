/**
 * Mains and stored energy. Apparent current I = Σ P/(V·pf). A load that burns three hours counts 125 %, so at
 * most 80 % of the breaker (NEC 210.19(A), 210.20(A)); elsewhere no such general rule, 80 % is good practice.
 * A flash head charges at about W/(t·η), η 0.7…0.85 (common practice, no source). Capacitor: ½CV², and
 * t = R·C·ln(V/v) through a bleed resistor (circuit theory). Units: W, V, A, J, s, Ω, F.
 */

/** Share of the breaker that a lasting load may use. */
export const lastingShare = 0.8;
/** Power factor of a flash head while it charges (common practice, no source). */
export const chargingPowerFactor = 0.65;
/** Lamps are resistive, drivers of lamps corrected: near 1 (common practice, no source). */
export const lampPowerFactor = 0.95;

export interface Load {
  readonly powerW: number;
  readonly powerFactor: number;
}

export interface CircuitLoad {
  readonly currentA: number;
  readonly apparentVa: number;
  /** Of the breaker, 0…1 and above. */
  readonly share: number;
  /** What the circuit carries, and what a lasting load may take of it, W at power factor 1. */
  readonly ratingW: number;
  readonly lastingW: number;
}

/** What hangs on a circuit. Throws RangeError for a circuit without volts or amps. */
export function circuitLoad(
  circuit: { readonly volts: number; readonly amps: number },
  loads: readonly Load[],
): CircuitLoad {
  if (!(circuit.volts > 0 && circuit.amps > 0)) throw new RangeError("a circuit has volts and amps");
  const ratingW = circuit.volts * circuit.amps;
  const apparentVa = loads.reduce((sum, { powerW, powerFactor }) => sum + powerW / powerFactor, 0);
  return {
    currentA: apparentVa / circuit.volts,
    apparentVa,
    share: apparentVa / ratingW,
    ratingW,
    lastingW: lastingShare * ratingW,
  };
}

/** Mean power while a flash recharges, W: W/(t·η). */
export const rechargePower = (energyWs: number, recycleS: number, efficiency = 0.75): number =>
  energyWs / (recycleS * efficiency);

/** Energy in a capacitor, J: ½CV². */
export const capacitorEnergy = (farads: number, volts: number): number => 0.5 * farads * volts * volts;

/** Time to bleed a capacitor from one voltage to another through a resistor, s: R·C·ln(V/v). */
export const dischargeTime = (farads: number, ohms: number, fromVolts: number, toVolts: number): number =>
  ohms * farads * Math.log(fromVolts / toVolts);

/** A shock of this energy can kill (texts on flash tubes; 1 J may). */
export const lethalJ = 10;

/**
 * Most flashes in any one second of a burst: pops come as fast as the head recycles, and a turned-down head
 * in proportion to the energy it refills (common practice, no source). One pop is one flash.
 */
export function flashRate(pops: number, recycleS: number, dialStops: number): number {
  const interval = recycleS * 2 ** Math.min(0, dialStops);
  if (pops <= 1) return pops;
  return Math.min(pops, interval > 0 ? 1 + Math.floor(1 / interval + 1e-9) : pops);
}

/** Nothing flashes more than three times in any second (WCAG 2.3.1). */
export const mostFlashesPerSecond = 3;
