/**
 * Assembling ledgers. A chain is one way of the light: the first row is a level (Av at 1 m, disc, C 250),
 * every further row a gain or loss in stops, marginal to those above, and the reading IS their sum. A sum
 * adds chains in light: Av = log2 Σ 2^Av. Error bars (1σ, stops): rows of one cause add linearly, also
 * across the parts of a sum (weighted by their share of the light), different causes in quadrature.
 */

import type { Ledger, LedgerInput, LedgerRow, Predicted, Rests, RowName } from "./types.ts";

/** A row before its place in the chain is known. `stops` −Infinity is darkness: the chain ends there. */
export interface RowSeed {
  readonly row: RowName;
  readonly name: string;
  readonly detail: string;
  readonly stops: number;
  readonly restsOn: Rests;
  readonly sigmaStops: number;
  readonly cause: string;
  readonly inputs: readonly LedgerInput[];
  readonly formula: string;
  readonly source: string;
}

type Chain = Extract<Ledger, { kind: "chain" }>;
type Sum = Extract<Ledger, { kind: "sum" }>;

/** A chain of rows. A dark row is kept last, marked, with 0 stops, so that nobody adds up an infinity. */
export function chainOf(label: string, seeds: readonly RowSeed[]): Chain {
  const rows: LedgerRow[] = [];
  let soFarAv = 0;
  for (const seed of seeds) {
    if (seed.stops === Number.NEGATIVE_INFINITY) {
      rows.push({ ...seed, stops: 0, soFarAv, dark: true });
      return { kind: "chain", label, rows, av: null, sigmaStops: 0 };
    }
    soFarAv += seed.stops;
    // Written out: this is the inner loop of every prediction.
    rows.push({
      row: seed.row,
      name: seed.name,
      detail: seed.detail,
      stops: seed.stops,
      soFarAv,
      restsOn: seed.restsOn,
      sigmaStops: seed.sigmaStops,
      cause: seed.cause,
      inputs: seed.inputs,
      formula: seed.formula,
      source: seed.source,
    });
  }
  const av = rows.length === 0 ? null : soFarAv;
  return { kind: "chain", label, rows, av, sigmaStops: chainSigma(rows) };
}

/** Parts that add in light, each keeping its own tree. */
export function sumOf(label: string, parts: readonly Ledger[]): Sum {
  const av = addedAv(parts);
  return { kind: "sum", label, parts, av, sigmaStops: av === null ? 0 : quadrature(causesOf(parts, av)) };
}

/** log2 Σ 2^Av over the parts that are not dark. */
export function addedAv(parts: readonly { readonly av: number | null }[]): number | null {
  let light = 0;
  for (const part of parts) if (part.av !== null) light += 2 ** part.av;
  return light > 0 ? Math.log2(light) : null;
}

/** A reading with its ledger. `constant` is the receptor's C, lx·s, at this ISO. */
export function predictedFrom(ledger: Ledger, constant: number, iso: number): Predicted {
  const { av, sigmaStops } = ledger;
  return {
    av,
    luxSeconds: av === null ? 0 : (constant * 2 ** av) / iso,
    sigmaStops,
    restsOn: weakestFooting(ledger),
    ledger,
  };
}

/** Every chain of a tree, left to right. */
export function chainsOf(ledger: Ledger): readonly Chain[] {
  return ledger.kind === "chain" ? [ledger] : ledger.parts.flatMap(chainsOf);
}

/** Weakest first; geometry and the meter's constants are never the weakest footing of a reading. */
const FOOTINGS: readonly Rests[] = ["assumed", "catalogue", "learned", "metered", "geometry", "meter"];

/** A chain with less than this share of the light does not decide what a reading rests on. */
const SHARE_THAT_MATTERS = 0.1;
/** Nor does a row whose error is smaller than this, stops. */
const SIGMA_THAT_MATTERS = 0.035;

/** The weakest footing among the rows that matter. */
export function weakestFooting(ledger: Ledger): Rests {
  const { av } = ledger;
  if (av === null) return "geometry";
  let weakest = FOOTINGS.length - 1;
  for (const chain of chainsOf(ledger)) {
    if (chain.av === null || 2 ** (chain.av - av) < SHARE_THAT_MATTERS) continue;
    for (const row of chain.rows) {
      if (row.sigmaStops < SIGMA_THAT_MATTERS) continue;
      weakest = Math.min(weakest, FOOTINGS.indexOf(row.restsOn));
    }
  }
  return FOOTINGS[weakest] as Rests;
}

function chainSigma(rows: readonly LedgerRow[]): number {
  const byCause = new Map<string, number>();
  for (const row of rows) addTo(byCause, row.cause, row.sigmaStops);
  return quadrature(byCause);
}

/** Linear sums of error by cause, each part weighted by its share of the light. */
function causesOf(parts: readonly Ledger[], totalAv: number): Map<string, number> {
  const byCause = new Map<string, number>();
  for (const part of parts) {
    for (const chain of chainsOf(part)) {
      if (chain.av === null) continue;
      const share = 2 ** (chain.av - totalAv);
      for (const row of chain.rows) addTo(byCause, row.cause, share * row.sigmaStops);
    }
  }
  return byCause;
}

function addTo(byCause: Map<string, number>, cause: string, sigma: number): void {
  if (sigma !== 0) byCause.set(cause, (byCause.get(cause) ?? 0) + sigma);
}

function quadrature(byCause: ReadonlyMap<string, number>): number {
  let sum = 0;
  for (const sigma of byCause.values()) sum += sigma * sigma;
  return Math.sqrt(sum);
}
