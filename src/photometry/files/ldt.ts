/**
 * Reader for EULUMDAT files (.ldt; Stockmar, 1990 and 1998): one item per line, decimals with point or
 * comma, intensities in cd per 1000 lm of lamp flux. Returns candela, or every fault with its line.
 *
 * I = value × conversion factor × lamp flux / 1000. A negative number of lamps marks absolute photometry;
 * its flux is then that of the luminaire and scales the same way. Lamp sets are alternatives: the one asked
 * for (the first by default) sets the flux.
 */

import { failure, fault, type Result, success } from "../../units/index.ts";
import { Findings, quote } from "./findings.ts";
import { LdtLines, toNumber } from "./ldt-lines.ts";
import { readLdtPlan } from "./ldt-plan.ts";
import { type LdtTable, readLdtTable } from "./ldt-table.ts";
import { type Lamp, maxPhotometricFileSize, type Opening, type PhotometricWeb } from "./web.ts";
import { peakOf, zonalFlux } from "./web-flux.ts";

/** Line numbers of the fixed head, from 1. */
const line = {
  maker: 1,
  report: 8,
  luminaire: 9,
  catalogue: 10,
  file: 11,
  date: 12,
  openingLength: 16,
  openingWidth: 17,
  openingHeights: 18,
  lor: 23,
  conversion: 24,
  tilt: 25,
  lampSets: 26,
} as const;
const linesPerLampSet = 6;
const directRatioCount = 10;

/** Read the text of a .ldt file. `lampSet` chooses among its lamp sets, from 0. */
export function parseLdt(text: string, where = "the .ldt file", lampSet = 0): Result<PhotometricWeb> {
  if (text.length > maxPhotometricFileSize) {
    return failure(
      fault(
        "file-too-large",
        `The file has ${text.length} characters`,
        where,
        "Photometric files stay under 8 MB; give the right file.",
      ),
    );
  }
  const findings = new Findings(where);
  const lines = new LdtLines(text.replace(/^\ufeff/, ""), findings);
  const plan = readLdtPlan(lines, findings);
  const sets = readLampSetCount(lines, findings);
  if (plan === null || sets === null) return findings.failed();
  const dataAt = line.lampSets + 1 + sets * linesPerLampSet;
  const lamps = readLamps(lines, sets, findings);
  const directRatios = lines.optionalNumbers(dataAt, directRatioCount, "direct ratio");
  const anglesAt = dataAt + directRatioCount;
  const table = readLdtTable(lines, plan, anglesAt, findings);
  if (findings.bad || table === null) return findings.failed();
  const chosen = lamps[lampSet];
  if (chosen === undefined) {
    findings.refuse(
      "ldt-lamp-set",
      `There is no lamp set ${lampSet + 1}`,
      line.lampSets,
      `Choose one of 1 to ${sets}.`,
    );
    return findings.failed();
  }
  return assemble(lines, table, lamps, chosen, directRatios, findings);
}

/** True when lines 2 to 7 hold the numbers that EULUMDAT puts there. */
export function looksLikeLdt(text: string): boolean {
  const head = text
    .slice(0, 4000)
    .split(/\r\n|\n|\r/)
    .slice(1, 7);
  return head.length === 6 && head.every((item) => Number.isFinite(toNumber(item)));
}

function readLampSetCount(lines: LdtLines, findings: Findings): number | null {
  const sets = lines.number(line.lampSets, "number of lamp sets");
  if (Number.isInteger(sets) && sets >= 1 && sets <= 100) return sets;
  if (!Number.isNaN(sets))
    findings.refuse(
      "ldt-lamp-sets",
      `The number of lamp sets is ${sets}`,
      line.lampSets,
      "Write a whole number from 1 to 100.",
    );
  return null;
}

interface LampSet extends Lamp {
  readonly absolute: boolean;
}

function readLamps(lines: LdtLines, sets: number, findings: Findings): readonly LampSet[] {
  return Array.from({ length: sets }, (_, i) => {
    const at = line.lampSets + 1 + i * linesPerLampSet;
    const count = lines.number(at, "number of lamps");
    const fluxLm = lines.number(at + 2, "lamp flux");
    if (fluxLm < 0)
      findings.refuse("ldt-flux", `The lamp flux is ${fluxLm} lm`, at + 2, "Write the flux of the set in lumens.");
    if (count === 0)
      findings.warn(
        "ldt-lamps",
        "The number of lamps is 0; taken as 1",
        at,
        "Write a whole number, negative for absolute photometry.",
      );
    return {
      count: Math.max(1, Math.abs(count)),
      absolute: count < 0,
      name: lines.text(at + 1),
      fluxLm,
      colour: lines.text(at + 3),
      colourRendering: lines.text(at + 4),
      watts: Math.max(0, lines.optionalNumber(at + 5, "power of the lamp set")),
    };
  });
}

