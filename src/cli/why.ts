/** A reading opened into its ledger: every row with what it gains or loses, how it is found and where it comes from. */

import { addedAv, type Ledger, type LedgerRow, type Predicted } from "../solve/index.ts";
import { errorText, readingText } from "./figures.ts";
import { columns, safe, wrapped } from "./print.ts";

/** One reading: its sum, then each way of the light row by row. */
export function whyText(title: string, { av, sigmaStops, restsOn, ledger }: Predicted): string {
  const head = `${safe(title)}: ${readingText(av)} ${errorText(sigmaStops)}, rests on: ${restsOn}`;
  return [head, ...ledgerLines(ledger, "  ", new Set())].join("\n");
}

/** `told` holds the notes that stand above already: the ways of one light share their first rows. */
function ledgerLines(ledger: Ledger, indent: string, told: Set<string>): readonly string[] {
  if (ledger.kind === "chain") return chainLines(ledger, indent, told);
  const shares = ledger.parts.map((part) => [
    `${indent}${safe(part.label)}`,
    part.av === null ? "dark" : readingText(part.av),
    part.av === null || ledger.av === null ? "" : `${(100 * 2 ** (part.av - ledger.av)).toFixed(0)} %`,
  ]);
  const total = addedAv(ledger.parts);
  const sum = `${indent}together: log2 of the sum of 2^Av = ${total === null ? "dark" : total.toFixed(2)}`;
  return [columns(shares), sum, ...ledger.parts.flatMap((part) => ledgerLines(part, indent, told))];
}

function chainLines(chain: Extract<Ledger, { kind: "chain" }>, indent: string, told: Set<string>): readonly string[] {
  const rows = chain.rows.map((row) => [
    `${indent}  ${safe(row.name)}`,
    row.dark === true ? "dark" : signed(row.stops),
    row.dark === true ? "" : readingText(row.soFarAv),
    `±${row.sigmaStops.toFixed(2)}`,
    row.restsOn,
    safe(row.detail),
  ]);
  const head = [`${indent}  row`, "stops", "so far", "", "rests on", ""];
  return [
    "",
    `${indent}${safe(chain.label)}`,
    columns([head, ...rows], [1, 2]),
    ...chain.rows.flatMap((row) => rowNotes(row, `${indent}  `, told)),
  ];
}

/** Formula, inputs and source of a row, once. */
function rowNotes(row: LedgerRow, indent: string, told: Set<string>): readonly string[] {
  const inputs = row.inputs.map(({ name, text }) => `${safe(name)} = ${safe(text)}`).join("; ");
  const pieces = [
    `${safe(row.name)}: ${safe(row.formula)}.`,
    inputs === "" ? "" : `With ${inputs}.`,
    `Source: ${safe(row.source)}.`,
  ];
  const note = pieces.filter((piece) => piece !== "").join(" ");
  if (told.has(note)) return [];
  told.add(note);
  return [wrapped(note, indent, 118)];
}

const signed = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(2)}`;
