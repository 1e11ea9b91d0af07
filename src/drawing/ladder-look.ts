/**
 * The ladder's sizes: one drawing for the desk, the phone, the meter's slim ladder and single tall rail, the
 * Book's card, and the sheet. CSS pixels.
 */

export type LadderStyle = "desk" | "phone" | "slim" | "rail" | "card" | "sheet";

export interface LadderLook {
  readonly perStop: number;
  readonly strip: number;
  readonly bead: { readonly width: number; readonly height: number };
  /** Where the axis stands, and the air between it and the first strip. */
  readonly axis: number;
  readonly axisPad: number;
  readonly axisSize: number;
  readonly padRight: number;
  readonly head: number;
  readonly headSize: number;
  readonly headWords: "none" | "role" | "fires" | "full";
  readonly foot: number;
  readonly footSize: number;
  readonly footWords: "none" | "tag" | "turn";
  /** Tenths, numbers and the flag; the card goes without. */
  readonly ruler: boolean;
  /** +1, −2 beside the marks. */
  readonly relative: boolean;
  /** "up 0.3" beside a bead; 0 leaves it out. */
  readonly turnSize: number;
  /** Rails, reach and jaws; the card shows beads alone. */
  readonly rails: boolean;
  readonly lettered: boolean;
  /** Width of the room's strip, with the bracket in it; 0 for none. */
  readonly roomStrip: number;
  readonly roomX: number;
  readonly bracket: boolean;
  readonly bracketX: number;
  readonly bracketSize: number;
  /** The scale shows at least this many stops about the working rung. */
  readonly least: { readonly above: number; readonly below: number };
}

/** What the parts of the ladder share while it is drawn. */
export interface LadderFrame {
  readonly look: LadderLook;
  readonly yOf: (av: number) => number;
  readonly topAv: number;
  readonly bottomAv: number;
  readonly axis: number;
  readonly right: number;
  readonly height: number;
}

const desk: LadderLook = {
  perStop: 84,
  strip: 137,
  bead: { width: 48, height: 24 },
  axis: 70,
  axisPad: 13,
  axisSize: 16.5,
  padRight: 2,
  head: 96,
  headSize: 15,
  headWords: "full",
  foot: 8,
  footSize: 16,
  footWords: "none",
  ruler: true,
  relative: true,
  turnSize: 15,
  rails: true,
  lettered: true,
  roomStrip: 123,
  roomX: 36,
  bracket: true,
  bracketX: 90,
  bracketSize: 17,
  least: { above: 1.1, below: 4.55 },
};

const phone: LadderLook = {
  ...desk,
  perStop: 56,
  strip: 58,
  bead: { width: 40, height: 20 },
  axis: 44,
  axisPad: 14,
  axisSize: 15.5,
  head: 24,
  headSize: 14.5,
  headWords: "role",
  relative: false,
  turnSize: 14.5,
  roomStrip: 92,
  roomX: 27,
  bracketX: 68,
  bracketSize: 15.5,
  least: { above: 1, below: 4.5 },
};

export const ladderLooks: Readonly<Record<LadderStyle, LadderLook>> = {
  desk,
  phone,
  slim: {
    ...phone,
    strip: 28,
    bead: { width: 22, height: 12 },
    axis: 42,
    axisPad: 8,
    axisSize: 15,
    head: 12,
    headWords: "none",
    turnSize: 0,
    roomStrip: 0,
    bracket: false,
  },
  rail: {
    ...phone,
    perStop: 76,
    strip: 150,
    bead: { width: 64, height: 32 },
    axis: 58,
    axisSize: 18,
    head: 10,
    headWords: "none",
    relative: true,
    turnSize: 18,
    roomStrip: 0,
    bracket: false,
  },
  card: {
    ...phone,
    perStop: 31,
    strip: 20,
    bead: { width: 18, height: 9 },
    axis: 30,
    axisPad: 3,
    axisSize: 12.8,
    padRight: 2,
    head: 2,
    headWords: "none",
    foot: 19,
    footSize: 12.5,
    footWords: "tag",
    ruler: false,
    turnSize: 0,
    rails: false,
    lettered: false,
    roomStrip: 0,
    bracket: false,
    least: { above: 1, below: 5 },
  },
  sheet: {
    ...desk,
    perStop: 59.3,
    strip: 50,
    bead: { width: 36, height: 18 },
    axis: 40,
    axisPad: 14,
    axisSize: 14.5,
    padRight: 2,
    head: 36,
    headSize: 14,
    headWords: "fires",
    foot: 54,
    footSize: 15,
    footWords: "turn",
    turnSize: 12,
    roomStrip: 104,
    roomX: 26,
    bracketX: 76,
    bracketSize: 15,
    least: { above: 1.05, below: 4.58 },
  },
};
