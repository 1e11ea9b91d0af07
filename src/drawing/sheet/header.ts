/**
 * The head of the sheet: title, working aperture, room; and a strip with camera, lens, nose, white balance, meter
 * and trigger groups (what a rebuild record must state).
 */

import { polarOf, positionOf, type Room, type Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { iso, printIso } from "../../units/index.ts";
import { fittedLine, fittedSize, wrapRuns } from "../measure.ts";
import { line, placed, text } from "../shape.ts";
import type { Shape } from "../types.ts";
import { apertureRuns, lengthText, phrase, runsOf, strong } from "../words.ts";
import { type Block, type CellLine, lineBlock, spread } from "./block.ts";
import type { SheetOptions } from "./paper.ts";

export function sheetHeader(setup: Setup, width: number, options: SheetOptions): Block {
  const { exposure } = setup;
  const rate = exposure.framesPerSecond === null ? "" : `, ${exposure.framesPerSecond} frames a second`;
  const exposed = phrase(
    apertureRuns(exposure.apertureAv),
    `   ISO ${printIso(iso(exposure.iso))}   ${exposure.shutterMark} s${rate}`,
  );
  const beside = width * 0.54;
  const title = fittedLine(runsOf(setup.title), 28, 700, width - beside - 14);
  const words = runsOf(roomWords(setup, options));
  let size = 10.5;
  while (size > 6 && wrapRuns(words, size, 400, beside).length > 2) size -= 0.25;
  const room = wrapRuns(words, size, 400, beside);
  return {
    width,
    height: 58,
    shapes: [
      text(0, 47, title.size, title.runs, { weight: 700 }),
      text(width, 18, fittedSize(exposed, 16, 400, beside), exposed, { anchor: "end" }),
      ...room.map((runs, i) =>
        text(width, 49 - (room.length - 1 - i) * 13, size, runs, { anchor: "end", fill: "ink2" }),
      ),
      line(
        [
          [0, 56],
          [width, 56],
        ],
        { stroke: "ink", strokeWidth: 3.2 },
      ),
    ],
  };
}

/** "rehearsal room 5.40 × 4.20 × 2.90 m, walls 80 %, blind down, 2 black panels, room light 12 lx". */
function roomWords(setup: Setup, options: SheetOptions): string {
  const { room, panels } = setup;
  const sides = [room.depthM, room.widthM, room.heightM].map((m) => lengthText(m, options.units).replace(" m", ""));
  const size = `${sides.join(" × ")}${options.units === "metres" ? " m" : ""}`;
  const windows = room.openings.filter((o) => o.kind === "window");
  const blinds =
    windows.length === 0 ? "" : windows.every((o) => o.covered) ? "blinds down" : "window open to daylight";
  const flags = panels.filter((p) => p.role === "flag").length;
  const cards = panels.length - flags;
  return [
    `${room.name} ${size}`,
    wallWords(room),
    blinds,
    flags === 0 ? "" : `${flags} ${flags === 1 ? "panel" : "panels"}`,
    cards === 0 ? "" : `${cards} ${cards === 1 ? "card" : "cards"}`,
    room.ambientLx === null ? "room light not measured" : `room light ${Number(room.ambientLx.toPrecision(2))} lx`,
    setup.invented ? "invented example" : "",
    options.printedAt === undefined ? "" : `printed ${options.printedAt}`,
  ]
    .filter((part) => part !== "")
    .join(", ");
}

function wallWords({ reflectance }: Room): string {
  const walls = [reflectance.left, reflectance.right, reflectance.back, reflectance.front];
  const percent = (r: number): string => String(Math.round(r * 100));
  const [low, high] = [percent(Math.min(...walls)), percent(Math.max(...walls))];
  return `walls ${low === high ? low : `${low} to ${high}`} %, ceiling ${percent(reflectance.ceiling)} %, floor ${percent(reflectance.floor)} %`;
}

interface Fact {
  readonly name: string;
  readonly value: string;
  readonly more: string;
}

/** Six facts side by side; all shrink together when they do not fit. */
export function sheetFacts(setup: Setup, report: SetupReport, width: number, options: SheetOptions): Block {
  const facts = factsOf(setup, report, options);
  const atSize = (k: number): readonly Block[] => facts.map((fact) => factBlock(fact, k));
  const natural = atSize(1);
  const wanted = natural.reduce((sum, b) => sum + b.width, 0) + 12 * (facts.length - 1);
  const blocks =
    wanted <= width ? natural : atSize((width - 12 * (facts.length - 1)) / (wanted - 12 * (facts.length - 1)));
  const row = spread(blocks, width);
  const shapes: readonly Shape[] = [
    ...placed(row.shapes, 1, 0, 5),
    line(
      [
        [0, row.height + 9],
        [width, row.height + 9],
      ],
      { stroke: "ink", strokeWidth: 1 },
    ),
  ];
  return { width, height: row.height + 10, shapes };
}

function factBlock({ name, value, more }: Fact, k: number): Block {
  const rows: readonly CellLine[] = [
    { runs: runsOf(name), size: 10.5 * k, fill: "ink2" },
    { runs: strong(value), size: 12 * k, weight: 600 },
    { runs: runsOf(more), size: 10.5 * k },
  ];
  return lineBlock(rows, 1.26);
}

function factsOf(setup: Setup, report: SetupReport, options: SheetOptions): readonly Fact[] {
  const { camera, subject, meter, exposure } = setup;
  const length = (m: number): string => lengthText(m, options.units);
  const frame = [report.camera.fieldWidthM, report.camera.fieldHeightM].map(length).join(" × ").replace(" m ×", " ×");
  const tilt = Math.round(Math.abs(report.camera.tiltDeg));
  const tiltWords = tilt === 0 ? "level" : `${tilt}° ${report.camera.tiltDeg < 0 ? "down" : "up"}`;
  const groups = setup.lights.filter((l) => l.triggerGroup !== "").map((l) => `${l.tag} ${l.triggerGroup}`);
  const isObject = subject.kind === "object";
  return [
    {
      name: "camera",
      value: `${camera.focalLengthMm} mm, ${camera.upright ? "upright" : "lying"}`,
      more: `${camera.sensorWidthMm} × ${camera.sensorHeightMm} mm, sees ${frame}`,
    },
    {
      name: "lens",
      value: `${length(report.camera.distanceM)} from ${isObject ? "the point" : "the nose"}`,
      more: `${length(camera.position.yM)} high, ${tiltWords}`,
    },
    {
      name: isObject ? "point" : "nose",
      value: `${length(subject.noseHeightM)}${isObject ? " high" : `, ${subject.pose}`}`,
      more: isObject ? backdropWords(setup, length) : `${turnWords(setup)}, ${subject.hair} hair`,
    },
    {
      name: "white balance",
      value: `${exposure.whiteBalanceK} K`,
      more:
        camera.meterOffsetStops === null ? "grey card: not done" : `grey card: ${camera.meterOffsetStops.toFixed(1)}`,
    },
    {
      name: "meter",
      value: `dome C ${meter.domeC}, disc C ${meter.discC}`,
      more: `ISO ${printIso(iso(exposure.iso))}, ${exposure.shutterMark} s, offset ${meter.offsetStops.toFixed(1)}`,
    },
    {
      name: "trigger groups",
      value: groups.length === 0 ? "none" : groups.join("  "),
      more: "each alone by its group",
    },
  ];
}

/** "facing the camera", "face 20° camera right, chin 5° up". */
function turnWords({ subject }: Setup): string {
  const yaw = Math.round(subject.headYawDeg);
  const pitch = Math.round(subject.headPitchDeg);
  const face = yaw === 0 ? "facing the camera" : `face ${Math.abs(yaw)}° cam. ${yaw < 0 ? "left" : "right"}`;
  return pitch === 0 ? face : `${face}, chin ${Math.abs(pitch)}° ${pitch > 0 ? "up" : "down"}`;
}

function backdropWords({ backdrop }: Setup, length: (m: number) => string): string {
  return backdrop === null ? "no backdrop" : `${length(-backdrop.zM)} before the backdrop`;
}

/** Where a light's stand stands on the floor, from the cross; a hung light by its front. */
export function standFromCross(
  setup: Setup,
  light: Setup["lights"][number],
  foot: readonly number[] | null,
): readonly [number, number] {
  if (foot !== null) return [foot[0] ?? 0, foot[2] ?? 0];
  const [x, , z] = positionOf(light.place, setup);
  return [x, z];
}

export const placeOf = (setup: Setup, light: Setup["lights"][number]): ReturnType<typeof polarOf> =>
  polarOf(positionOf(light.place, setup), setup);
