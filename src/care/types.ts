/**
 * A caution names the thing, the why and the mend. The program warns; it never certifies: every caution
 * that can hurt someone defers to local code and to competent persons.
 */

import type { Edit } from "../setup/edit.ts";
import type { Id } from "../setup/types.ts";

/** stop: do not go on. care: look before you go on. note: good to know. done: checked and clear. */
export type CautionLevel = "stop" | "care" | "note" | "done";

export type CautionTopic =
  | "dial"
  | "boom"
  | "tipping"
  | "overhead"
  | "clearance"
  | "way-out"
  | "mains"
  | "heat"
  | "capacitors"
  | "flashing"
  | "glare"
  | "flare"
  | "room-light"
  | "sync"
  | "meter"
  | "fit"
  | "cables"
  | "kit";

export interface Mend {
  /** On the button: "turn F's legs: 0.8 m". */
  readonly label: string;
  readonly edits: readonly Edit[];
  /** Work of hands that no button does ("lower, hold, rebalance"); in order. */
  readonly steps: readonly string[];
  /** What the mend leaves, computed: "way out 1.0 m". */
  readonly leaves: string;
}

export interface Caution {
  /** Stable: topic and what it is about, "way-out:LIGHTID". */
  readonly id: string;
  readonly level: CautionLevel;
  readonly topic: CautionTopic;
  /** The light, panel, circuit or other thing it is about. */
  readonly about: { readonly kind: "light" | "panel" | "circuit" | "room" | "subject" | "camera" | "setup"; readonly id: Id | null; readonly tag: string };
  readonly what: string;
  readonly why: string;
  readonly mends: readonly Mend[];
  /** The deferral: local code, maker's instructions, competent person; empty where nobody can be hurt. */
  readonly defer: string;
  readonly source: string;
  /** The figures it was judged by. */
  readonly figures: readonly { readonly name: string; readonly value: number; readonly unit: string; readonly limit: number | null }[];
}
