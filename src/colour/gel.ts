/**
 * Filters in front of a light: a shift in mired, a loss in stops and a shift across the locus (Duv, positive
 * toward green). Names vary by a third between makers, so the numbers are the gel and the name is a note.
 * The table is a prior until a gel is metered; each row says where its shift comes from.
 */

import { type Kelvin, type Mired, mired, type Result, type Stops, stops, success } from "../units/index.ts";
import { shiftedKelvin } from "./mired.ts";

export interface GelFilter {
  readonly name: string;
  readonly miredShift: Mired;
  readonly lossStops: Stops;
  readonly duvShift: number;
}

export interface GelPrior extends GelFilter {
  /** Least and greatest shift met under this name. */
  readonly miredRange: readonly [Mired, Mired];
  readonly lossRange: readonly [Stops, Stops];
  /** Where the usual shift comes from; ranges, losses and Duv are all from memory. */
  readonly label: "published" | "from memory";
}

type Row = readonly [
  name: string,
  mired: readonly [least: number, usual: number, most: number],
  loss: readonly [least: number, usual: number, most: number],
  duv: number,
  label: GelPrior["label"],
];

const rows: readonly Row[] = [
  ["Full CTO", [130, 159, 170], [0.6, 0.75, 0.9], 0, "published"],
  ["3/4 CTO", [112, 112, 112], [0.5, 0.5, 0.5], 0, "from memory"],
  ["1/2 CTO", [78, 94, 109], [0.4, 0.45, 0.5], 0, "from memory"],
  ["1/4 CTO", [35, 50, 64], [0.25, 0.25, 0.25], 0, "from memory"],
  ["1/8 CTO", [20, 23, 26], [0.15, 0.15, 0.15], 0, "from memory"],
  ["Full CTB", [-137, -137, -131], [1.5, 1.65, 1.8], 0, "published"],
  ["1/2 CTB", [-78, -73, -68], [0.9, 1, 1.1], 0, "from memory"],
  ["1/4 CTB", [-35, -33, -30], [0.5, 0.5, 0.5], 0, "from memory"],
  ["1/8 CTB", [-18, -15, -12], [0.3, 0.3, 0.3], 0, "from memory"],
  ["Full plus green", [0, 0, 0], [0.4, 0.4, 0.4], 0.02, "from memory"],
  ["1/2 plus green", [0, 0, 0], [0.2, 0.2, 0.2], 0.01, "from memory"],
  ["1/4 plus green", [0, 0, 0], [0.15, 0.15, 0.15], 0.005, "from memory"],
  ["Full minus green", [0, 0, 0], [0.9, 0.9, 0.9], -0.02, "from memory"],
  ["1/2 minus green", [0, 0, 0], [0.5, 0.5, 0.5], -0.01, "from memory"],
  ["1/4 minus green", [0, 0, 0], [0.3, 0.3, 0.3], -0.005, "from memory"],
];

/** The usual strengths of warming, cooling, green and magenta gels. Full warming +159: mired literature. */
export const gelPriors: readonly GelPrior[] = /* @__PURE__ */ rows.map(priorOf);

/** A light as colour temperature and distance from the Planckian locus. */
export interface WhitePoint {
  readonly kelvin: Kelvin;
  readonly duv: number;
}

/**
 * What several gels in one holder make of a light: shifts add, losses add. The shift across the locus is
 * added too, which holds for small Duv only. Fault `colour-beyond-blue` as `shiftedKelvin`.
 */
export function gelled(
  light: WhitePoint,
  gels: readonly GelFilter[],
  where = "gels",
): Result<WhitePoint & { readonly lossStops: Stops }> {
  const total = (pick: (gel: GelFilter) => number): number => gels.reduce((sum, gel) => sum + pick(gel), 0);
  const shifted = shiftedKelvin(light.kelvin, mired(total((gel) => gel.miredShift)), where);
  if (!shifted.ok) return shifted;
  return success({
    kelvin: shifted.value,
    duv: light.duv + total((gel) => gel.duvShift),
    lossStops: stops(total((gel) => gel.lossStops)),
  });
}

function priorOf([name, shift, loss, duvShift, label]: Row): GelPrior {
  return {
    name,
    miredShift: mired(shift[1]),
    miredRange: [mired(shift[0]), mired(shift[2])],
    lossStops: stops(loss[1]),
    lossRange: [stops(loss[0]), stops(loss[2])],
    duvShift,
    label,
  };
}
