/**
 * A dial from words alone, without a kit: which way the head counts is told from the notation where it can be
 * ("1/16+0.3", "-3.7", "12.5 Ws", "35%"), and asked for where it cannot ("6.3").
 */

import {
  checkDialScale,
  type DialScale,
  failure,
  fault,
  parseDial,
  type Result,
  stops,
  success,
} from "../units/index.ts";
import { readNumber } from "./figures.ts";
import { nearest } from "./nearest.ts";
import { quoted } from "./print.ts";
import type { Words } from "./words.ts";

export interface DialWords {
  readonly scale: DialScale;
  readonly dialStops: number;
  /** The lowest position was said, not supposed. */
  readonly lowestKnown: boolean;
}

type Kind = DialScale["kind"];

const KINDS: readonly Kind[] = ["fraction", "below-full", "number", "watt-seconds", "percent"];
/** Supposed where nobody says: low enough that no head is held up by it. */
const SUPPOSED_LOWEST_STOPS = -12;
const SUPPOSED_LOWEST_PERCENT = 1;

/** The dial, its scale and its range from --dial, --scale, --full, --lowest and --step. */
export function readDial(words: Words): Result<DialWords> {
  const text = words.value("dial") ?? "";
  const kind = kindOf(text, words.value("scale"));
  if (!kind.ok) return kind;
  const step = stepOf(words.value("step"), text, kind.value);
  if (!step.ok) return step;
  const open = scaleOf(kind.value, step.value, words.value("full"));
  if (!open.ok) return open;
  const lowest = words.value("lowest");
  const scale = lowest === null ? open : withLowest(open.value, lowest);
  if (!scale.ok) return scale;
  const checked = checkDialScale(scale.value, "--lowest");
  if (!checked.ok) return checked;
  const dial = parseDial(text, checked.value, { where: "--dial" });
  return dial.ok ? success({ scale: checked.value, dialStops: dial.value, lowestKnown: lowest !== null }) : dial;
}

function kindOf(dial: string, said: string | null): Result<Kind> {
  if (said !== null) {
    const kind = KINDS.find((name) => name === said);
    if (kind !== undefined) return success(kind);
    const close = nearest(said, KINDS);
    const mend = `${close === null ? "" : `Did you mean ${close}? `}Write one of: ${KINDS.join(", ")}.`;
    return failure(fault("dial-scale", `${quoted(said)} is no way to count a dial`, "--scale", mend));
  }
  const text = dial.trim();
  if (/^(1 ?[/\u2044]|[½¼⅛])/.test(text)) return success("fraction");
  if (/%$/.test(text)) return success("percent");
  if (/(w ?s|w·s|j)$/i.test(text)) return success("watt-seconds");
  if (/^[-−–]/.test(text) || /^0([.,]0+)?$/.test(text)) return success("below-full");
  const what = `${quoted(dial)} does not say how this head counts`;
  const mend = "Add --scale number --full 10 (or what it shows at full), or --scale below-full, fraction, percent.";
  return failure(fault("dial-scale", what, "--dial", mend));
}

/** One click. A third written in the dial says thirds; else tenths, and per cent for a head in per cent. */
function stepOf(said: string | null, dial: string, kind: Kind): Result<number> {
  if (said === null) return success(kind === "percent" ? 1 : /[12]\/3|[⅓⅔]/.test(dial) ? 1 / 3 : 0.1);
  if (kind === "percent") return readNumber(said.replace(/ ?%$/, ""), "--step", 0.1, 50);
  if (/^(1 ?\/ ?3|⅓)$/.test(said.trim())) return success(1 / 3);
  if (/^(1 ?\/ ?2|½)$/.test(said.trim())) return success(0.5);
  return readNumber(said, "--step", 0.1, 5);
}

function scaleOf(kind: Kind, step: number, full: string | null): Result<DialScale> {
  const range = { lowestStops: SUPPOSED_LOWEST_STOPS, stepStops: step };
  switch (kind) {
    case "fraction":
    case "below-full":
      return success({ kind, ...range });
    case "percent":
      return success({ kind, lowestPercent: SUPPOSED_LOWEST_PERCENT, stepPercent: step });
    case "number": {
      const top = fullOf(full, "10");
      return top.ok ? success({ kind, top: top.value, ...range }) : top;
    }
    case "watt-seconds": {
      const fullWs = fullOf(full?.replace(/ ?(w ?s|w·s|j)$/i, "") ?? null, "400");
      return fullWs.ok ? success({ kind, fullWs: fullWs.value, ...range }) : fullWs;
    }
  }
}

function fullOf(full: string | null, example: string): Result<number> {
  if (full !== null) return readNumber(full, "--full", 0.1, 100_000);
  const what = "What this head shows at full power is missing";
  return failure(fault("option-missing", what, "--full", `Add --full ${example}, say.`));
}

/** The lowest position, in the head's own notation, on a scale that is still open below. */
function withLowest(open: DialScale, text: string): Result<DialScale> {
  const lowest = parseDial(text, open, { where: "--lowest" });
  if (!lowest.ok) return lowest;
  if (open.kind !== "percent") return success({ ...open, lowestStops: stops(lowest.value) });
  return success({ ...open, lowestPercent: 100 * 2 ** lowest.value });
}
