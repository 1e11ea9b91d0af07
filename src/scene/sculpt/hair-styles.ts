/**
 * What makes each cut: how many locks and strands, how long, how wavy, how far they stand off; and the winding
 * of the knot of tied hair. By eye. Lengths along a strand are shares of its way, widths shares of the turn
 * round the head; millimetres where the name says so.
 */

import type { HairCut } from "../types.ts";
import type { Path } from "./hair-mesh.ts";
import { knot } from "./hair-paths.ts";

export interface HairStyle {
  /** Strands leave a parting and hang on both sides of the face. */
  readonly parted: boolean;
  readonly locks: number;
  /** Half a lock's width. */
  readonly halfU: number;
  /** Latest start of a lock, its length, how much shorter some are, and its width at the tip. */
  readonly fromMost: number;
  readonly length: number;
  readonly ragged: number;
  readonly tip: number;
  readonly archMm: number;
  /** Thickness of one of three layers of locks; share of it at the root; rise of the tips. */
  readonly layerMm: number;
  readonly rootLift: number;
  readonly tipRise: number;
  /** Sideways way at the tip, and waves over the whole way. */
  readonly drift: number;
  readonly wave: number;
  readonly waves: number;
  /** Strands: flat on the locks, round at the outline, short ones across the hairline. */
  readonly flat: number;
  readonly round: number;
  readonly hairline: number;
  readonly strandFrom: number;
  readonly strandLength: number;
  readonly standMm: number;
  /** Growth on the scalp; the closed layer under locks that stand off, null without. */
  readonly capMm: number;
  readonly underMm: number | null;
}

const bob: HairStyle = {
  ...{ parted: true, locks: 330, halfU: 0.0085, fromMost: 0.45, length: 1.02, ragged: 0.1, tip: 0.55, archMm: 1.3 },
  ...{ layerMm: 1.5, rootLift: 0.15, tipRise: 0, drift: 0.02, wave: 0.002, waves: 1.5 },
  ...{ flat: 420, round: 520, hairline: 50, strandFrom: 0.5, strandLength: 0.7, standMm: 9 },
  ...{ capMm: 2, underMm: -2.5 },
};

export const styles: Readonly<Record<HairCut, HairStyle>> = {
  bob,
  long: { ...bob, ragged: 0.22, tip: 0.14, archMm: 1.8, drift: 0.04, wave: 0.008, waves: 1.6, standMm: 10 },
  short: {
    ...{ parted: false, locks: 480, halfU: 0.012, fromMost: 0.8, length: 0.42, ragged: 0.35, tip: 0.12, archMm: 1 },
    ...{ layerMm: 1.3, rootLift: 0.5, tipRise: 5, drift: 0.09, wave: 0, waves: 0 },
    ...{ flat: 260, round: 480, hairline: 420, strandFrom: 0.75, strandLength: 0.35, standMm: 7 },
    ...{ capMm: 3, underMm: -1.5 },
  },
  tied: {
    ...{ parted: false, locks: 330, halfU: 0.0065, fromMost: 0.25, length: 1, ragged: 0.06, tip: 0.9, archMm: 0.7 },
    ...{ layerMm: 0.7, rootLift: 0.1, tipRise: 0, drift: 0.012, wave: 0, waves: 0 },
    ...{ flat: 420, round: 320, hairline: 520, strandFrom: 0.4, strandLength: 0.6, standMm: 7 },
    ...{ capMm: 2, underMm: null },
  },
};

/** Locks wound round the knot of tied hair, each a band of the ball. */
export function knotLocks(share: number): readonly Path[] {
  const count = Math.max(9, Math.round(26 * share));
  return Array.from({ length: count }, (_, n): Path => {
    // Bands run round axes that fan out, as a rope of hair is wound.
    const tilt = (Math.PI * n) / count;
    const start = 2.4 * n;
    return (t, aside, lift) => {
      const angle = start + 3.4 * t;
      const off = (0.3 * Math.sin(2.1 * n) + 0.13 * aside) * (1 - 0.3 * t);
      const r = knot.radius * Math.cos(off) * (1 + 0.05 * Math.sin(1.7 * n)) + lift;
      const [a, b, c] = [r * Math.cos(angle), r * Math.sin(angle), knot.radius * Math.sin(off)];
      const [x, y, z] = knot.centre;
      return [x + a * Math.cos(tilt) - c * Math.sin(tilt), y + b, z + 0.85 * (a * Math.sin(tilt) + c * Math.cos(tilt))];
    };
  });
}
