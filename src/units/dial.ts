/**
 * The dials of flash heads and lamps: how each head writes its power, and how far below full that is.
 * Inside the program a dial is always stops relative to full, 0 or less; the head's own notation exists
 * only at the edges. Conventions: common practice, no published source.
 */

/** How one head counts its power. `lowestStops` is relative to full, so it is 0 or less. */
export type DialScale =
  | { readonly kind: "fraction"; readonly lowestStops: number; readonly stepStops: number /* 0.1 or 1/3 */ }
  | { readonly kind: "below-full"; readonly lowestStops: number; readonly stepStops: number }
  | { readonly kind: "number"; readonly top: number; readonly lowestStops: number; readonly stepStops: number }
  | { readonly kind: "watt-seconds"; readonly fullWs: number; readonly lowestStops: number; readonly stepStops: number }
  | {
      readonly kind: "percent";
      readonly lowestPercent: number;
      readonly stepPercent: number;
      /** Measured light of this head: stops relative to full at each percent. Without it the dial counts as linear. */
      readonly table?: readonly (readonly [percent: number, stops: number])[];
    };
