/**
 * The thirteen numbers of an LM-63 file that follow TILT: lamps, lumens per lamp, multiplier, the counts of
 * vertical and horizontal angles, photometric type, units, width, length and height of the opening, ballast
 * factor, the twelfth number (whose meaning changed with the editions) and input watts.
 */

import type { Findings } from "./findings.ts";
import type { IesHeader } from "./ies-header.ts";
import type { NumberReader } from "./number-reader.ts";
import { maxPhotometricAngles, type PhotometricType } from "./web.ts";

const metresPerFoot = 0.3048;

/** The thirteen numbers between TILT and the angles, checked. */
export interface IesBlock {
  readonly lamps: number;
  readonly lumensPerLamp: number;
  /** Everything that multiplies the table. */
  readonly factor: number;
  readonly verticalCount: number;
  readonly horizontalCount: number;
  readonly type: PhotometricType;
  /** Width, length and height of the opening, m, signs as in the file. */
  readonly dimensions: readonly [number, number, number];
  readonly watts: number;
}

/** Read and check the block; null when the table cannot be found without it (faults are in `findings`). */
export function readIesBlock(reader: NumberReader, header: IesHeader, findings: Findings): IesBlock | null {
  const values: number[] = [];
  const lines: number[] = [];
  while (values.length < 13) {
    const value = reader.next();
    if (value === null) {
      refuseTruncated(findings, reader.line, `after ${values.length} of the 13 numbers that follow TILT`);
      return null;
    }
    values.push(value);
    lines.push(reader.line);
  }
  const at = (i: number): number => values[i] as number;
  const line = (i: number): number => lines[i] as number;
  const verticalCount = checkCount(at(3), "vertical", 2, line(3), findings);
  const horizontalCount = checkCount(at(4), "horizontal", 1, line(4), findings);
  const type = checkType(at(5), line(5), findings);
  const metresPerUnit = checkUnits(at(6), line(6), findings);
  const factor = readFactor([at(2), at(10), at(11)], [line(2), line(10), line(11)], header, findings);
  const dimensions = checkDimensions([at(7), at(8), at(9)], metresPerUnit ?? 1, line(7), findings);
  const watts = checkWatts(at(12), line(12), findings);
  const lamps = checkLamps(at(0), line(0), findings);
  const lumensPerLamp = checkLumens(at(1), line(1), findings);
  if (verticalCount === null || horizontalCount === null || type === null) return null;
  return {
    lamps,
    lumensPerLamp,
    factor,
    verticalCount,
    horizontalCount,
    type,
    dimensions,
    watts,
  };
}

/** The file stops before it is complete. */
export function refuseTruncated(findings: Findings, line: number, place: string): void {
  findings.refuse("ies-truncated", `The file ends ${place}`, line, "The file is cut short: fetch it again.");
}

function checkCount(
  value: number,
  name: "vertical" | "horizontal",
  least: number,
  line: number,
  findings: Findings,
): number | null {
  if (Number.isInteger(value) && value >= least && value <= maxPhotometricAngles) return value;
  if (!Number.isNaN(value)) {
    findings.refuse(
      "ies-count",
      `The number of ${name} angles is ${value}`,
      line,
      `Write a whole number from ${least} to ${maxPhotometricAngles}.`,
    );
  }
  return null;
}

function checkType(value: number, line: number, findings: Findings): PhotometricType | null {
  const type = ([null, "C", "B", "A"] as const)[value] ?? null;
  if (type === null && !Number.isNaN(value)) {
    findings.refuse("ies-type", `Photometric type is ${value}`, line, "Write 1 for type C, 2 for B or 3 for A.");
  }
  return type;
}

function checkUnits(value: number, line: number, findings: Findings): number | null {
  if (value === 1) return metresPerFoot;
  if (value === 2) return 1;
  if (!Number.isNaN(value))
    findings.refuse("ies-units", `Units type is ${value}`, line, "Write 1 for feet or 2 for metres.");
  return null;
}

/** Everything that multiplies the table; a zero ballast-lamp factor, common in old files, counts as unused. */
function readFactor(
  [multiplier, ballast, ballastLamp]: readonly [number, number, number],
  [multiplierLine, ballastLine, ballastLampLine]: readonly [number, number, number],
  header: IesHeader,
  findings: Findings,
): number {
  if (multiplier <= 0)
    findings.refuse(
      "ies-multiplier",
      `The candela multiplier is ${multiplier}`,
      multiplierLine,
      "Write a number above 0; 1 when the table is in candela.",
    );
  if (ballast <= 0)
    findings.refuse(
      "ies-ballast",
      `The ballast factor is ${ballast}`,
      ballastLine,
      "Write a number above 0; 1 when there is no ballast.",
    );
  const before2002 = header.edition !== "LM-63-2002" && header.edition !== "LM-63-2019";
  if (!before2002) return multiplier * ballast;
  if (ballastLamp === 0) {
    findings.warn(
      "ies-ballast-lamp",
      "The ballast-lamp photometric factor is 0; taken as 1",
      ballastLampLine,
      "Write 1.",
    );
    return multiplier * ballast;
  }
  if (ballastLamp < 0)
    findings.refuse(
      "ies-ballast-lamp",
      `The ballast-lamp photometric factor is ${ballastLamp}`,
      ballastLampLine,
      "Write a number above 0, usually 1.",
    );
  return multiplier * ballast * ballastLamp;
}

function checkDimensions(
  values: readonly [number, number, number],
  metresPerUnit: number,
  line: number,
  findings: Findings,
): readonly [number, number, number] {
  const metres = [values[0] * metresPerUnit, values[1] * metresPerUnit, values[2] * metresPerUnit] as const;
  const largest = Math.max(...metres.map(Math.abs));
  if (largest > 20)
    findings.warn(
      "ies-size",
      `The luminous opening measures ${largest.toFixed(1)} m`,
      line,
      "Check the units: 1 is feet, 2 is metres.",
    );
  return metres;
}

function checkWatts(value: number, line: number, findings: Findings): number {
  if (!(value < 0)) return value;
  findings.warn("ies-watts", `Input power is ${value} W; taken as 0`, line, "Write the input watts.");
  return 0;
}

function checkLamps(value: number, line: number, findings: Findings): number {
  if (Number.isNaN(value) || (Number.isInteger(value) && value >= 1)) return value;
  findings.warn("ies-lamps", `The number of lamps is ${value}; taken as 1`, line, "Write a whole number from 1.");
  return 1;
}

function checkLumens(value: number, line: number, findings: Findings): number {
  if (value === 0)
    findings.warn(
      "ies-lumens",
      "Lumens per lamp are 0; the lamp counts as unrated",
      line,
      "Write the rated lumens, or −1 for absolute photometry.",
    );
  else if (value < 0 && value !== -1) {
    findings.warn(
      "ies-lumens",
      `Lumens per lamp are ${value}; read as absolute photometry`,
      line,
      "Write −1 for absolute photometry.",
    );
    return -1;
  }
  return value;
}
