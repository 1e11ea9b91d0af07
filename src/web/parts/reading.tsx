/** A reading as it is shown everywhere: f/ quiet, the mark strong, the tenth raised, spoken in words. */

import type { ReactNode } from "react";
import { ev, readingParts, spokenReading } from "../../units/index.ts";
import { usePreferences } from "../data/use.ts";

export function Reading({ av, large = false }: { av: number | null; large?: boolean }): ReactNode {
  const { step } = usePreferences();
  const size = large ? "reading large" : "reading";
  if (av === null) {
    return (
      <span className={size}>
        <span aria-hidden="true">
          <i>f/</i>– –
        </span>
        <span className="unseen">no reading</span>
      </span>
    );
  }
  const parts = readingParts(ev(av), step);
  return (
    <span className={size}>
      <span aria-hidden="true">
        <i>f/</i>
        {parts.mark}
        <sup>{parts.raised}</sup>
      </span>
      <span className="unseen">{spokenReading(ev(av), step)}</span>
    </span>
  );
}
