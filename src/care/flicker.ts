/**
 * Lamps on the mains and the shutter. A lamp's light swells twice in each period of the mains, so a shutter that is open
 * for whole swells, t = n/(2·f), takes the same light whenever it opens; any other short time bands or pulses from
 * frame to frame. Flash does not care. From twenty swells on less than 5 % of it is left. Times in s, f in Hz.
 */

import { angleOfTime, flickerFreeTimes, rippleBound } from "../photometry/index.ts";
import type { Light } from "../setup/index.ts";
import { seconds } from "../units/index.ts";
import { aboutSetup, type Finding, figure, finding, joined, practice } from "./finding.ts";
import type { World } from "./world.ts";

/** Up to this voltage mains run at 60 Hz, above it at 50 Hz (common practice, no source; a few places differ). */
const highestVoltsAt60Hz = 127;
/** A marked time of a still passes for its neighbour, 1/60 being 1/64 by the exact scale; film times are literal. */
const sameMark = 0.07;
const sameLiteral = 0.01;
/** Ripple that nobody sees. */
const mostRipple = 0.05;
/** Stills have no frame to fit the time into; no longer one is proposed. */
const longestStillS = 1 / 25;

/** flicker:shutter where a lamp on the mains is lit and the shutter cuts its swells. */
export function flickerFindings(world: World): readonly Finding[] {
  const { exposure } = world.setup;
  const lamps = world.setup.lights.filter(({ on, head }) => on && head.kind === "continuous" && head.mains);
  const mainsHz = frequency(world, lamps);
  if (mainsHz === null || rippleBound(seconds(exposure.shutterS), 2 * mainsHz) <= mostRipple) return [];
  const longestS = exposure.framesPerSecond === null ? longestStillS : 1 / exposure.framesPerSecond;
  const same = exposure.framesPerSecond === null ? sameMark : sameLiteral;
  const fits = flickerFreeTimes(mainsHz, 1 / Math.max(longestS, exposure.shutterS * (1 + same)));
  const isNear = (time: number): boolean => Math.abs(exposure.shutterS / time - 1) <= same;
  if (fits.some(isNear)) return [];
  const offered = fits.filter((time) => time <= longestS + 1e-9);
  const ways = [...offered].sort((a, b) => stopsFrom(exposure.shutterS, a) - stopsFrom(exposure.shutterS, b));
  const film = exposure.framesPerSecond;
  return [
    finding({
      id: "flicker:shutter",
      level: film !== null || exposure.medium === "continuous" ? "care" : "note",
      topic: "sync",
      about: aboutSetup,
      what: `${joined(lamps.map(({ tag }) => tag))} on ${mainsHz} Hz mains may flicker at ${exposure.shutterMark} s`,
      why: `Lamps swell ${2 * mainsHz} times a second; the shutter takes a different part of it each time. A lamp that is dimmed by pulses wants twenty of its own pulses instead: film a test.`,
      source: `t = n/(2·f), a time that holds whole swells; mains frequency by the voltage: ${practice}`,
      figures: [figure("shutter", exposure.shutterS, "s", ways[0] ?? null)],
      proposals: () =>
        ways.slice(0, 3).map((time) => {
          const mark = `1/${Math.round(1 / time)}`;
          const angle =
            film === null ? "" : `, ${Number(angleOfTime(time, film).toFixed(1))}° at ${film} frames a second`;
          return {
            edits: [{ kind: "exposure" as const, set: { shutterS: time, shutterMark: mark } }],
            words: () => ({ label: `shutter ${mark} s`, leaves: `whole swells of ${mainsHz} Hz mains${angle}` }),
          };
        }),
    }),
  ];
}

const stopsFrom = (from: number, to: number): number => Math.abs(Math.log2(to / from));

/** By the circuits that the lamps hang on, else by the room's; null where nothing is known, or no lamp is lit. */
function frequency(world: World, lamps: readonly Light[]): 50 | 60 | null {
  const { circuits } = world.setup.room;
  const used = circuits.filter(({ id }) => lamps.some(({ circuitId }) => circuitId === id));
  const volts = (used[0] ?? circuits[0])?.volts;
  if (lamps.length === 0 || volts === undefined) return null;
  return volts <= highestVoltsAt60Hz ? 60 : 50;
}
