/**
 * A caution names the thing, the why and the mend. The program warns; it never certifies: every caution
 * that can hurt someone defers to local code and to competent persons.
 */

import type { Edit, Id, Setup } from "../setup/index.ts";
import type { Fault } from "../units/index.ts";

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
  readonly about: {
    readonly kind: "light" | "panel" | "circuit" | "room" | "subject" | "camera" | "setup";
    readonly id: Id | null;
    readonly tag: string;
  };
  readonly what: string;
  readonly why: string;
  readonly mends: readonly Mend[];
  /** The deferral: local code, maker's instructions, competent person; empty where nobody can be hurt. */
  readonly defer: string;
  readonly source: string;
  /** The figures it was judged by. */
  readonly figures: readonly {
    readonly name: string;
    readonly value: number;
    readonly unit: string;
    readonly limit: number | null;
  }[];
}

/** What care reads of a turn: whether the dial reaches the target, and by how much it does not. */
export interface CareTurn {
  readonly state: "planned" | "met" | "turn" | "over" | "short" | "as-close";
  readonly dialTo: string;
  /** Over positive, short negative. */
  readonly residualStops: number;
}

/** A way to reach a target that the dial cannot reach, proved by whoever predicts light. */
export interface CareWayOut {
  readonly kind: "distance" | "nd" | "diffuser" | "grid" | "exposure";
  readonly label: string;
  readonly edits: readonly Edit[];
  readonly residualStops: number;
  readonly softnessPercent: number;
  readonly fits: boolean;
  readonly note: string;
}

/** The small part of a report that the cautions read; a full report of the solver fits it as it is. */
export interface CareReport {
  readonly lights: readonly {
    readonly lightId: Id;
    readonly tag: string;
    readonly plan: CareTurn;
    readonly turn: CareTurn | null;
    readonly waysOut: readonly CareWayOut[];
  }[];
  readonly room: { readonly underWorkingStops: number | null };
  readonly glare: readonly { readonly lightId: Id; readonly shows: boolean; readonly where: string }[];
  readonly flare: readonly {
    readonly lightId: Id;
    readonly state: "clear" | "at risk" | "in frame" | "behind" | "flagged";
    readonly words: string;
    readonly outsideCutoffDeg: number | null;
  }[];
  readonly camera: { readonly syncFault: Fault | null };
}

/** Predicts a changed setup, so that a mend that touches light can be proved. */
export type Recheck = (setup: Setup) => CareReport;
