/**
 * What the solver answers. Light is luminous exposure inside (lx·s); stops and Av at the edge. Every
 * number that a person sees hangs on a ledger, and the reading IS the sum of the ledger's rows.
 */

import type { Edit, HairClass, Id, MeterPlace, PointName, Reading, Role } from "../setup/index.ts";
import type { Fault } from "../units/index.ts";

/** Why a number is believed. catalogue: a maker's or handbook prior. learned: from earlier readings. metered: a reading of this very light here. geometry: from the plan. meter: the meter's constants. assumed: nobody measured it. */
export type Rests = "catalogue" | "learned" | "metered" | "geometry" | "meter" | "assumed";

export type RowName =
  | "energy" // stored energy, bare, all round, at 1 m (continuous: luminous flux at the shutter)
  | "dial"
  | "pops"
  | "modifier" // sends it one way, what the cloth takes; the hot centre, the learned difference
  | "gels" // colour and neutral density
  | "size-and-distance"
  | "grid"
  | "direction" // front turned away, receptor turned away
  | "shading" // head, body, panels, flags, the lip
  | "shutter" // tail of the flash cut by the shutter
  | "receptor" // dome or disc, its C against 250, the meter's offset
  | "calibration"; // one reading of this light

export interface LedgerInput {
  readonly name: string;
  /** Printed in SI with its unit. */
  readonly text: string;
  readonly value: number | null;
  readonly unit: string;
}

/** One gain or loss, marginal to the rows above it. */
export interface LedgerRow {
  readonly row: RowName;
  readonly name: string;
  /** In plain words: "200 Ws, bare, all round, at 1 m". */
  readonly detail: string;
  /** The first row is a level (Av at 1 m, disc, C 250); the others are differences. */
  readonly stops: number;
  /** The Av reached with this row. */
  readonly soFarAv: number;
  readonly restsOn: Rests;
  readonly sigmaStops: number;
  /** Rows with one cause add their errors linearly ("meter", "head:ID"); different causes in quadrature. */
  readonly cause: string;
  readonly inputs: readonly LedgerInput[];
  /** As a person writes it: "stops = log2(seen with grid / seen without)". */
  readonly formula: string;
  /** A published source, "common practice, no source", or "geometry". */
  readonly source: string;
  /** This row takes everything: its stops are 0, the chain ends here and its `av` is null. */
  readonly dark?: true;
}

/** One chain of rows, or several that add in light. `av` null is dark: no light is a value of its own. */
export type Ledger =
  | {
      readonly kind: "chain";
      readonly label: string;
      readonly rows: readonly LedgerRow[];
      readonly av: number | null;
      readonly sigmaStops: number;
    }
  | {
      readonly kind: "sum";
      readonly label: string;
      readonly parts: readonly Ledger[];
      readonly av: number | null;
      readonly sigmaStops: number;
    };

export interface Predicted {
  readonly av: number | null;
  readonly luxSeconds: number;
  readonly sigmaStops: number;
  /** The weakest footing among the rows that matter. */
  readonly restsOn: Rests;
  readonly ledger: Ledger;
}

export type TurnState = "planned" | "met" | "turn" | "over" | "short" | "as-close";

/** What to do at the head, after a reading or from the plan. */
export interface Turn {
  readonly state: TurnState;
  /** Wanted change, stops: positive is up. */
  readonly stops: number;
  readonly dialFromStops: number;
  readonly dialToStops: number;
  /** In the head's own notation. */
  readonly dialFrom: string;
  readonly dialTo: string;
  /** What stays after quantising and clamping: over positive, short negative. */
  readonly residualStops: number;
  /** Down on a flash head: one dump pop before the next reading. */
  readonly dumpPop: boolean;
  /** "down 0.7", "met", "0.4 over", "as close as this head goes". */
  readonly words: string;
}

/** A way to reach a target that the dial cannot reach, computed to work. */
export interface WayOut {
  readonly kind: "distance" | "nd" | "diffuser" | "grid" | "exposure";
  readonly label: string;
  /** Edits that do it (setup/edit.ts). */
  readonly edits: readonly Edit[];
  readonly dialStops: number;
  readonly dial: string;
  readonly residualStops: number;
  /** Change of the front's solid angle at its meter point, per cent: + is softer. */
  readonly softnessPercent: number;
  /** It fits the room and raises no new caution of the solver's own. */
  readonly fits: boolean;
  readonly note: string;
}