function assemble(
  lines: LdtLines,
  table: LdtTable,
  lamps: readonly LampSet[],
  chosen: LampSet,
  directRatios: readonly number[],
  findings: Findings,
): Result<PhotometricWeb> {
  const factor = conversionFactor(lines, findings) * lampScale(chosen, lamps.length, findings);
  const candela = table.values.map((plane) => plane.map((value) => value * factor));
  const web = {
    type: "C" as const,
    symmetry: table.symmetry,
    verticalDeg: table.vertical,
    horizontalDeg: table.horizontal,
    candela,
  };
  const { peakCd, ...peakAt } = peakOf(web);
  if (!(peakCd > 0)) findings.refuse("web-dark", "Every intensity is zero", null, "Give a file of a light that is on.");
  if (!Number.isFinite(peakCd))
    findings.refuse(
      "web-huge-candela",
      "An intensity is beyond any light",
      null,
      "Check the intensities, the conversion factor (line 24) and the lamp flux.",
    );
  if (findings.bad) return findings.failed();
  const fluxLm = zonalFlux(web);
  const lorPercent = lines.optionalNumber(line.lor, "light output ratio");
  const statedFluxLm =
    lorPercent > 0 && (chosen.fluxLm ?? 0) > 0 ? ((chosen.fluxLm as number) * lorPercent) / 100 : null;
  warnOddFile(lines, statedFluxLm, fluxLm, findings);
  return success({
    source: {
      format: "EULUMDAT",
      title: lines.text(line.luminaire) || lines.text(line.catalogue),
      keywords: keywordsOf(lines, chosen),
    },
    ...web,
    lamps: lamps.map(({ absolute, ...lamp }) => ({
      ...lamp,
      fluxLm: absolute ? null : lamp.fluxLm,
    })),
    lumensPerLamp: chosen.absolute || chosen.fluxLm === 0 ? null : (chosen.fluxLm as number) / chosen.count,
    absolute: chosen.absolute,
    inputWatts: chosen.watts,
    opening: readOpening(lines),
    tilt: null,
    directRatios,
    fluxLm,
    statedFluxLm,
    peakCd,
    peakAt,
    warnings: findings.warnings,
  });
}

function conversionFactor(lines: LdtLines, findings: Findings): number {
  const factor = lines.optionalNumber(line.conversion, "intensity conversion factor");
  if (factor > 0) return factor;
  findings.warn(
    "ldt-conversion",
    `The intensity conversion factor is ${factor}; taken as 1`,
    line.conversion,
    "Write 1.",
  );
  return 1;
}

/** cd per (cd/klm). A set without flux keeps its shape at 1000 lm. */
function lampScale(chosen: LampSet, sets: number, findings: Findings): number {
  if (sets > 1)
    findings.warn(
      "ldt-many-sets",
      `${sets} lamp sets are listed as alternatives; ${quote(chosen.name)} sets the level`,
      line.lampSets,
      "Choose the set that burns, or calibrate with one reading.",
    );
  if (chosen.fluxLm !== null && chosen.fluxLm > 0) return chosen.fluxLm / 1000;
  findings.warn(
    "ldt-no-flux",
    "The lamp flux is 0; the table is read as if it were 1000 lm",
    line.lampSets,
    "Use the shape only and set the level by one reading.",
  );
  return 1;
}

function warnOddFile(lines: LdtLines, statedFluxLm: number | null, fluxLm: number, findings: Findings): void {
  if (statedFluxLm !== null && Math.abs(fluxLm / statedFluxLm - 1) > 0.05) {
    findings.warn(
      "web-flux-differs",
      `The table sends out ${fluxLm.toFixed(0)} lm, lamp flux and output ratio make ${statedFluxLm.toFixed(0)} lm`,
      line.lor,
      "Trust the shape; set the level by one reading.",
    );
  }
  const tilt = lines.optionalNumber(line.tilt, "tilt during measurement");
  if (tilt !== 0)
    findings.warn(
      "ldt-tilt",
      `The luminaire was tilted by ${tilt}° when measured; the table is used as it stands`,
      line.tilt,
      "Turn the light by hand when it is placed.",
    );
}

/** Sizes in mm; EULUMDAT's length runs along C90, so it is our width. A width of 0 means round. */
function readOpening(lines: LdtLines): Opening {
  const along90 = Math.abs(lines.optionalNumber(line.openingLength, "length of the luminous area")) / 1000;
  const along0 = Math.abs(lines.optionalNumber(line.openingWidth, "width of the luminous area")) / 1000;
  const heights = lines.optionalNumbers(line.openingHeights, 4, "height of the luminous area");
  const heightM = Math.max(...heights.map(Math.abs)) / 1000;
  if (along90 === 0 && along0 === 0)
    return {
      shape: heightM > 0 ? "line" : "point",
      widthM: 0,
      lengthM: 0,
      heightM,
    };
  if (along0 === 0)
    return {
      shape: heightM > 0 ? "cylinder-upright" : "disc",
      widthM: along90,
      lengthM: along90,
      heightM,
    };
  if (along90 === 0)
    return {
      shape: heightM > 0 ? "box" : "line",
      widthM: 0,
      lengthM: along0,
      heightM,
    };
  return {
    shape: heightM > 0 ? "box" : "rectangle",
    widthM: along90,
    lengthM: along0,
    heightM,
  };
}

/** The text lines under the names that LM-63 gives the same things. */
function keywordsOf(lines: LdtLines, lamp: LampSet): readonly (readonly [string, string])[] {
  const all: readonly (readonly [string, string])[] = [
    ["TEST", lines.text(line.report)],
    ["ISSUEDATE", lines.text(line.date)],
    ["MANUFAC", lines.text(line.maker)],
    ["LUMCAT", lines.text(line.catalogue)],
    ["LUMINAIRE", lines.text(line.luminaire)],
    ["LAMP", lamp.name],
    ["OTHER", lines.text(line.file)],
  ];
  return all.filter(([, value]) => value !== "");
}
