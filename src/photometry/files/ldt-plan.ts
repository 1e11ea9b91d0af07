/**
 * Lines 2 to 7 of an EULUMDAT file: how many planes there are, how many angles each, and which of the
 * planes are stored. Of Mc planes around the turn, symmetry 0 stores all, 1 the first alone, 2 those from
 * C0 to C180, 3 those from C270 through C0 to C90, 4 those from C0 to C90.
 */

import type { Findings } from "./findings.ts";
import type { LdtLines } from "./ldt-lines.ts";
import { maxPhotometricAngles, type WebSymmetry } from "./web.ts";

export interface LdtPlan {
  readonly isym: number;
  readonly symmetry: WebSymmetry;
  /** Mc: C angles listed. */
  readonly planeCount: number;
  /** Ng: vertical angles. */
  readonly verticalCount: number;
  /** Index of each stored plane among the listed C angles, counted on past the last. */
  readonly stored: readonly number[];
}

const symmetries: readonly WebSymmetry[] = ["none", "axial", "bilateral", "bilateral-90", "quadrant"];

/** The plan, or null when the table cannot be found without it (faults are in `findings`). */
export function readLdtPlan(lines: LdtLines, findings: Findings): LdtPlan | null {
  const isym = lines.number(3, "symmetry");
  const planeCount = count(lines, 4, "number of C planes", 1, findings);
  const verticalCount = count(lines, 6, "number of vertical angles", 2, findings);
  lines.optionalNumber(2, "type of light source");
  lines.optionalNumber(5, "distance between C planes");
  lines.optionalNumber(7, "distance between vertical angles");
  const named = symmetries[isym];
  if (named === undefined) {
    if (!Number.isNaN(isym))
      findings.refuse(
        "ldt-symmetry",
        `The symmetry is ${isym}`,
        3,
        "Write 0 (none), 1 (all round), 2 (about C0–C180), 3 (about C90–C270) or 4 (both).",
      );
    return null;
  }
  if (planeCount === null || verticalCount === null) return null;
  const divisor = named === "quadrant" || named === "bilateral-90" ? 4 : named === "bilateral" ? 2 : 1;
  if (planeCount % divisor !== 0) {
    findings.refuse(
      "ldt-planes",
      `${planeCount} planes cannot have symmetry ${isym}`,
      4,
      `Write a multiple of ${divisor}, the planes of the whole turn.`,
    );
    return null;
  }
  const symmetry = named === "none" && planeCount === 1 ? "axial" : named;
  if (symmetry !== named)
    findings.warn(
      "web-one-plane",
      "There is one plane and no symmetry; taken as alike all round",
      3,
      "Write symmetry 1.",
    );
  return {
    isym,
    symmetry,
    planeCount,
    verticalCount,
    stored: storedPlanes(symmetry, planeCount),
  };
}

function storedPlanes(symmetry: WebSymmetry, planes: number): readonly number[] {
  const run = (from: number, length: number): readonly number[] => Array.from({ length }, (_, i) => from + i);
  switch (symmetry) {
    case "axial":
      return [0];
    case "bilateral":
      return run(0, planes / 2 + 1);
    case "bilateral-90":
      return run((3 * planes) / 4, planes / 2 + 1);
    case "quadrant":
      return run(0, planes / 4 + 1);
    default:
      return run(0, planes);
  }
}

function count(lines: LdtLines, at: number, name: string, least: number, findings: Findings): number | null {
  const value = lines.number(at, name);
  if (Number.isInteger(value) && value >= least && value <= maxPhotometricAngles) return value;
  if (!Number.isNaN(value))
    findings.refuse(
      "ldt-count",
      `The ${name} is ${value}`,
      at,
      `Write a whole number from ${least} to ${maxPhotometricAngles}.`,
    );
  return null;
}
