/** Sandbags and counterweights out of the kit: which sums the free ones make. kg, to 0.1. */

import type { Id, Kit, Setup } from "../setup/index.ts";

/** Where no kit is known bags come in this size (common practice, no source). */
const usualBagKg = 5;

/** The least that free bags make which is at least `needKg`, counting those already on this light; null when they do not. */
export function bagsFor(kit: Kit | null, setup: Setup, lightId: Id, needKg: number): number | null {
  if (kit === null) return Math.ceil(needKg / usualBagKg - 1e-9) * usualBagKg;
  return leastSum(freeBags(kit, setup, lightId), needKg);
}

/** The kit's bags without those that other lights stand with: for each the fewest kilos that cover what it has. */
function freeBags(kit: Kit, setup: Setup, lightId: Id): readonly number[] {
  const free = [...kit.sandbagsKg].sort((a, b) => b - a);
  for (const light of setup.lights) {
    if (light.id === lightId) continue;
    let left = light.rig.sandbagKg;
    while (left > 0.05 && free.length > 0) {
      // The largest bag that is not too much, else the smallest there is.
      const fitting = free.findIndex((kg) => kg <= left + 0.05);
      const [taken] = free.splice(fitting < 0 ? free.length - 1 : fitting, 1);
      left -= taken as number;
    }
  }
  return free;
}

/** Least sum of some of the weights that is at least `need`; null when all together are less. */
export function leastSum(weights: readonly number[], need: number): number | null {
  let sums = new Set<number>([0]);
  for (const weight of weights) {
    sums = new Set([...sums, ...[...sums].map((sum) => Math.round((sum + weight) * 10) / 10)]);
  }
  const enough = [...sums].filter((sum) => sum >= need - 1e-9);
  return enough.length === 0 ? null : Math.min(...enough);
}
