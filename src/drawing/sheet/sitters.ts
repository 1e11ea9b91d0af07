/**
 * The run of sitters: seat, hair and, where a light's target follows the hair, its dial for each; boxes to tick and
 * a place for the frame's number. The dial moves by the difference of the hair's stops and keeps the head's steps.
 */

import { hairStopsUnder, type Light, type Setup, type Sitter } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { printDial, quantiseDial, stops } from "../../units/index.ts";
import { rectangle } from "../shape.ts";
import { lengthText, runsOf } from "../words.ts";
import { at, type Block, type Cell, type Column, emptyBlock, heading, paragraph, stack, table } from "./block.ts";
import type { SheetOptions } from "./paper.ts";

/** The table in two halves; `most` rows are shown, and words say how many are not. */
export function sittersBlock(
  setup: Setup,
  report: SetupReport,
  width: number,
  size: number,
  options: SheetOptions,
  most: number,
): Block {
  const all = [...setup.sitters].sort((a, b) => (a.order < b.order ? -1 : 1));
  if (all.length === 0) return emptyBlock;
  const shown = all.slice(0, most);
  const light = setup.lights.find((l) => l.target.kind === "hair") ?? null;
  const gap = 24;
  const half = (width - gap) / 2;
  const split = shown.length > 6 ? Math.ceil(shown.length / 2) : shown.length;
  const halves = [shown.slice(0, split), shown.slice(split)];
  const tables = halves.map((part, i) =>
    part.length === 0 ? emptyBlock : sitterTable(setup, report, part, i * split, light, half, size, options),
  );
  const left = all.length - shown.length;
  const seated = setup.subject.pose === "seated";
  const words = [
    seated
      ? `The seat keeps every nose at ${lengthText(setup.subject.noseHeightM, options.units)}; check it with the tape.`
      : "",
    light === null ? "" : `${light.tag} follows the hair; turn it where the rule is bold.`,
    left > 0 ? `${left} more sitters are in the setup, not on this page.` : "",
  ].join(" ");
  const [first = emptyBlock, second = emptyBlock] = tables;
  const both: Block = {
    width,
    height: Math.max(first.height, second.height),
    shapes: [...first.shapes, ...at(second, half + gap, 0)],
  };
  const title = heading("Run of sitters", width, size);
  const note = words.trim() === "" ? emptyBlock : paragraph(words.trim(), width, { size: size * 0.95, fill: "ink2" });
  return stack([title, note, both], 1);
}

function sitterTable(
  setup: Setup,
  report: SetupReport,
  sitters: readonly Sitter[],
  offset: number,
  light: Light | null,
  width: number,
  size: number,
  options: SheetOptions,
): Block {
  const named = sitters.some((s) => s.name !== "");
  const columns: readonly Column[] = [
    { title: "no.", align: "start", fixed: size * 2 },
    ...(named ? [{ title: "who", align: "start", share: 1.75 } as const] : []),
    { title: "seat", align: "start", share: 1 },
    { title: "hair", align: "start", share: 0.8 },
    ...(light === null ? [] : [{ title: `${light.tag}, dial`, align: "start", share: 1.45 } as const]),
    { title: "spectacles", align: "start", share: 1 },
    { title: "shot", align: "start", fixed: size * 2.2 },
    { title: "frame", align: "start", share: 0.75 },
  ];
  const rows = sitters.map((sitter, i): readonly Cell[] => {
    const word = (words: string, weight: 400 | 700 = 400): Cell => [{ runs: runsOf(words), size, weight }];
    const seat = sitter.seatHeightM === null ? "–" : lengthText(sitter.seatHeightM, options.units);
    const sees = [sitter.spectacles ? "yes" : "", sitter.flashSensitive ? "no flash" : ""]
      .filter((p) => p !== "")
      .join(", ");
    return [
      word(String(offset + i + 1)),
      ...(named ? [word(sitter.name)] : []),
      word(seat, 700),
      word(sitter.hair),
      ...(light === null ? [] : [dialCell(setup, report, light, sitter, size)]),
      word(sees === "" ? "–" : sees),
      tickBox(size),
      word(sitter.frames),
    ];
  });
  const boldBefore = sitters.flatMap((s, i) => (i > 0 && light !== null && s.hair !== sitters[i - 1]?.hair ? [i] : []));
  return table(columns, rows, width, { size, rowHeight: size * 2, gap: 5, boldBefore });
}

/** The dial for this hair: the planned dial and its rest, moved by the difference of the targets. */
function dialCell(setup: Setup, report: SetupReport, light: Light, sitter: Sitter, size: number): Cell {
  const told = report.lights.find((r) => r.lightId === light.id);
  if (told === undefined) return [];
  const turn = told.turn ?? told.plan;
  // Over is a positive rest: the light is still that much too strong at the planned dial.
  const wanted =
    turn.dialToStops - turn.residualStops + hairStopsUnder(setup.subject.hair) - hairStopsUnder(sitter.hair);
  const reached = quantiseDial(light.head.dial, stops(wanted));
  const short = (reached.atFull || reached.atLowest) && Math.abs(reached.residual) > 0.06;
  const rest = short ? `, ${Math.abs(reached.residual).toFixed(1)} ${reached.residual < 0 ? "over" : "short"}` : "";
  return [{ runs: runsOf(`${printDial(reached.stops, light.head.dial)}${rest}`), size }];
}

function tickBox(size: number): Block {
  const box = size;
  return {
    width: box + 1,
    height: box + 1,
    shapes: [rectangle(0.6, 0.6, box, box, { stroke: "ink", strokeWidth: 1.1 })],
  };
}
