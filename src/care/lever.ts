/**
 * The balance of a boom: m_cw·L_cw = m_load·L_load + m_arm·L_cg about the pivot (statics; a straight boom
 * keeps its balance at any angle). And what falls: energy m·g·h. Units: kg, m, J.
 */

import { gravity } from "./standing.ts";

export interface BoomLever {
  readonly loadKg: number;
  /** From the pivot to the load. */
  readonly loadM: number;
  readonly armKg: number;
  /** The arm's own centre of mass from the pivot, positive to the load's side. */
  readonly armCentreM: number;
  /** From the pivot to where the counterweight hangs. */
  readonly tailM: number;
}

export interface BoomBalance {
  /** The counterweight that balances, kg; 0 when the arm alone outweighs the load. */
  readonly counterweightKg: number;
  /** Load side minus what hangs at the tail, kg·m: positive, the load end drops. */
  readonly excessKgM: number;
}

/** What balances, and how far the counterweight that is set is from it. Throws RangeError without a tail. */
export function boomBalance(lever: BoomLever, setKg = 0): BoomBalance {
  if (!(lever.tailM > 0)) throw new RangeError("a boom without a tail cannot be balanced");
  const moment = lever.loadKg * lever.loadM + lever.armKg * lever.armCentreM;
  return { counterweightKg: Math.max(0, moment / lever.tailM), excessKgM: moment - setKg * lever.tailM };
}

/** Where along the tail a given weight balances, m from the pivot; null when the tail is too short for it. */
export function counterweightAtM(lever: BoomLever, weightKg: number): number | null {
  const at = (lever.loadKg * lever.loadM + lever.armKg * lever.armCentreM) / weightKg;
  return at >= 0 && at <= lever.tailM + 1e-9 ? at : null;
}

/** Energy of a fall, J: m·g·h. */
export const dropEnergy = (massKg: number, heightM: number): number => massKg * gravity * heightM;

/**
 * How far a bonded light can still fall, m. A secondary suspension is independent and holds after 30 drops of
 * 300 mm (IEC 60598-2-17, cl. 17.6.6); a trade body advises a fall of at most 150 mm.
 */
export const bondedFallM = 0.15;
