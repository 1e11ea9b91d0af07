/** `light-file`: what a measured .ies or .ldt file says: flux, peak, symmetry, opening, lamps, what is odd. */

import {
  decodePhotometricText,
  interpolatedFlux,
  maxPhotometricFileSize,
  type PhotometricWeb,
  parsePhotometricFile,
} from "../photometry/index.ts";
import { formatFault, type Result, success } from "../units/index.ts";
import { type Answer, type Command, JSON_OPTION } from "./command.ts";
import { digits } from "./figures.ts";
import { inputName, readBytes } from "./input.ts";
import { columns, safe } from "./print.ts";
import type { World } from "./world.ts";

export const lightFileCommand: Command = {
  name: "light-file",
  usage: "FILE",
  positionals: { least: 1, most: 1, mend: "Name one .ies or .ldt file." },
  options: [JSON_OPTION],
  notes: [
    "Flux is counted from the table in two ways: by zones, as the trade does, and as the integral of the straight",
    "lines between its points. Factors of the file are applied; lamp tilt is kept and not applied. A file that cannot",
    "be read is answered with every fault and its line. Example: stopwise light-file lamp.ies",
  ],
  run: ({ positionals }, world) => lightFile(positionals[0] ?? "", world),
};

async function lightFile(path: string, world: World): Promise<Result<Answer>> {
  const bytes = await readBytes(path, world, maxPhotometricFileSize);
  if (!bytes.ok) return bytes;
  const text = decodePhotometricText(bytes.value, inputName(path));
  if (!text.ok) return text;
  const web = parsePhotometricFile(text.value, inputName(path));
  return web.ok ? success(answer(web.value)) : web;
}

function answer(web: PhotometricWeb): Answer {
  const bilinear = interpolatedFlux(web);
  const odd = web.warnings.map((warning) => `  ${safe(formatFault(warning))} [${warning.code}]`);
  const rows = [
    ["format", web.source.format],
    ...(web.source.title === "" ? [] : [["title", safe(web.source.title)]]),
    ["photometry", `type ${web.type}, ${web.absolute ? "absolute" : "relative to rated lamps"}`],
    ["symmetry", SYMMETRY[web.symmetry]],
    ["table", `${web.verticalDeg.length} vertical × ${web.horizontalDeg.length} horizontal angles`],
    ["flux", `${digits(web.fluxLm, 4)} lm by zones, ${digits(bilinear, 4)} lm between the points`],
    ["stated flux", web.statedFluxLm === null ? "none" : `${digits(web.statedFluxLm, 4)} lm`],
    [
      "peak",
      `${digits(web.peakCd, 4)} cd at vertical ${digits(web.peakAt.verticalDeg, 4)}°, horizontal ${digits(web.peakAt.horizontalDeg, 4)}°`,
    ],
    ["opening", openingWords(web)],
    ["input", `${digits(web.inputWatts, 4)} W`],
    ["lamps", lampWords(web)],
    ...(web.tilt === null ? [] : [["lamp tilt", `${web.tilt.anglesDeg.length} angles, kept and not applied`]]),
  ];
  return {
    text: [columns(rows), ...(odd.length > 0 ? ["What is odd, and was read anyway:", ...odd] : [])].join("\n"),
    json: {
      format: "stopwise-light-file",
      version: 1,
      fileFormat: web.source.format,
      title: web.source.title,
      keywords: web.source.keywords,
      type: web.type,
      symmetry: web.symmetry,
      absolute: web.absolute,
      verticalDeg: web.verticalDeg,
      horizontalDeg: web.horizontalDeg,
      candela: web.candela,
      fluxLm: web.fluxLm,
      fluxBetweenPointsLm: bilinear,
      statedFluxLm: web.statedFluxLm,
      peakCd: web.peakCd,
      peakAt: web.peakAt,
      opening: web.opening,
      inputWatts: web.inputWatts,
      lamps: web.lamps,
      tilt: web.tilt,
      warnings: web.warnings,
    },
  };
}

const SYMMETRY: Readonly<Record<PhotometricWeb["symmetry"], string>> = {
  axial: "the same all round its axis",
  quadrant: "four like quarters",
  bilateral: "two like halves, mirrored in the 0–180 plane",
  "bilateral-90": "two like halves, mirrored in the 90–270 plane",
  "up-down": "like above and below",
  none: "none: every plane is measured",
};

function openingWords({ opening }: PhotometricWeb): string {
  if (opening.shape === "point") return "a point";
  const size = [opening.lengthM, opening.widthM, opening.heightM].map((side) => `${digits(side, 3)}`).join(" × ");
  return `${opening.shape}, ${size} m (along 0–180, along 90–270, high)`;
}

function lampWords({ lamps }: PhotometricWeb): string {
  const words = lamps.map(({ count, name, fluxLm }) => {
    const flux = fluxLm === null ? "not rated" : `${digits(fluxLm, 4)} lm`;
    return `${count}${name === "" ? "" : ` ${safe(name)}`}, ${flux}`;
  });
  return words.length === 0 ? "none named" : words.join("; ");
}
