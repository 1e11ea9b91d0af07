/**
 * What follows from the record: size of each front as seen, catchlights, lean, ratios in both conventions, pattern,
 * background tone, circuits; and tape checks between what a tape reaches.
 */

import { type Light, lightBody, positionOf, type Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { lengthText, runsOf, tenths } from "../words.ts";
import { type Block, type Cell, type Column, heading, paragraph, stack, table } from "./block.ts";
import { placeOf } from "./header.ts";
import type { SheetOptions } from "./paper.ts";

export function derivedBlock(
  setup: Setup,
  report: SetupReport,
  width: number,
  size: number,
  options: SheetOptions,
): Block {
  const columns: readonly Column[] = [
    { title: "light", align: "start", share: 0.7 },
    { title: "front seen, sr", align: "end", share: 1 },
    { title: "of the sphere", align: "end", share: 1 },
    { title: "catchlight", align: "end", share: 1.3 },
    { title: "lean for 0.1", align: "end", share: 1.1 },
    { title: "under main", align: "end", share: 1 },
  ];
  const cell = (words: string): Cell => [{ runs: runsOf(words), size }];
  const rows = report.lights.map((told) => {
    const shine = report.catchlights.find((c) => c.lightId === told.lightId);
    const under = told.underMainMeteredStops ?? told.underMainStops;
    return [
      cell(told.tag),
      cell(told.solidAngleSr.toPrecision(2)),
      cell(`${Number(told.solidAnglePercent.toPrecision(2))} %`),
      cell(shine === undefined ? "–" : clockWords(shine.clock)),
      cell(shortText(told.lean.tenthTowardM, options)),
      cell(told.role === "main" || under === null ? "–" : tenths(under)),
    ];
  });
  return stack(
    [
      heading("Derived", width, size),
      table(columns, rows, width, { size, rowHeight: size * 1.75, gap: 6 }),
      paragraph(derivedWords(setup, report, options), width, { size: size * 0.95, fill: "ink2" }),
    ],
    2,
  );
}

/** Hours and minutes on a clock face: 10.5 is 10:30. */
function clockWords(clock: number): string {
  const minutes = Math.round(clock * 60) % 720;
  const hour = Math.floor(minutes / 60) || 12;
  return `${hour}:${String(minutes % 60).padStart(2, "0")}`;
}

/** A length under a metre or so: whole centimetres, or feet and inches. */
const shortText = (m: number, { units }: SheetOptions): string =>
  units === "metres" ? `${(m * 100).toFixed(0)} cm` : lengthText(m, units);

function derivedWords(setup: Setup, report: SetupReport, options: SheetOptions): string {
  const { pattern, camera, ratios, together } = report;
  const told = ratios.map(
    (r) => `${r.convention === "light-to-light" ? "light to light" : "lit to shadow"} ${r.words}`,
  );
  const side = pattern.side === null ? "" : `, ${pattern.side} side`;
  const near = pattern.neighbours.length === 0 ? "" : `, near ${pattern.neighbours.join(" and ")}`;
  const tones = together.flatMap((t) => (t.tone === null ? [] : [`${t.name} ${t.tone.toPrecision(2)}`]));
  const depth = camera.depthM === null ? "beyond measure" : shortText(camera.depthM, options);
  return [
    told.length === 0 ? "" : `Predicted: ${told.join(", ")}.`,
    pattern.name === "none" ? "" : `Pattern: ${pattern.name}${side}${near}.`,
    tones.length === 0 ? "" : `Backdrop's tone (1 clips): ${tones.join(", ")}.`,
    setup.subject.kind === "person" ? `In focus: ${depth}. Sockets: ${pattern.eyeSockets}.` : `In focus: ${depth}.`,
    circuitWords(setup),
    `Exact aperture Av ${setup.exposure.apertureAv.toFixed(2)}.`,
    frameWords(options),
  ]
    .filter((part) => part !== "")
    .join(" ");
}

/** So many frames are named; the book keeps all. */
const MOST_FRAMES = 8;

/** "Frames, with their SHA-256 to ten digits: M 0412 1a2b3c4d5e, …" */
function frameWords({ frames }: SheetOptions): string {
  if (frames === undefined) return "";
  if (frames.length === 0) return "Frames: none yet.";
  const told = frames
    .slice(0, MOST_FRAMES)
    .map(({ name, sha256, shows }) => `${shows} ${name.replace(/\.[^.]+$/, "")} ${sha256.slice(0, 10)}`.trim());
  const more = frames.length > MOST_FRAMES ? `, ${frames.length - MOST_FRAMES} more in the book` : "";
  return `Frames, with ten digits of their SHA-256: ${told.join(", ")}${more}.`;
}

function circuitWords(setup: Setup): string {
  const parts = setup.room.circuits.flatMap((circuit) => {
    const tags = setup.lights.filter((l) => l.circuitId === circuit.id && l.head.mains).map((l) => l.tag);
    return tags.length === 0 ? [] : [`${circuit.name} (${circuit.volts} V, ${circuit.amps} A) ${tags.join(" ")}`];
  });
  return parts.length === 0 ? "" : `Circuits: ${parts.join("; ")}.`;
}

/** Tape from the nose to each front, and between the stands of the first two lights; where the cross is. */
export function tapeBlock(setup: Setup, width: number, size: number, options: SheetOptions): Block {
  const length = (m: number): string => lengthText(m, options.units);
  const shown = setup.lights.slice(0, 5);
  const feet = shown.map((light) => floorPlace(setup, light));
  const [a, b] = feet;
  const pair =
    a === undefined || b === undefined
      ? []
      : [[`${shown[0]?.tag} to ${shown[1]?.tag} stand`, length(Math.hypot(a[0] - b[0], a[1] - b[1]))] as const];
  const checks = [...shown.map((l) => [`${l.tag} to nose`, length(placeOf(setup, l).distanceM)] as const), ...pair];
  const columns = checks.map(([title]): Column => ({ title, align: "start", share: 1 }));
  const row = checks.map(([, value]): Cell => [{ runs: runsOf(value), size }]);
  const { room } = setup;
  const right = room.widthM - room.crossFromLeftM;
  const words =
    `The cross is on the floor under ${setup.subject.kind === "person" ? "the nose" : "the point"}: ${length(room.crossFromLeftM)} from the wall camera left, ` +
    `${length(right)} from the one camera right, ${length(room.crossFromBackM)} from the wall behind. ` +
    "In front is toward the camera, behind toward the backdrop.";
  return stack(
    [
      heading("Tape checks", width, size),
      ...(checks.length === 0 ? [] : [table(columns, [row], width, { size, rowHeight: size * 2, gap: 6 })]),
      paragraph(words, width, { size: size * 0.93, fill: "ink2" }),
    ],
    2,
  );
}

function floorPlace(setup: Setup, light: Light): readonly [number, number] {
  const foot = lightBody(setup, light).stand?.foot;
  if (foot !== undefined) return [foot[0], foot[2]];
  const [x, , z] = positionOf(light.place, setup);
  return [x, z];
}
