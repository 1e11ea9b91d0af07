/**
 * What to do when a reading lies outside the meter's range: set another ISO on the meter and enter what it
 * says. The reading rises by log2(S'/S); full stops of ISO only, so that nobody has to think. Av as the
 * meter shows it.
 */

import type { Setup } from "../setup/index.ts";
import { iso, printIso } from "../units/index.ts";

export interface MeterHelp {
  /** To set on the meter, exact: 634.96 for the mark 640. */
  readonly iso: number;
  /** What it will show above the reading at the working ISO, stops. */
  readonly shownAboveStops: number;
  /** "set the meter to ISO 400, enter what it says" */
  readonly words: string;
}

/** Help for an expected reading; null where the meter reaches it as it is set, or no usual ISO (6…12 800) brings it in. */
export function meterHelp(setup: Setup, expectedAv: number): MeterHelp | null {
  const { meter, exposure } = setup;
  const shown = expectedAv - meter.offsetStops;
  if (shown >= meter.lowestAv && shown <= meter.highestAv) return null;
  const stops =
    shown < meter.lowestAv ? Math.ceil(meter.lowestAv - shown - 1e-9) : -Math.ceil(shown - meter.highestAv - 1e-9);
  const speed = exposure.iso * 2 ** stops;
  if (speed < 6 || speed > 12_900) return null;
  const words = `set the meter to ISO ${printIso(iso(speed))}, enter what it says`;
  return { iso: speed, shownAboveStops: stops, words };
}
