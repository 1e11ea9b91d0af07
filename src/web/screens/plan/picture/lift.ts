/** A light alone, shown brighter by exactly the stops that it lies under the main, so that weak lights can be judged. */

import { type LayerGain, soloGains } from "../../../../picture/index.ts";
import type { SetupReport } from "../../../../solve/index.ts";

/** Stops under the main as predicted, light by light; the main, and what is not under it, are shown as they are. */
export const liftsOf = ({ lights }: SetupReport): ReadonlyMap<string, number> =>
  new Map(lights.map(({ lightId, underMainStops }) => [lightId, Math.max(0, underMainStops ?? 0)]));

/** One light on, brighter by so many stops; everything else off. */
export const liftedGains = (gains: readonly LayerGain[], lightId: string, stops: number): readonly LayerGain[] =>
  soloGains(gains, lightId).map((gain) =>
    gain.lightId === lightId ? { ...gain, output: gain.output * 2 ** stops } : gain,
  );

/** ", lifted 3.0 stops", or nothing. */
export const liftWords = (stops: number | undefined): string =>
  stops === undefined || stops < 0.05 ? "" : `, lifted ${stops.toFixed(1)} stops`;
