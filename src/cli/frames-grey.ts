/**
 * A grey patch that somebody named on the frames: each light's stops on it and the light's own white, room light taken
 * off. The mathematics is frames'.
 */

import {
  type LightWhite,
  type LinearFrame,
  measurePatch,
  type Patch,
  type StopsValue,
  stopsBetween,
  whiteOfPatch,
  withoutAmbient,
} from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { quoted } from "./print.ts";

/** In pixels of the full frame, upright. */
export interface GreyPlace {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface GreyRow {
  readonly frame: LinearFrame;
  readonly lightId: string;
  /** Against the brightest light there; null where one is not usable. */
  readonly under: StopsValue | null;
  /** Null where the patch does not tell. */
  readonly white: LightWhite | null;
}

/** "120,80,40x40": left, top, width and height. */
export function readGrey(text: string): Result<GreyPlace> {
  const match = /^(\d{1,5}),(\d{1,5}),(\d{1,5})x(\d{1,5})$/i.exec(text.trim());
  const [x = 0, y = 0, width = 0, height = 0] = (match ?? []).slice(1).map(Number);
  if (match !== null && width > 0 && height > 0) return success({ x, y, width, height });
  const what = `${quoted(text)} is no place on a picture`;
  return failure(fault("place-form", what, "--grey", "Write left, top, width and height in pixels: 1200,800,60x60."));
}

/** Every light on the patch. What cannot be told there is a fault and stops nothing else. */
export function greyRows(
  lights: readonly { readonly lightId: string; readonly frame: LinearFrame }[],
  ambient: LinearFrame | null,
  place: GreyPlace,
  whiteBalanceK: number,
): { readonly rows: readonly GreyRow[]; readonly faults: readonly Fault[] } {
  const faults: Fault[] = [];
  const measured = lights.flatMap(({ lightId, frame }) => {
    const fits = ambient !== null && ambient.width === frame.width && ambient.height === frame.height;
    const alone = withoutAmbient(frame, fits ? ambient : null);
    const value = measurePatch(alone, patchOn(alone, place));
    if (value.ok) return [{ lightId, frame: alone, value: value.value }];
    faults.push(...value.faults.map((each) => ({ ...each, where: frame.name })));
    return [];
  });
  const brightest = measured.toSorted((a, b) => b.value.luminance - a.value.luminance)[0];
  const rows = measured.map(({ lightId, frame, value }): GreyRow => {
    const white = whiteOfPatch(value, frame, whiteBalanceK);
    if (!white.ok) faults.push(...white.faults.map((each) => ({ ...each, where: frame.name })));
    const under = brightest === undefined ? null : stopsBetween(brightest.value, value);
    return { frame, lightId, under, white: white.ok ? white.value : null };
  });
  return { rows, faults };
}

/** The place on a proxy, at least one pixel. */
function patchOn({ reduction }: LinearFrame, { x, y, width, height }: GreyPlace): Patch {
  const scaled = (value: number): number => Math.floor(value / reduction);
  return {
    ...{ id: "grey", name: "grey", x: scaled(x), y: scaled(y) },
    ...{ width: Math.max(1, scaled(width)), height: Math.max(1, scaled(height)) },
  };
}
