/**
 * A setup as the Book lists and finds it: the card, and the words and numbers that are searched. Pure.
 * Lengths in metres, the set's box rounded up to millimetres by the store.
 */

import {
  type Light,
  latestReading,
  type Role,
  type Setup,
  spaceNeeds,
  stopsUnder,
  targetAv,
  toleranceOf,
} from "../setup/index.ts";
import type { BookCard, CardLight, SetSpace } from "./types.ts";

/** The columns of the full-text index. */
export interface CardWords {
  readonly title: string;
  readonly notes: string;
  readonly tags: string;
  readonly roles: string;
  readonly kit: string;
}

/** Bit of each role in `facts.roles`. */
const roleBit: Readonly<Record<Role, number>> = { main: 1, fill: 2, edge: 4, hair: 8, background: 16, card: 32 };

export const roleBits = (roles: readonly Role[]): number => roles.reduce((bits, role) => bits | roleBit[role], 0);

export function cardOf(setup: Setup, changedAt: string): BookCard {
  const { id, title, tags, invented, createdAt, exposure } = setup;
  return {
    id,
    title,
    tags,
    invented,
    medium: exposure.medium,
    apertureAv: exposure.apertureAv,
    iso: exposure.iso,
    roles: rolesOf(setup),
    lights: setup.lights.map((light) => cardLight(setup, light)),
    mainToFillStops: mainToFill(setup),
    space: spaceOf(setup),
    lastMeteredAt: lastMetered(setup),
    met: setup.lights.length > 0 && setup.lights.every((light) => isMet(setup, light)),
    createdAt,
    changedAt,
  };
}

export function wordsOf(setup: Setup): CardWords {
  const kit = setup.lights.flatMap((light) => [light.head.name, light.modifier.name, light.support.name]);
  return {
    title: setup.title,
    notes: setup.notes,
    tags: setup.tags.join(" "),
    roles: rolesOf(setup).join(" "),
    kit: [...new Set([...kit, ...setup.panels.map((panel) => panel.name)])].join(" "),
  };
}

function rolesOf(setup: Setup): readonly Role[] {
  const panels: readonly Role[] = setup.panels.some((panel) => panel.role === "card") ? ["card"] : [];
  return [...new Set([...setup.lights.map((light) => light.role), ...panels])];
}

function cardLight(setup: Setup, light: Light): CardLight {
  const reading = latestReading(setup, light.id);
  return {
    tag: light.tag,
    hue: light.hue,
    role: light.role,
    stopsUnder: round(stopsUnder(setup, light.target)),
    readStopsUnder: reading === null ? null : round(setup.exposure.apertureAv - reading.av),
  };
}

/** Rounding keeps a card's text short and hides nothing that a card shows. */
const round = (stops: number): number => Math.round(stops * 1000) / 1000;

/** The first main against the first fill, by their targets. */
function mainToFill(setup: Setup): number | null {
  const main = setup.lights.find((light) => light.role === "main");
  const fill = setup.lights.find((light) => light.role === "fill");
  if (main === undefined || fill === undefined) return null;
  return round(targetAv(setup, main) - targetAv(setup, fill));
}

/** Rounding noise of sums in tenths of a stop must not turn "met" into "not met". */
const slackStops = 1e-6;

function isMet(setup: Setup, light: Light): boolean {
  const reading = latestReading(setup, light.id);
  if (reading === null) return false;
  return light.accepted || Math.abs(reading.av - targetAv(setup, light)) <= toleranceOf(light) + slackStops;
}

function lastMetered(setup: Setup): string | null {
  let last: string | null = null;
  for (const { undone, at } of setup.readings) {
    if (!undone && (last === null || Date.parse(at) > Date.parse(last))) last = at;
  }
  return last;
}

/** The box around all that stands in the set, moved freely: doors and furniture are the plan's business. */
function spaceOf(setup: Setup): SetSpace {
  const { leftM, rightM, backM, frontM, heightM } = spaceNeeds(setup);
  return { widthM: leftM + rightM, depthM: backM + frontM, heightM };
}
