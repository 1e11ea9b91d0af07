/** What the watch says. */

import { medianOf } from "./grid.ts";
import type { Id, WatchAlarm } from "./types.ts";
import { alike, OUT } from "./watch-fit.ts";

/** So far down, stops, and perhaps out: that is no drift. */
const SURELY_DOWN = -1.2;

/** The alarm of one light in one frame; `off` is from its usual place. */
export function alarmOf(
  light: { readonly lightId: Id; readonly name: string },
  gain: { readonly stops: number; readonly off: number; readonly sigmaStops: number },
  frame: { readonly name: string; readonly since: string | null; readonly about?: Id },
): WatchAlarm {
  const { stops, off, sigmaStops } = gain;
  const tail = frame.since ? `${frame.name}, since ${frame.since}` : frame.name;
  const about = frame.about === undefined ? {} : { about: frame.about };
  const to = { lightId: light.lightId, sigmaStops, ...about };
  if (stops < OUT || (stops < SURELY_DOWN && stops - 2 * sigmaStops < OUT)) {
    return { kind: "did-not-fire", stops: null, words: `${light.name} did not fire in ${tail}`, ...to };
  }
  const words = `${light.name} ${off > 0 ? "up" : "down"} ${Math.abs(off).toFixed(1)} in ${tail}`;
  return { kind: "drifted", stops: off, words, ...to };
}

/** Most lights alike in this frame are one thing, the exposure: weak ones may be too unsure to say so themselves. */
export function merged(alarms: readonly WatchAlarm[], lights: number, frame: string): readonly WatchAlarm[] {
  const now = alarms.filter(({ about }) => about === undefined);
  const values = now.flatMap(({ stops }) => (stops === null ? [] : [stops]));
  if (!alike(values, lights)) return alarms;
  const stops = medianOf(values);
  const words = `Everything ${stops > 0 ? "up" : "down"} ${Math.abs(stops).toFixed(1)} in ${frame}: exposure or sensitivity changed`;
  const sigmaStops = Math.max(...now.map((alarm) => alarm.sigmaStops));
  const earlier = alarms.filter(({ about }) => about !== undefined);
  return [...earlier, { kind: "all-drifted", lightId: null, stops, sigmaStops, words }];
}
