/** `check`: the cautions of a setup, heaviest first, each with its why and the mends that were proved here. */

import { type Caution, type CautionLevel, checkSetup } from "../care/index.ts";
import type { Kit, Setup } from "../setup/index.ts";
import { createSolver } from "../solve/index.ts";
import { type Result, success } from "../units/index.ts";
import { type Answer, type Command, DATA_OPTION, EXIT, JSON_OPTION } from "./command.ts";
import { digits } from "./figures.ts";
import { titleText } from "./predict.ts";
import { safe, wrapped } from "./print.ts";
import { readSetup } from "./setup-input.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const checkCommand: Command = {
  name: "check",
  usage: "FILE.json | SETUP-ID",
  positionals: { least: 1, most: 1, mend: "Name a setup's file, its id in the book, or - for standard input." },
  options: [DATA_OPTION, JSON_OPTION],
  notes: [
    "Levels: STOP, do not go on; LOOK before you go on; note, good to know; clear, checked. Exit code 3 when there is a",
    "STOP or a LOOK, 0 when there is none. Stopwise warns, it never certifies: local code, makers' instructions and",
    "competent persons decide. A setup of the book is checked against the book's kit as well.",
  ],
  run: (words, world) => check(words, world),
};

async function check(words: Words, world: World): Promise<Result<Answer>> {
  const read = await readSetup(words, world);
  if (!read.ok) return read;
  const { setup, kit } = read.value;
  const cautions = cautionsOf(setup, kit);
  const heavy = cautions.some(({ level }) => level === "stop" || level === "care");
  return success({
    text: [titleText(setup), "", ...cautions.map(cautionText), ...deferrals(cautions), countText(cautions)].join("\n"),
    json: {
      format: "stopwise-cautions",
      version: 1,
      setup: { id: setup.id, title: setup.title, invented: setup.invented },
      cautions,
    },
    code: heavy ? EXIT.cautions : EXIT.done,
  });
}

/** The cautions with every mend proved against a new prediction. */
export function cautionsOf(setup: Setup, kit: Kit | null): readonly Caution[] {
  const solver = createSolver();
  return checkSetup(setup, solver.report(setup), kit, (changed) => solver.report(changed));
}

const LEVELS: Readonly<Record<CautionLevel, string>> = { stop: "STOP", care: "LOOK", note: "note", done: "clear" };

function cautionText({ level, topic, about, what, why, mends, source, figures }: Caution): string {
  const whose = about.tag === "" ? "" : ` ${safe(about.tag)}`;
  const judged = figures.map(({ name, value, unit, limit }) => {
    const held = limit === null ? "" : ` (limit ${digits(limit, 3)}${unit === "" ? "" : ` ${safe(unit)}`})`;
    return `${safe(name)} ${digits(value, 3)}${unit === "" ? "" : ` ${safe(unit)}`}${held}`;
  });
  return [
    `${LEVELS[level]} ${topic}${whose}: ${safe(what)}`,
    ...(why === "" ? [] : [wrapped(`Why: ${safe(why)}`, "  ", 118)]),
    ...(judged.length === 0 ? [] : [wrapped(`Judged by: ${judged.join("; ")}.`, "  ", 118)]),
    ...mends.flatMap(mendLines),
    ...(source === "" ? [] : [wrapped(`Source: ${safe(source)}.`, "  ", 118)]),
    "",
  ].join("\n");
}

function mendLines({ label, steps, leaves }: Caution["mends"][number]): readonly string[] {
  const left = leaves === "" ? "" : ` (leaves: ${safe(leaves)})`;
  return [
    wrapped(`Mend: ${safe(label)}${left}`, "  ", 118),
    ...steps.map((step, i) => wrapped(`${i + 1}. ${safe(step)}`, "    ", 118)),
  ];
}

/** Whom the cautions defer to, each said once under all of them. */
function deferrals(cautions: readonly Caution[]): readonly string[] {
  const said = [...new Set(cautions.map(({ defer }) => defer))].filter((defer) => defer !== "");
  return said.length === 0 ? [] : [...said.map((defer) => wrapped(safe(defer), "", 118)), ""];
}

function countText(cautions: readonly Caution[]): string {
  const count = (level: CautionLevel): number => cautions.filter((caution) => caution.level === level).length;
  return `${count("stop")} STOP, ${count("care")} LOOK, ${count("note")} notes, ${count("done")} clear.`;
}