export interface LightReport {
  readonly lightId: Id;
  readonly tag: string;
  readonly role: Role;
  /** Alone, at its own meter place, dial as it stands. */
  readonly predicted: Predicted;
  readonly targetAv: number;
  /** "working", "3 under", "fair hair: 3 under". */
  readonly targetWords: string;
  readonly toleranceStops: number;
  /** From the plan: the dial that meets the target. */
  readonly plan: Turn;
  /** Av at the lowest and the full dial. */
  readonly reach: { readonly lowestAv: number | null; readonly fullAv: number | null };
  /** Newest reading alone that counts, and the turn from it. */
  readonly reading: Reading | null;
  readonly readingAv: number | null;
  readonly turn: Turn | null;
  readonly waysOut: readonly WayOut[];
  readonly solidAngleSr: number;
  /** Share of the whole sphere, %: what softness is compared by. */
  readonly solidAnglePercent: number;
  /** How far the sitter may lean along the light's axis. */
  readonly lean: {
    readonly tenthTowardM: number;
    readonly tenthAwayM: number;
    readonly thirdTowardM: number;
    readonly thirdAwayM: number;
  };
  /** Falls under the main, stops, alone against alone: predicted and, where both were metered, metered. */
  readonly underMainStops: number | null;
  readonly underMainMeteredStops: number | null;
}

/** A together reading: exactly this place, these lights on, these shaded. */
export interface TogetherReport {
  readonly id: string;
  /** "lit cheek, camera left (sitter's right)" */
  readonly name: string;
  readonly place: MeterPlace;
  readonly shaded: readonly Id[];
  readonly predicted: Predicted;
  /** Luminous tone 0…1 against the working aperture, for the backdrop. */
  readonly tone: number | null;
  readonly reading: Reading | null;
}

export interface RatioReport {
  /** "main to fill, light to light, each alone, dome at the light" */
  readonly name: string;
  readonly convention: "light-to-light" | "lit-to-shadow";
  readonly stops: number | null;
  /** "8:1", "about 11:1": never more digits than it knows. */
  readonly words: string;
  readonly meteredStops: number | null;
  readonly meteredWords: string | null;
  readonly atTargetStops: number | null;
  readonly atTargetWords: string | null;
}

export interface RoomReport {
  /** The room's own light at the shadow cheek, all lights on, as an Av; null dark. */
  readonly av: number | null;
  /** What a meter shaded from every light should say there: with panels and ambient light. */
  readonly readsAv?: number | null;
  readonly underWorkingStops: number | null;
  readonly sigmaStops: number;
  /** The same without the panels ("bare"). */
  readonly bareAv: number | null;
  /** What the black panels take, stops. */
  readonly panelsTakeStops: number;
  /** The most lit-to-shadow this room gives with the fill at its target, bare and with the panels. */
  readonly mostLitToShadow: { readonly bare: string; readonly now: string };
  readonly restsOn: Rests;
  readonly reading: Reading | null;
}

export interface SpillReport {
  readonly lightId: Id;
  readonly point: PointName;
  readonly av: number | null;
  readonly underWorkingStops: number | null;
}

export interface Pattern {
  readonly name: "butterfly" | "loop" | "Rembrandt" | "split" | "rim" | "none";
  readonly neighbours: readonly string[];
  readonly side: "broad" | "short" | null;
  readonly noseShadowMm: { readonly xMm: number; readonly yMm: number } | null;
  readonly eyeSockets: "both lit" | "far eye at risk" | "dark";
}

export interface Catchlight {
  readonly lightId: Id;
  readonly clock: number;
  readonly words: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly insideIris: boolean;
}

export interface Glare {
  readonly lightId: Id;
  readonly shows: boolean;
  /** "top of both lenses" */
  readonly where: string;
}

export interface Flare {
  readonly lightId: Id;
  readonly state: "clear" | "at risk" | "in frame" | "behind" | "flagged";
  /** Lens against face, stops. */
  readonly lensStops: number | null;
  readonly words: string;
  /** How many degrees the lens is outside the grid's cut-off; null without a grid. */
  readonly outsideCutoffDeg: number | null;
}

export interface CameraReport {
  readonly distanceM: number;
  readonly fieldWidthM: number;
  readonly fieldHeightM: number;
  readonly nearM: number;
  readonly farM: number | null;
  readonly depthM: number | null;
  readonly tiltDeg: number;
  readonly noseToEar: number;
  readonly syncFault: Fault | null;
  /** Tail of each flash cut by the shutter, stops, where it matters. */
  readonly tailCut: readonly { readonly lightId: Id; readonly stops: number }[];
}

export interface Evenness {
  readonly name: string;
  /** Null: some of them get no light at all. */
  readonly spreadStops: number | null;
  readonly limitStops: number;
  readonly readings: readonly { readonly name: string; readonly av: number | null }[];
}

/** Lights that were re-metered and moved. */
export interface Drift {
  readonly lightId: Id;
  readonly stops: number;
  readonly fromReadingId: Id;
  readonly toReadingId: Id;
  /** When the main moved, what every other target did with it. */
  readonly words: string;
}

export interface SetupReport {
  readonly lights: readonly LightReport[];
  readonly together: readonly TogetherReport[];
  readonly ratios: readonly RatioReport[];
  readonly room: RoomReport;
  readonly spill: readonly SpillReport[];
  readonly pattern: Pattern;
  readonly catchlights: readonly Catchlight[];
  readonly glare: readonly Glare[];
  readonly flare: readonly Flare[];
  readonly camera: CameraReport;
  readonly evenness: readonly Evenness[];
  readonly drift: readonly Drift[];
  readonly hair: HairClass;
}
