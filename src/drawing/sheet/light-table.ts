/** The table of the lights: what is needed to put each back, and what it read. */

import { type AsShot, type Light, lightBody, type Setup } from "../../setup/index.ts";
import type { LightReport, SetupReport } from "../../solve/index.ts";
import { bead } from "../bead.ts";
import { fittedSize, runsWidth } from "../measure.ts";
import { rectangle, text } from "../shape.ts";
import { azimuthText, elevationText, fromCross, lengthText, phrase, readingRuns, runsOf, tenths } from "../words.ts";
import { type Block, type Cell, type CellLine, type Column, table } from "./block.ts";
import { placeOf, standFromCross } from "./header.ts";
import type { SheetOptions } from "./paper.ts";

const columnsWith = (roleWidth: number): readonly Column[] => [
  { title: "Light", align: "start", fixed: roleWidth },
  { title: "Modifier and head", align: "start", share: 2.25 },
  { title: "to nose", align: "end", share: 0.62 },
  { title: "height", align: "end", share: 0.62 },
  { title: "angle", align: "end", share: 1.05 },
  { title: "stand from cross", align: "end", share: 0.95 },
  { title: "dial", align: "end", share: 0.62 },
  { title: "predicted", align: "end", share: 0.62 },
  { title: "metered", align: "end", share: 0.78 },
  { title: "as shot", align: "end", fixed: 38 },
  { title: "next time", align: "end", fixed: 46 },
];

export function lightTable(
  setup: Setup,
  report: SetupReport,
  width: number,
  options: SheetOptions,
  rowHeight: number,
): Block {
  const size = Math.min(12, rowHeight * 0.39);
  // "background" is longer than the other roles; it may be set a little smaller, not tiny.
  const roles = setup.lights.map((light) => runsWidth([{ text: light.role }], size, 600));
  const roleWidth = Math.min(92, Math.max(66, ...roles.map((role) => size * 2.35 + 6 + role)));
  const shot = setup.asShot[setup.asShot.length - 1] ?? null;
  const rows = setup.lights.map((light) => {
    const told = report.lights.find((r) => r.lightId === light.id) ?? null;
    return lightRow(setup, light, told, shot, options, size, roleWidth);
  });
  return table(columnsWith(roleWidth), rows, width, { size, rowHeight, gap: 9 });
}

function lightRow(
  setup: Setup,
  light: Light,
  told: LightReport | null,
  shot: AsShot | null,
  options: SheetOptions,
  size: number,
  roleWidth: number,
): readonly Cell[] {
  const small = (words: string): CellLine => ({ runs: runsOf(words), size: size * 0.88, fill: "ink2" });
  const main = (words: string): CellLine => ({ runs: runsOf(words), size });
  const polar = placeOf(setup, light);
  const body = lightBody(setup, light);
  const [side, along] = fromCross(...standFromCross(setup, light, body.stand?.foot ?? null), options.units);
  const turn = told === null ? null : (told.turn ?? told.plan);
  const asShot = shot?.lights.find((l) => l.lightId === light.id)?.readingAv ?? null;
  return [
    tagAndRole(light, size, roleWidth),
    [main(modifierWords(light)), small(headWords(light))],
    [main(lengthText(polar.distanceM, options.units))],
    [main(lengthText(polar.heightM, options.units))],
    [main(azimuthText(polar.azimuthDeg)), small(aimWords(light, polar.elevationDeg, options))],
    [main(side), small(along)],
    [
      { runs: runsOf(turn?.dialFrom ?? ""), size: size * 1.2, weight: 700 },
      small(
        turn === null || turn.dialFrom === turn.dialTo
          ? `${tenths(light.dialStops)} of full`
          : `turn to ${turn.dialTo}`,
      ),
    ],
    predictedCell(told, size),
    meteredCell(told, size),
    penBox(38, size, asShot === null ? [] : readingRuns(asShot)),
    penBox(44, size, [{ text: "f/", quiet: true }]),
  ];
}

