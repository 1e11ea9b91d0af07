/**
 * What a kept picture is a picture of: where everything stands, and what each light gives. Two setups of the same look
 * have the same picture; readings, notes and names are not in it.
 */

import type { Setup } from "../setup/index.ts";
import { gainsOf, setupReference } from "./render-setup.ts";
import { lightKey, stageKey } from "./reuse.ts";

export interface PictureLook {
  /** Everything that a ray can meet. */
  readonly stage: string;
  /** Outputs, switches and colours against the working aperture, to a hundredth of a stop. */
  readonly light: string;
}

export function lookOf(setup: Setup): PictureLook {
  const reference = setupReference(setup) * 2 ** (setup.camera.meterOffsetStops ?? 0);
  const light = gainsOf(setup).map(({ lightId, on, output, tint }) => [
    lightId,
    on && output > 0 ? Math.round(100 * Math.log2(output / reference)) : null,
    tint.map((part) => Math.round(100 * part)),
  ]);
  const stands = setup.lights.map((each) => [each.id, lightKey(each)]);
  return { stage: JSON.stringify([stageKey(setup), stands]), light: JSON.stringify(light) };
}

export const sameLook = (a: PictureLook, b: PictureLook): boolean => a.stage === b.stage && a.light === b.light;
