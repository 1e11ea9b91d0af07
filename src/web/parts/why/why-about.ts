/** What a `?why=` address asks about, looked up in the setup's report. */

import type { Edit, Setup } from "../../../setup/index.ts";
import type { Predicted, SetupReport } from "../../../solve/index.ts";
import { type KitOffer, learnFrom } from "../../../solve/index.ts";

export interface Asked {
  readonly predicted: Predicted;
  readonly tag: { readonly tag: string; readonly hue: number } | null;
  readonly words: string;
  readonly readingAv: number | null;
  /** "0.1 more than predicted, inside the error bar" */
  readonly difference: string;
  readonly workingAv: number;
  /** Edits that make the head follow this reading; null when there is nothing to learn. */
  readonly learn: readonly Edit[] | null;
  /** What the kit may take over from the reading, if its owner wants it to. */
  readonly kitOffer: KitOffer | null;
}

export function askedAbout(setup: Setup, report: SetupReport, about: string): Asked | null {
  const [kind, id] = splitOnce(about);
  const workingAv = setup.exposure.apertureAv;
  if (kind === "light") {
    const one = report.lights.find((l) => l.lightId === id);
    const light = setup.lights.find((l) => l.id === id);
    if (one === undefined || light === undefined) return null;
    const learned = one.reading === null ? null : learnFrom(setup, one.reading.id);
    const taught = learned?.ok === true ? learned.value : null;
    return {
      predicted: one.predicted,
      tag: light,
      words: `${light.role}, ${one.predicted.ledger.label}`,
      readingAv: one.readingAv,
      difference: differenceWords(one.readingAv, one.predicted),
      workingAv,
      learn: light.calibratedFrom === one.reading?.id ? null : (taught?.edits ?? null),
      kitOffer: taught?.kitOffer ?? null,
    };
  }
  const together = report.together.find((t) => t.id === id);
  if (together === undefined) return null;
  return {
    predicted: together.predicted,
    tag: null,
    words: together.name,
    readingAv: together.reading?.av ?? null,
    difference: differenceWords(together.reading?.av ?? null, together.predicted),
    workingAv,
    learn: null,
    kitOffer: null,
  };
}

function differenceWords(readingAv: number | null, predicted: Predicted): string {
  if (readingAv === null || predicted.av === null) return "";
  const difference = readingAv - predicted.av;
  const inside = Math.abs(difference) <= predicted.sigmaStops ? "inside the error bar" : "outside the error bar";
  if (Math.abs(difference) < 0.05) return `as predicted, ${inside}`;
  return `${Math.abs(difference).toFixed(1)} ${difference > 0 ? "more" : "less"} than predicted, ${inside}`;
}

function splitOnce(text: string): [string, string] {
  const colon = text.indexOf(":");
  return colon < 0 ? [text, ""] : [text.slice(0, colon), text.slice(colon + 1)];
}
