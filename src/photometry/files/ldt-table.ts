/**
 * The tables of an EULUMDAT file: C angles, vertical angles, intensities of the stored planes in cd per
 * 1000 lm; and the stored planes put in ascending order.
 */

import { near } from "./angle-rules.ts";
import type { Findings } from "./findings.ts";
import type { LdtLines } from "./ldt-lines.ts";
import type { LdtPlan } from "./ldt-plan.ts";
import type { WebSymmetry } from "./web.ts";

export interface LdtTable {
  readonly symmetry: WebSymmetry;
  readonly vertical: readonly number[];
  readonly horizontal: readonly number[];
  /** As in the file, cd per 1000 lm before the conversion factor. */
  readonly values: readonly (readonly number[])[];
}

/** Read the angles and intensities that begin at line `at`; null with faults in `findings`. */
export function readLdtTable(lines: LdtLines, plan: LdtPlan, at: number, findings: Findings): LdtTable | null {
  const verticalAt = at + plan.planeCount;
  const valuesAt = verticalAt + plan.verticalCount;
  const need = valuesAt - 1 + plan.stored.length * plan.verticalCount;
  if (lines.count < need) {
    findings.refuse(
      "ldt-truncated",
      `The file has ${lines.count} of the ${need} lines that its counts ask for`,
      lines.count,
      "Check lines 3, 4, 6 and 26; otherwise the file is cut short: fetch it again.",
    );
    return null;
  }
  if (lines.count > need) {
    findings.warn(
      "ldt-extra-lines",
      `${lines.count - need} lines follow the table and are ignored`,
      need + 1,
      "Check lines 3, 4, 6 and 26.",
    );
  }
  const allPlanes = readAngles(lines, at, plan.planeCount, "C angle", findings);
  const vertical = readAngles(lines, verticalAt, plan.verticalCount, "vertical angle", findings);
  const values = plan.stored.map((_, j) =>
    readPlane(lines, valuesAt + j * plan.verticalCount, plan.verticalCount, findings),
  );
  if (findings.bad) return null;
  checkVertical(vertical, verticalAt, findings);
  const planes = plan.stored.map((index) => allPlanes[index % plan.planeCount] as number);
  return arrange(plan, planes, vertical, values, at, findings);
}

function readAngles(lines: LdtLines, at: number, count: number, name: string, findings: Findings): readonly number[] {
  let previous = Number.NEGATIVE_INFINITY;
  let faults = 0;
  return Array.from({ length: count }, (_, i) => {
    const value = lines.number(at + i, name);
    if (value <= previous && faults < 3) {
      faults += 1;
      findings.refuse(
        "web-not-ascending",
        `The ${name} ${value} follows ${previous}`,
        at + i,
        "Angles must rise; check that no line is missing or doubled above.",
      );
    }
    if (Number.isFinite(value)) previous = value;
    return value;
  });
}

function readPlane(lines: LdtLines, at: number, count: number, findings: Findings): readonly number[] {
  return Array.from({ length: count }, (_, i) => {
    const value = lines.number(at + i, "intensity");
    if (value < 0)
      findings.refuse(
        "web-negative-candela",
        `Intensity ${value} is negative`,
        at + i,
        "Write 0 where no light was measured.",
      );
    return value;
  });
}

function checkVertical(vertical: readonly number[], at: number, findings: Findings): void {
  const first = vertical[0] as number;
  const last = vertical[vertical.length - 1] as number;
  if (first < 0 || last > 180.01) {
    findings.refuse(
      "web-vertical-range",
      `Vertical angles run from ${first} to ${last}`,
      at,
      "They run from 0 (nadir) to 180; check that no line is missing or doubled above.",
    );
  } else if (!near(first, 0) || !(near(last, 90) || near(last, 180))) {
    findings.warn(
      "web-vertical-part",
      `Vertical angles cover only ${first} to ${last}; no light is assumed outside`,
      at,
      "Measure the whole hemisphere, or take it as a cut-off beam.",
    );
  }
}

/** The stored planes in ascending order, with the symmetry that spreads them over the whole turn. */
function arrange(
  plan: LdtPlan,
  planes: readonly number[],
  vertical: readonly number[],
  values: LdtTable["values"],
  at: number,
  findings: Findings,
): LdtTable | null {
  const first = planes[0] as number;
  const last = planes[planes.length - 1] as number;
  const misplaced = (ends: string): null => {
    findings.refuse(
      "web-horizontal-range",
      `With symmetry ${plan.isym} the stored planes run from C${first} to C${last}, not ${ends}`,
      at,
      "Check the symmetry (line 3), the number of planes (line 4) and the C angles.",
    );
    return null;
  };
  switch (plan.symmetry) {
    case "axial":
      return { symmetry: "axial", vertical, horizontal: [0], values };
    case "quadrant":
      return near(first, 0) && near(last, 90)
        ? { symmetry: "quadrant", vertical, horizontal: planes, values }
        : misplaced("C0 to C90");
    case "bilateral":
      return near(first, 0) && near(last, 180)
        ? { symmetry: "bilateral", vertical, horizontal: planes, values }
        : misplaced("C0 to C180");
    case "bilateral-90":
      // Stored from C270 through C0 to C90; mirrored in the 90–270 plane they are 270 down to 90.
      if (!near(first, 270) || !near(last, 90)) return misplaced("C270 through C0 to C90");
      return {
        symmetry: "bilateral-90",
        vertical,
        horizontal: planes.map((c) => (c > 180 ? 540 - c : 180 - c)).reverse(),
        values: [...values].reverse(),
      };
    default:
      if (near(first, 0) && last > 180 && last <= 360)
        return { symmetry: "none", vertical, horizontal: planes, values };
      return misplaced("C0 round to C360");
  }
}
