/**
 * Writes a web as an LM-63-2019 file: all factors applied, metres, numbers in full so that reading the file
 * back gives the same web. File-generation type 1.00001 (undefined): the numbers were not measured here.
 */

import { openingCodes } from "./ies-opening.ts";
import type { PhotometricType, PhotometricWeb } from "./web.ts";

const typeCode: Record<PhotometricType, number> = { C: 1, B: 2, A: 3 };
const longestLine = 120;

/** The text of the file, lines ended by CR LF as the standard asks. */
export function printIes(web: PhotometricWeb): string {
  const lamp = web.lamps[0];
  const [width, length, height] = openingCodes(web.opening);
  const lines = [
    "IES:LM-63-2019",
    ...web.source.keywords.flatMap(keywordLines),
    ...tiltLines(web),
    [
      lamp?.count ?? 1,
      web.absolute ? -1 : (web.lumensPerLamp ?? 0),
      1,
      web.verticalDeg.length,
      web.horizontalDeg.length,
      typeCode[web.type],
      2,
      width,
      length,
      height,
    ].join(" "),
    `1 1.00001 ${web.inputWatts}`,
    ...wrap(web.verticalDeg),
    ...wrap(web.horizontalDeg),
    ...web.candela.flatMap(wrap),
  ];
  return `${lines.join("\r\n")}\r\n`;
}

function keywordLines([name, value]: readonly [string, string]): readonly string[] {
  const [first, ...more] = value.split("\n");
  return [
    `[${name === "" ? "OTHER" : name}] ${first ?? ""}`.trimEnd(),
    ...more.map((text) => `[MORE] ${text}`.trimEnd()),
  ];
}

function tiltLines({ tilt }: PhotometricWeb): readonly string[] {
  if (tilt === null) return ["TILT=NONE"];
  return [
    "TILT=INCLUDE",
    `${tilt.geometry}`,
    `${tilt.anglesDeg.length}`,
    ...wrap(tilt.anglesDeg),
    ...wrap(tilt.factors),
  ];
}

function wrap(values: readonly number[]): readonly string[] {
  const lines: string[] = [];
  let line = "";
  for (const value of values) {
    const piece = String(value);
    if (line !== "" && line.length + 1 + piece.length > longestLine) {
      lines.push(line);
      line = "";
    }
    line = line === "" ? piece : `${line} ${piece}`;
  }
  return [...lines, line];
}
