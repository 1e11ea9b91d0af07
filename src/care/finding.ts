/**
 * What a check hands on: a caution without mends, and the mends it proposes. Whether a proposal becomes a
 * mend is decided in prove.ts alone. Wording helpers shared by all checks live here too.
 */

import type { Edit, Light } from "../setup/index.ts";
import type { Caution, CautionLevel } from "./types.ts";

/** Where somebody can be hurt the program warns and defers; it never certifies. */
export const deferral =
  "Follow local code and the makers' instructions; have rigging and electrical work checked by a competent person.";

export const practice = "common practice, no source";

/** A mend that still has to be proved. */
export interface Proposal {
  readonly edits: readonly Edit[];
  readonly steps?: readonly string[];
  /** On the button, and what it leaves; `after` is the same caution in the mended setup, if it is still there. */
  readonly words: (after: Finding | undefined) => { readonly label: string; readonly leaves: string };
  /** Reaches its target by the predictor's own proof; nothing else that the report judges is moved by it. */
  readonly provedByReport?: boolean;
}

export type Finding = Omit<Caution, "mends"> & { readonly proposals: () => readonly Proposal[] };

/** What a check writes; the rest has usual values: nothing to mend, nobody hurt, common practice. */
export type Draft = Pick<Finding, "id" | "level" | "topic" | "about" | "what" | "why"> &
  Partial<Pick<Finding, "defer" | "source" | "figures" | "proposals">>;

export const finding = (draft: Draft): Finding => ({
  defer: "",
  source: practice,
  figures: [],
  proposals: () => [],
  ...draft,
});

/** Weight of a level: what is heavier comes first. */
export const weightOf = (level: CautionLevel): number => ({ stop: 3, care: 2, note: 1, done: 0 })[level];

export const aboutLight = (light: Light): Caution["about"] => ({ kind: "light", id: light.id, tag: light.tag });
export const aboutSetup: Caution["about"] = { kind: "setup", id: null, tag: "" };
export const aboutSitter: Caution["about"] = { kind: "subject", id: null, tag: "" };
export const aboutRoom: Caution["about"] = { kind: "room", id: null, tag: "" };

export const figure = (
  name: string,
  value: number,
  unit: string,
  limit: number | null = null,
): Caution["figures"][number] => ({ name, value, unit, limit });

export const metres = (m: number, digits = 1): string => `${m.toFixed(digits)} m`;
export const kilos = (kg: number): string => `${Number.isInteger(kg) ? kg : kg.toFixed(1)} kg`;
export const degrees = (deg: number): string => `${deg.toFixed(1)}°`;

/** "M", "M and F", "M, F and E". */
export function joined(words: readonly string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} and ${words[words.length - 1]}`;
}

/** Camera's side first, the sitter's own side in words. */
export function sideWords(xM: number): string {
  if (Math.abs(xM) < 0.05) return "on the camera's axis";
  return xM < 0 ? "camera left (sitter's right)" : "camera right (sitter's left)";
}

/** An edit of the rig alone: the rig is one value and is replaced whole. */
export const rigEdit = (light: Light, change: Partial<Light["rig"]>): Edit => ({
  kind: "light",
  id: light.id,
  set: { rig: { ...light.rig, ...change } },
});
