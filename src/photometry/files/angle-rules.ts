/**
 * What the two lists of angles must satisfy, and what symmetry the horizontal ones declare.
 * Source: ANSI/IES LM-63 (type C: last horizontal angle 0, 90, 180 or 360; or 90…270); for types A and B
 * lists that begin at 0 are mirrored, as in the files of floodlights that store one quarter.
 */

import type { Findings } from "./findings.ts";
import type { PhotometricType, WebSymmetry } from "./web.ts";

/** Rounding that is forgiven when a list should end at 90, 180 or 360. */
const tolerance = 0.01;

/**
 * The symmetry that the angles declare, or null with faults.
 * @param lines where the vertical and the horizontal list begin.
 */
export function symmetryOf(
  type: PhotometricType,
  vertical: readonly number[],
  horizontal: readonly number[],
  lines: { readonly vertical: number; readonly horizontal: number },
  findings: Findings,
): WebSymmetry | null {
  if (type !== "C") return symmetryAB(type, vertical, horizontal, lines, findings);
  const goodVertical = checkVerticalC(vertical, lines.vertical, findings);
  const symmetry = symmetryC(horizontal, lines.horizontal, findings);
  return goodVertical ? symmetry : null;
}

export const near = (a: number, b: number): boolean => Math.abs(a - b) <= tolerance;

function checkVerticalC(vertical: readonly number[], line: number, findings: Findings): boolean {
  const first = vertical[0] as number;
  const last = vertical[vertical.length - 1] as number;
  if (first < 0 || last > 180 + tolerance) {
    findings.refuse(
      "web-vertical-range",
      `Vertical angles run from ${first} to ${last}`,
      line,
      "Type C measures from 0 (nadir) to 180; check the type and the counts.",
    );
    return false;
  }
  const whole = (near(first, 0) || near(first, 90)) && (near(last, 90) || near(last, 180));
  if (!whole) {
    findings.warn(
      "web-vertical-part",
      `Vertical angles cover only ${first} to ${last}; no light is assumed outside`,
      line,
      "Measure the whole hemisphere, or take it as a cut-off beam.",
    );
  }
  return true;
}

function symmetryC(horizontal: readonly number[], line: number, findings: Findings): WebSymmetry | null {
  const first = horizontal[0] as number;
  const last = horizontal[horizontal.length - 1] as number;
  if (horizontal.length === 1) {
    if (first !== 0)
      findings.warn(
        "web-one-plane",
        `The only plane is at ${first}; taken as alike all round`,
        line,
        "Write 0 for a light that is alike all round.",
      );
    return "axial";
  }
  if (near(first, 0)) {
    if (near(last, 90)) return "quadrant";
    if (near(last, 180)) return "bilateral";
    if (last > 180 && last <= 360 + tolerance) {
      if (!near(last, 360))
        findings.warn(
          "web-no-seam",
          `Horizontal angles end at ${last}; closed on the plane at 0`,
          line,
          "Repeat the plane at 0 as 360.",
        );
      return "none";
    }
  }
  if (near(first, 90) && near(last, 270)) return "bilateral-90";
  findings.refuse(
    "web-horizontal-range",
    `Horizontal angles run from ${first} to ${last}`,
    line,
    "Type C ends at 0, 90, 180 or 360, or runs from 90 to 270; check the counts.",
  );
  return null;
}

function symmetryAB(
  type: "A" | "B",
  vertical: readonly number[],
  horizontal: readonly number[],
  lines: { readonly vertical: number; readonly horizontal: number },
  findings: Findings,
): WebSymmetry | null {
  if (horizontal.length < 2) {
    findings.refuse(
      "web-planes-few",
      `Type ${type} with one horizontal angle measures no solid angle`,
      lines.horizontal,
      "Give at least two horizontal angles, or type C for a light alike all round.",
    );
    return null;
  }
  const verticalLimit = type === "B" ? 180 : 90;
  const horizontalLimit = type === "B" ? 90 : 180;
  const goodVertical = checkSpan("vertical", vertical, verticalLimit, lines.vertical, findings);
  const goodHorizontal = checkSpan("horizontal", horizontal, horizontalLimit, lines.horizontal, findings);
  if (!goodVertical || !goodHorizontal) return null;
  const leftIsRight = near(horizontal[0] as number, 0);
  const belowIsAbove = near(vertical[0] as number, 0);
  if (belowIsAbove) {
    findings.warn(
      "web-mirrored",
      "Vertical angles begin at 0; below is taken to mirror above",
      lines.vertical,
      "List the angles from −90 if the light is not alike above and below.",
    );
  }
  if (leftIsRight) return belowIsAbove ? "quadrant" : "bilateral";
  return belowIsAbove ? "up-down" : "none";
}

function checkSpan(
  name: "vertical" | "horizontal",
  angles: readonly number[],
  limit: number,
  line: number,
  findings: Findings,
): boolean {
  const first = angles[0] as number;
  const last = angles[angles.length - 1] as number;
  if (first >= -limit - tolerance && last <= limit + tolerance) return true;
  findings.refuse(
    `web-${name}-range`,
    `The ${name} angles run from ${first} to ${last}`,
    line,
    `Keep them within −${limit} to ${limit}; check the type and the counts.`,
  );
  return false;
}
