/**
 * Reader for IES files: ANSI/IES LM-63, editions 1986, 1991, 1995, 2002 and 2019. Returns candela with all
 * factors applied, or every fault with its line.
 *
 * I = candela multiplier × ballast factor × table; the ballast-lamp photometric factor multiplies too in
 * the editions before 2002. In 2002 that number is reserved and in 2019 it is the file-generation type:
 * no factor. Tilt factors of TILT=INCLUDE belong to a tipped lamp and are kept, not applied.
 */

import { failure, fault, type Result, success } from "../../units/index.ts";
import { near, symmetryOf } from "./angle-rules.ts";
import { Findings } from "./findings.ts";
import { type IesBlock, readIesBlock, refuseTruncated } from "./ies-block.ts";
import { type IesHeader, readIesHeader } from "./ies-header.ts";
import { openingFromCodes } from "./ies-opening.ts";
import { NumberReader } from "./number-reader.ts";
import { type LampTilt, maxPhotometricFileSize, type PhotometricWeb, type WebSymmetry } from "./web.ts";
import { peakOf, zonalFlux } from "./web-flux.ts";

/** Read the text of a .ies file. `where` names it in messages. */
export function parseIes(text: string, where = "the .ies file"): Result<PhotometricWeb> {
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
  const header = readIesHeader(text.replace(/^\ufeff/, " "), findings);
  if (header === null) return findings.failed();
  const reader = new NumberReader(text, header.dataAt, header.dataLine, findings);
  const tilt = header.tilt === "include" ? readTilt(reader, findings) : null;
  if (tilt === "lost") return findings.failed();
  const block = readIesBlock(reader, header, findings);
  if (block === null) return findings.failed();
  const table = readTable(reader, block, findings);
  if (findings.bad || table === null) return findings.failed();
  return assemble(header, tilt, block, table, findings);
}

interface Table {
  readonly vertical: readonly number[];
  readonly horizontal: readonly number[];
  readonly candela: readonly (readonly number[])[];
  readonly symmetry: WebSymmetry;
}

function readTilt(reader: NumberReader, findings: Findings): LampTilt | null | "lost" {
  const geometry = reader.next();
  const geometryLine = reader.line;
  const count = reader.next();
  const countLine = reader.line;
  if (geometry === null || count === null) {
    refuseTruncated(findings, reader.line, "in the tilt table");
    return "lost";
  }
  if (geometry !== 1 && geometry !== 2 && geometry !== 3) {
    findings.refuse("ies-tilt-geometry", `Lamp-to-luminaire geometry is ${geometry}`, geometryLine, "Write 1, 2 or 3.");
  }
  if (!Number.isInteger(count) || count < 1 || count > 500) {
    findings.refuse(
      "ies-tilt-count",
      `The tilt table counts ${count} pairs`,
      countLine,
      "Write a whole number from 1 to 500, or TILT=NONE and no table.",
    );
    return "lost";
  }
  if (reader.remaining() < 2 * count) {
    refuseTruncated(findings, countLine, "in the tilt table");
    return "lost";
  }
  const anglesDeg = readAngles(reader, count, "tilt", findings);
  const factors = readNumbers(reader, count, (value, line) => {
    if (value < 0)
      findings.refuse("ies-tilt-factor", `Tilt factor ${value} is negative`, line, "Write a factor of 0 or more.");
  });
  findings.warn(
    "ies-tilt-kept",
    "Tilt factors are kept but not applied: they hold for a tipped lamp, not for a direction",
    null,
    "Calibrate a tipped lamp with one reading.",
  );
  return geometry === 1 || geometry === 2 || geometry === 3 ? { geometry, anglesDeg, factors } : null;
}

function readTable(reader: NumberReader, block: IesBlock, findings: Findings): Table | null {
  const { verticalCount, horizontalCount } = block;
  const need = verticalCount + horizontalCount + verticalCount * horizontalCount;
  const have = reader.remaining();
  if (have < need) {
    findings.refuse(
      "ies-truncated",
      `${verticalCount} × ${horizontalCount} angles need ${need} more numbers, the file has ${have}`,
      reader.line,
      "Check the two counts; otherwise the file is cut short: fetch it again.",
    );
    // What is there is still checked, so that one pass names every fault.
    checkFragment(reader, block, have, findings);
    return null;
  }
  const verticalLine = reader.nextLine();
  const vertical = readAngles(reader, verticalCount, "vertical", findings);
  const horizontalLine = reader.nextLine();
  const horizontal = readAngles(reader, horizontalCount, "horizontal", findings);
  const candela: number[][] = [];
  for (let j = 0; j < horizontalCount; j += 1) candela.push(readCandela(reader, verticalCount, block.factor, findings));
  const extra = have - need;
  if (extra > 0) {
    findings.warn(
      "ies-extra-numbers",
      `${extra} numbers follow the table and are ignored`,
      reader.line,
      "Check the two counts, and that decimals have a point: a comma separates.",
    );
  }
  if (findings.bad) return null;
  const symmetry = symmetryOf(
    block.type,
    vertical,
    horizontal,
    { vertical: verticalLine, horizontal: horizontalLine },
    findings,
  );
  return symmetry === null ? null : { vertical, horizontal, candela, symmetry };
}

