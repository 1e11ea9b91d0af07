/**
 * What each light should read, as an Av at its own meter place. Targets hang on the working aperture, so
 * opening up by a stop moves them all. Hair: n = log2(ρ/0.0175) stops under evens out how bright the hair
 * looks; with ρ of the five classes it gives the studio's rule of 1, 2, 3 under for dark, mid, fair
 * (common practice, no source; domain 5.10). Backdrop: Δ = log2(tone/ρ), the reading with a disc flat on
 * the paper against the working aperture (domain 6.1). All stops.
 */

import type { HairClass, Light, Panel, Role, Setup, Target } from "./types.ts";

/**
 * Luminous reflectance of hair by class. Black and dark: measured lightness of black and dark brown hair
 * (domain 5.10); mid, fair and grey: assumed from its ranges, fair so that the rule gives 3.
 */
export const hairReflectance: Readonly<Record<HairClass, number>> = {
  black: 0.026,
  dark: 0.035,
  mid: 0.07,
  fair: 0.14,
  grey: 0.42,
};

/** What hair should return of a light at the working aperture to look alike, ρ·2^(−n). */
const evenHair = 0.0175;

/** Stops under the working aperture, to a tenth: 0.6, 1, 2, 3, 4.6 for black, dark, mid, fair, grey. */
export const hairStopsUnder = (hair: HairClass): number =>
  Math.round(Math.log2(hairReflectance[hair] / evenHair) * 10) / 10;

/** Stops that a backdrop of reflectance ρ must read above the working aperture to look `tone` (1 clips). */
export const toneStopsOver = (tone: number, reflectance: number): number => Math.log2(tone / reflectance);

type WithTargets = Pick<Setup, "exposure" | "subject" | "backdrop">;

/** How far under the working aperture a target lies, stops; negative is over. Without backdrop or tone, 0. */
export function stopsUnder(setup: WithTargets, target: Target): number {
  switch (target.kind) {
    case "working":
      return 0;
    case "under":
      return target.stops;
    case "hair":
      return hairStopsUnder(setup.subject.hair);
    case "tone": {
      const { backdrop } = setup;
      if (backdrop === null || backdrop.targetTone === null) return 0;
      return -toneStopsOver(backdrop.targetTone, backdrop.reflectance);
    }
  }
}

/** The Av that this light, alone at its own meter place, should read. */
export const targetAv = (setup: WithTargets, light: Pick<Light, "target">): number =>
  setup.exposure.apertureAv - stopsUnder(setup, light.target);

/** The Av wanted of a panel; null when it has no target. */
export const panelTargetAv = (setup: WithTargets, panel: Pick<Panel, "target">): number | null =>
  panel.target === null ? null : setup.exposure.apertureAv - stopsUnder(setup, panel.target);

/** "working", "3 under", "0.6 over", "fair hair: 3 under", "tone 0.18: at working". */
export function targetWords(setup: WithTargets, light: { readonly target: Target }): string {
  const { target } = light;
  if (target.kind === "working") return "working";
  const words = underWords(stopsUnder(setup, target));
  if (target.kind === "hair") return `${setup.subject.hair} hair: ${words}`;
  if (target.kind === "tone") {
    const tone = setup.backdrop?.targetTone ?? null;
    return tone === null ? `no tone chosen: ${words}` : `tone ${Number(tone.toFixed(3))}: ${words}`;
  }
  return words;
}

function underWords(stops: number): string {
  const tenths = Math.round(stops * 10) / 10;
  if (tenths === 0) return "at working";
  return tenths > 0 ? `${tenths} under` : `${-tenths} over`;
}

/** How near counts as met, by role, stops (common practice, no source). */
export const roleTolerance: Readonly<Record<Role, number>> = {
  main: 0.1,
  fill: 0.2,
  edge: 0.3,
  hair: 0.3,
  background: 0.2,
  card: 0.3,
};

/** How near to its target this light counts as met, stops. */
export const toleranceOf = (light: Pick<Light, "role" | "toleranceStops">): number =>
  light.toleranceStops ?? roleTolerance[light.role];
