/** How far the picture is, in one line. */

import type { LayerId } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import type { StaleLayer } from "../../../../work/index.ts";
import { namedLayers } from "./layer-names.ts";
import type { PictureState } from "./picture-job.ts";

export function progressWords(state: PictureState, setup: Setup): string {
  const { failed, layers, stale, samples, sketched, trace, settling, stopped, done, noiseStops } = state;
  if (failed !== null) return `The picture stopped: ${failed}. The numbers go on without it.`;
  if (layers.length === 0) return "The first pass is on its way";
  const engine = state.engine === "processor" ? ", on the processor: smaller and slower than on a graphics card" : "";
  const noise = Number.isFinite(noiseStops) ? `, noise ${noiseStops.toFixed(2)} stop` : "";
  const tags = (ids: readonly LayerId[]): string => ids.map((id) => tagOf(setup, id)).join(" ");
  if (sketched.length > 0) return `${tags(sketched)}: a sketch without shadows, of the new place${engine}`;
  if (samples === 0) return `${stale ? "The last place; the" : "A"} first look${engine}`;
  const paths = `${Math.round(samples)} ${samples < 1.5 ? "path" : "paths"} a pixel${noise}`;
  if (stale) return `Of the last place: ${paths}${engine}`;
  if (stopped) return `Stopped at ${paths}${engine}`;
  if (settling.length > 0) return `${paths}; light off what moved is brought up to date in ${tags(settling)}${engine}`;
  const again = trace.length > 0 && !done ? `${traceWords(trace, setup)}: ` : "";
  return `${again}${paths}${engine}`;
}

/** "F moved, it shades M otherwise". */
function traceWords(trace: readonly StaleLayer[], setup: Setup): string {
  const own = trace.filter(({ why }) => why === "own" || why === "new").map(({ lightId }) => tagOf(setup, lightId));
  const shaded = trace.filter(({ why }) => why === "shadow").map(({ lightId }) => tagOf(setup, lightId));
  const seen = trace.some(({ why }) => why === "in view");
  const moved = `${own.join(" ") || "A light"} traced anew`;
  if (seen) return `${moved}, and all others: it stands in the picture`;
  return shaded.length === 0 ? moved : `${moved}, and ${shaded.join(" ")}: their shadows change`;
}

const tagOf = (setup: Setup, id: LayerId): string => namedLayers(setup).find((layer) => layer.id === id)?.tag ?? "";
