/**
 * What to do when a reading lies outside the meter's range: set another ISO on the meter and enter what it
 * says. The reading rises by log2(S'/S); full stops of ISO only, so that nobody has to think. Av as the
 * meter shows it.
 */

import type { Setup } from "../setup/index.ts";

export interface MeterHelp {
  /** To set on the meter. */
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
  const iso = exposure.iso * 2 ** stops;
  if (iso < 6 || iso > 12_800) return null;
  const rounded = Math.round(iso);
  return { iso: rounded, shownAboveStops: stops, words: `set the meter to ISO ${rounded}, enter what it says` };
}
