/** What a number rests on, at a glance: hollow bead, solid bead, set square, dome, question. */

import type { ReactNode } from "react";
import type { Rests } from "../../../solve/index.ts";

export function RestsMark({ rests }: { rests: Rests }): ReactNode {
  return (
    <svg width="22" height="14" viewBox="0 0 22 14" className="rests-mark" aria-hidden="true">
      {(rests === "catalogue" || rests === "learned" || rests === "metered") && (
        <path
          d="M1,7L6,2H16L21,7L16,12H6Z"
          fill={rests === "catalogue" ? "none" : "var(--ink2)"}
          stroke={rests === "metered" ? "var(--ink)" : "var(--ink2)"}
          strokeWidth={rests === "metered" ? 2 : 1.5}
        />
      )}
      {rests === "geometry" && (
        <path d="M5 1.5V12.5H17Z" fill="none" stroke="var(--ink2)" strokeWidth="1.5" strokeLinejoin="round" />
      )}
      {rests === "meter" && <path d="M8 1.5a5.5 5.5 0 0 1 0 11Z" fill="none" stroke="var(--ink2)" strokeWidth="1.6" />}
      {rests === "assumed" && <path d="M2 7H20" stroke="var(--ink2)" strokeWidth="1.6" strokeDasharray="3 3" />}
    </svg>
  );
}

const WORDS: Record<Rests, readonly [string, string]> = {
  catalogue: ["catalogue", "catalogue: a maker’s or handbook figure, until you meter it"],
  learned: ["learned", "learned: from your own earlier readings"],
  metered: ["metered", "metered: a reading of this light here"],
  geometry: ["geometry", "geometry: worked out from the plan"],
  meter: ["your meter", "your meter: receptor and constant set in Kit & room"],
  assumed: ["assumed", "assumed: nobody measured it"],
};

export const restsWords = (rests: Rests, long = false): string => WORDS[rests][long ? 1 : 0];