function checkFragment(reader: NumberReader, block: IesBlock, have: number, findings: Findings): void {
  readAngles(reader, Math.min(block.verticalCount, have), "vertical", findings);
  const afterVertical = Math.max(0, have - block.verticalCount);
  readAngles(reader, Math.min(block.horizontalCount, afterVertical), "horizontal", findings);
  readCandela(reader, Math.max(0, afterVertical - block.horizontalCount), 1, findings);
}

function assemble(
  header: IesHeader,
  tilt: LampTilt | null,
  block: IesBlock,
  table: Table,
  findings: Findings,
): Result<PhotometricWeb> {
  const web = {
    type: block.type,
    symmetry: table.symmetry,
    verticalDeg: table.vertical,
    horizontalDeg: table.horizontal,
    candela: table.candela,
  };
  const { peakCd, ...peakAt } = peakOf(web);
  if (peakCd <= 0) {
    findings.refuse("web-dark", "Every candela value is zero", null, "Give a file of a light that is on.");
    return findings.failed();
  }
  const fluxLm = zonalFlux(web);
  const absolute = block.lumensPerLamp < 0;
  const lampFluxLm = absolute || block.lumensPerLamp === 0 ? null : block.lamps * block.lumensPerLamp;
  warnOddWeb(web, peakCd, fluxLm, lampFluxLm, findings);
  const keyword = (name: string): string => header.keywords.find(([key]) => key === name)?.[1] ?? "";
  return success({
    source: {
      format: header.edition,
      title: keyword("LUMINAIRE") || keyword("LUMCAT") || keyword(""),
      keywords: header.keywords,
    },
    ...web,
    lamps: [
      {
        count: block.lamps,
        name: keyword("LAMP") || keyword("LAMPCAT"),
        fluxLm: lampFluxLm,
        colour: "",
        colourRendering: "",
        watts: block.watts,
      },
    ],
    lumensPerLamp: lampFluxLm === null ? null : block.lumensPerLamp,
    absolute,
    inputWatts: block.watts,
    opening: openingFromCodes(...block.dimensions, header.edition === "LM-63-2002" || header.edition === "LM-63-2019"),
    tilt,
    directRatios: null,
    fluxLm,
    statedFluxLm: null,
    peakCd,
    peakAt,
    warnings: findings.warnings,
  });
}

/** Things a table can say that no light can do: reported, read as they stand. */
function warnOddWeb(
  web: Pick<PhotometricWeb, "type" | "horizontalDeg" | "candela">,
  peakCd: number,
  fluxLm: number,
  lampFluxLm: number | null,
  findings: Findings,
): void {
  if (lampFluxLm !== null && fluxLm > lampFluxLm * 1.05) {
    findings.warn(
      "web-over-rated",
      `The table sends out ${fluxLm.toFixed(0)} lm, more than the ${lampFluxLm.toFixed(0)} lm of its lamps`,
      null,
      "Trust the shape; set the level by one reading.",
    );
  }
  const first = web.candela[0] as readonly number[];
  const last = web.candela[web.candela.length - 1] as readonly number[];
  const wholeTurn = web.type === "C" && near(web.horizontalDeg[web.horizontalDeg.length - 1] as number, 360);
  if (wholeTurn && first.some((cd, i) => Math.abs(cd - (last[i] as number)) > 0.02 * peakCd)) {
    findings.warn("web-seam", "The planes at 0 and 360 differ", null, "They are one plane: use one of them twice.");
  }
}

/** Angles, strictly ascending. */
function readAngles(
  reader: NumberReader,
  count: number,
  name: "vertical" | "horizontal" | "tilt",
  findings: Findings,
): number[] {
  let previous = Number.NEGATIVE_INFINITY;
  let faults = 0;
  return readNumbers(reader, count, (value, line) => {
    // A wrong count breaks the order over and over: a few of them say enough.
    if (value <= previous && faults < 3) {
      faults += 1;
      findings.refuse(
        "web-not-ascending",
        `The ${name} angle ${value} follows ${previous}`,
        line,
        "Angles must rise; check the counts, and that decimals have a point.",
      );
    }
    if (Number.isFinite(value)) previous = value;
  });
}

function readCandela(reader: NumberReader, count: number, factor: number, findings: Findings): number[] {
  const plane = readNumbers(reader, count, (value, line) => {
    if (value < 0)
      findings.refuse(
        "web-negative-candela",
        `Intensity ${value} is negative`,
        line,
        "Write 0 where no light was measured.",
      );
    else if (!Number.isFinite(value * factor) && !Number.isNaN(value)) {
      findings.refuse(
        "web-huge-candela",
        `Intensity ${value} is beyond any light`,
        line,
        "Check the value and the multiplier.",
      );
    }
  });
  return factor === 1 ? plane : plane.map((cd) => cd * factor);
}

/** `count` numbers, which the caller knows to be there; unreadable ones stay NaN with a fault. */
function readNumbers(reader: NumberReader, count: number, check: (value: number, line: number) => void): number[] {
  const values: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const value = reader.next() ?? Number.NaN;
    check(value, reader.line);
    values.push(value);
  }
  return values;
}
