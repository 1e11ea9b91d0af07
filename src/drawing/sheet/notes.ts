/** Readings taken together, how to meter, and the cautions, in words for the wall. */

import type { Caution, CautionLevel } from "../../care/index.ts";
import { type Id, type Light, pointOf, type Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { cautionMark } from "../bead.ts";
import { line } from "../shape.ts";
import { begun, readingRuns, runsOf } from "../words.ts";
import { at, type Block, type Cell, type Column, emptyBlock, heading, paragraph, stack, table } from "./block.ts";

export const tagsOf = (setup: Setup, ids: readonly Id[]): string =>
  ids.map((id) => setup.lights.find((l) => l.id === id)?.tag ?? "?").join(", ");

/** Each together reading at its own place and shading, and both ratios with their conventions. */
export function togetherBlock(setup: Setup, report: SetupReport, width: number, size: number): Block {
  const columns: readonly Column[] = [
    { title: "where, receptor's aim", align: "start", share: 3 },
    { title: "shaded", align: "start", share: 0.9 },
    { title: "expect", align: "end", share: 0.95 },
    { title: "read", align: "end", share: 0.95 },
  ];
  const rows = report.together.map((t): readonly Cell[] => [
    [{ runs: runsOf(togetherName(t)), size }],
    [{ runs: runsOf(t.shaded.length === 0 ? "none" : tagsOf(setup, t.shaded)), size }],
    [{ runs: readingRuns(t.predicted.av), size: size * 1.08, weight: 600 as const }],
    t.reading === null
      ? blank(size * 3.2, size)
      : [{ runs: readingRuns(t.reading.av), size: size * 1.08, weight: 600 as const }],
  ]);
  const ratios = report.ratios.map((ratio) => {
    const metered = ratio.meteredStops !== null && ratio.meteredWords !== null;
    const stops = metered ? ratio.meteredStops : ratio.stops;
    const words = metered ? ratio.meteredWords : ratio.words;
    return `${ratio.name.charAt(0).toUpperCase()}${ratio.name.slice(1)}: ${stops === null ? "" : `${stops.toFixed(1)} stops, `}${words}${metered ? ", metered" : ""}.`;
  });
  return stack(
    [
      heading("Together and room", width, size),
      table(columns, rows, width, { size, rowHeight: size * 1.95, gap: 6 }),
      paragraph([...ratios, roomWords(report)].join(" "), width, { size: size * 0.9, fill: "ink2" }),
    ],
    2,
  );
}

/** A line to write on. */
const blank = (width: number, size: number): Block => ({
  width,
  height: size,
  shapes: [
    line(
      [
        [0, size],
        [width, size],
      ],
      { stroke: "ink", strokeWidth: 0.8 },
    ),
  ],
});

/** "lit cheek, camera left"; a disc or dome along the surface is "flat". */
function togetherName(t: SetupReport["together"][number]): string {
  const short = t.name.replace(/ \([^)]*\)/g, "").replace("corner of the picture", "corner");
  return t.place.aim === "normal" ? `${short}, flat` : `${short}`;
}

function roomWords({ room }: SetupReport): string {
  if (room.underWorkingStops === null) return "The room returns no light that counts.";
  const now = `Room in the shadow cheek ${room.underWorkingStops.toFixed(1)} under`;
  const most = `most lit to shadow here ${room.mostLitToShadow.now}`;
  return room.panelsTakeStops > 0.05
    ? `${now} (the panels take ${room.panelsTakeStops.toFixed(1)}); ${most}.`
    : `${now}; ${most}.`;
}

/** Which light is read where, in one paragraph. */
export function meterBlock(setup: Setup, width: number, size: number): Block {
  const places = new Map<string, { readonly tags: string[]; readonly words: string }>();
  for (const light of setup.lights) {
    const words = meterWords(setup, light);
    const known = places.get(words);
    if (known === undefined) places.set(words, { tags: [light.tag], words });
    else known.tags.push(light.tag);
  }
  const each = [...places.values()].map(({ tags, words }) => `${listed(tags)}: ${words}`).join("; ");
  const flash = setup.exposure.medium === "flash";
  const text =
    `One light at a time, the others off: ${each}. ` +
    (flash
      ? "After a turn down one dump pop, then read. Three pops, the middle one counts. "
      : "Let each lamp settle before reading. ") +
    "Hold the meter so that you do not shade it. Together: as the table says, by hand shade only the lights named. " +
    "The main again, last: if it moved 0.1, repeat.";
  return stack([heading("Meter", width, size), paragraph(text, width, { size })], 0);
}

function meterWords(setup: Setup, light: Light): string {
  const { point, receptor, aim } = light.meterAt;
  const aimed = { light: "at the light", camera: "at the lens", normal: "flat on it" }[aim];
  return `${receptor} ${aimed}, ${pointOf(setup, point).words}`;
}

export function listed(tags: readonly string[]): string {
  if (tags.length < 2) return tags.join("");
  return `${tags.slice(0, -1).join(", ")} and ${tags[tags.length - 1]}`;
}

const levels: readonly CautionLevel[] = ["stop", "care", "note", "done"];

/** What a sheet on the wall warns of, gravest first; what was checked and is clear stays on the screen. */
export const sheetCautions = (cautions: readonly Caution[]): readonly Caution[] =>
  levels.slice(0, 3).flatMap((level) => cautions.filter((caution) => caution.level === level));

/** To whom the program defers, each once: local code, the makers, competent persons. */
export function deferBlock(cautions: readonly Caution[], width: number, size: number): Block {
  const all = new Set(cautions.filter((c) => c.level === "stop" || c.level === "care").map((c) => sentence(c.defer)));
  const words = [...all].filter((defer) => defer !== "").join(" ");
  return words === "" ? emptyBlock : paragraph(words, width, { size: size * 0.93, fill: "ink2", leading: 1.22 });
}

/** As many cautions as fit `height`, each with its mark and its mend; and those that are left over. */
export function cautionBlock(
  cautions: readonly Caution[],
  width: number,
  size: number,
  height: number,
  title = "Cautions",
): { readonly block: Block; readonly left: readonly Caution[] } {
  if (cautions.length === 0) return { block: emptyBlock, left: [] };
  const head = heading(title, width, size);
  const shown: Block[] = [];
  let used = head.height;
  for (const caution of cautions) {
    const one = oneCaution(caution, width, size);
    if (shown.length > 0 && used + one.height + 2 > height) break;
    shown.push(one);
    used += one.height + 2;
  }
  return { block: stack([head, stack(shown, 2)], 0), left: cautions.slice(shown.length) };
}

function oneCaution(caution: Caution, width: number, size: number): Block {
  const mark = size * 1.1;
  const [mend] = caution.mends;
  // Steps say more than the label; a note needs no mend on paper.
  const mended = mend === undefined || caution.level === "note" ? "" : ` ${mendWords(mend.label, mend.steps)}`;
  const words = paragraph(`${sentence(caution.what)}${mended}`, width - mark - 5, { size, leading: 1.22 });
  return {
    width,
    height: Math.max(words.height, mark),
    shapes: [...cautionMark(caution.level, 0, size * 0.08, mark), ...at(words, mark + 5, 0)],
  };
}

const mendWords = (label: string, steps: readonly string[]): string =>
  steps.length === 0
    ? sentence(label)
    : `${begun(label)}: ${sentence(steps.join(" ")).replace(/^./, (c) => c.toLowerCase())}`;

const sentence = (words: string): string => {
  const whole = begun(words.trim());
  return /[.!?]$/.test(whole) || whole === "" ? whole : `${whole}.`;
};
