/** A reading as it is shown everywhere: f/ quiet, the mark strong, the tenth raised, spoken in words. */

import type { ReactNode } from "react";
import { ev, readingParts, spokenReading, thirdParts } from "../../units/index.ts";
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
  const [mark, raised] = step === "third" ? thirds(av) : tenths(av);
  return (
    <span className={size}>
      <span aria-hidden="true">
        <i>f/</i>
        {mark}
        {raised !== "" && <sup>{raised}</sup>}
      </span>
      <span className="unseen">{spokenReading(ev(av), step)}</span>
    </span>
  );
}

function tenths(av: number): [string, string] {
  const { mark, tenth } = readingParts(ev(av));
  return [mark, String(tenth)];
}

function thirds(av: number): [string, string] {
  const { mark, third } = thirdParts(ev(av));
  return [mark, third === 0 ? "" : `${third}/3`];
}