function tagAndRole(light: Light, size: number, roleWidth: number): Block {
  const height = size * 1.42;
  const width = height * 1.65;
  return {
    width: roleWidth,
    height,
    shapes: [
      ...bead({
        x: width / 2,
        y: height / 2,
        width,
        height,
        hue: light.hue,
        tag: light.tag,
        state: light.on ? "solid" : "hollow",
      }),
      text(
        width + 5,
        height / 2 + size * 0.34,
        fittedSize([{ text: light.role }], size, 600, roleWidth - 5 - width),
        [{ text: light.role }],
        {
          weight: 600,
        },
      ),
    ],
  };
}

/** "30 × 90 strip, grid, lying, ND 1.0, orange gel +60 mired". */
function modifierWords(light: Light): string {
  const { modifier } = light;
  const layers = modifier.layers.length === 0 ? "" : modifier.layers.join(" + ");
  const lying = modifier.shape === "rectangle" && Math.abs(Math.abs(light.rollDeg) - 90) < 45 ? "lying" : "";
  const roll = lying === "" && light.rollDeg !== 0 ? `roll ${Math.round(light.rollDeg)}°` : lying;
  const nd = light.ndStops > 0 ? `ND ${light.ndStops.toFixed(1)} stops` : "";
  const gels = light.gels.map(
    (gel) => `${gel.name} ${gel.miredShift > 0 ? "+" : "−"}${Math.abs(gel.miredShift)} mired`,
  );
  return [modifier.name, layers, roll, nd, ...gels].filter((part) => part !== "").join(", ");
}

function headWords(light: Light): string {
  const unit = light.unit === null ? "" : `no. ${light.unit}`;
  const fires = light.triggerGroup === "" ? "" : `fires on ${light.triggerGroup}`;
  const pops = light.pops > 1 ? `${light.pops} pops` : "";
  const off = light.on ? "" : "off";
  return [light.head.name, unit, fires, pops, off].filter((part) => part !== "").join(", ");
}

/** "25° down", and where it points when that is not the nose. */
function aimWords(light: Light, elevationDeg: number, { units }: SheetOptions): string {
  const { aim } = light;
  const rise = elevationText(elevationDeg);
  if (aim.kind === "point") return aim.point === "nose" ? rise : `aims at ${aim.point.replace("-", " ")}`;
  if (aim.kind === "pan-tilt") return `pan ${Math.round(aim.panDeg)}°, tilt ${Math.round(aim.tiltDeg)}°`;
  return `aims at ${[aim.xM, aim.yM, aim.zM].map((m) => lengthText(m, units)).join(", ")}`;
}

function predictedCell(told: LightReport | null, size: number): Cell {
  if (told === null) return [];
  const { av } = told.predicted;
  const difference = av === null || told.readingAv === null ? null : told.readingAv - av;
  const read = difference === null ? "" : `read ${difference > 0.05 ? "+" : ""}${tenths(difference)}`;
  return [
    { runs: readingRuns(av), size, weight: 400 },
    { runs: runsOf(read), size: size * 0.88, fill: "ink2" },
  ];
}

function meteredCell(told: LightReport | null, size: number): Cell {
  if (told === null) return [];
  const target: CellLine = { runs: phrase("target ", readingRuns(told.targetAv)), size: size * 0.88, fill: "ink2" };
  if (told.readingAv === null) return [{ runs: runsOf("not yet"), size, fill: "ink2" }, target];
  return [{ runs: readingRuns(told.readingAv, { strong: true }), size: size * 1.2, weight: 600 }, target];
}

/** An empty box for a pen, or what was kept. */
function penBox(width: number, size: number, runs: CellLine["runs"]): Block {
  const height = size * 1.9;
  return {
    width,
    height,
    shapes: [
      rectangle(0.6, 0.6, width - 1.2, height - 1.2, { stroke: "ink", strokeWidth: 1.1 }),
      ...(runs.length === 0 ? [] : [text(4, height * 0.66, size * 0.92, runs)]),
    ],
  };
}
