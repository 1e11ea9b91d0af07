/** From a wanted mix to the frames and weights that make it, with a fault for each light that has no frame. */

import type { MixFormat, MixPart } from "../../files/node.ts";
import { type MixSetting, mixWeights } from "../../frames/index.ts";
import type { FrameCard, Store } from "../../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../../units/index.ts";

export interface MixRequest {
  readonly settings: readonly MixSetting[];
  readonly format: MixFormat;
}

/** As many settings as a setup may have lights, and the room. */
const MOST_SETTINGS = 65;
const MOST_STOPS = 12;
const MOST_MIRED = 500;

/** Every fault of the body at once. */
export function readMixRequest(body: unknown): Result<MixRequest> {
  const { settings, format } = (body ?? {}) as { readonly settings?: unknown; readonly format?: unknown };
  const faults: Fault[] = [];
  if (format !== "tiff16" && format !== "png16") {
    faults.push(fault("mix-format", "The mix is written as tiff16 or png16", "format", "Choose one of them."));
  }
  const isList = Array.isArray(settings) && settings.length > 0 && settings.length <= MOST_SETTINGS;
  if (!isList || !settings.every(isSetting)) {
    const mend = "Send for each light its id, whether it is on, its stops against its frame and its gel's mired.";
    faults.push(fault("mix-settings", "The settings of the mix cannot be read", "settings", mend));
  }
  if (faults.length > 0) return failure(...faults);
  return success({ settings: settings as readonly MixSetting[], format: format as MixFormat });
}

function isSetting(value: unknown): value is MixSetting {
  const { lightId, on, stops, miredShift } = (value ?? {}) as Readonly<Record<string, unknown>>;
  const within = (number: unknown, most: number): boolean => typeof number === "number" && Math.abs(number) <= most;
  const isId = typeof lightId === "string" && lightId.length > 0 && lightId.length <= 64;
  return isId && typeof on === "boolean" && within(stops, MOST_STOPS) && within(miredShift, MOST_MIRED);
}

/** The frames' files with their weights. Faults: a light that is on has no frame, or its file is not here. */
export function mixParts(
  store: Store,
  cards: readonly FrameCard[],
  settings: readonly MixSetting[],
  whiteBalanceK: number,
): Result<readonly MixPart[]> {
  const ambient = cards.find(({ assignment }) => assignment?.shows.kind === "ambient");
  const weights = mixWeights(settings, ambient !== undefined, { whiteBalanceK });
  if (!weights.ok) return weights;
  const faults: Fault[] = [];
  const parts: MixPart[] = [];
  for (const { lightId, weight } of weights.value) {
    if (weight.every((part) => part === 0)) continue;
    const card = lightId === "ambient" ? ambient : cards.find((each) => showsLight(each, lightId));
    const files = card === undefined ? failure(noFrame(lightId)) : store.frames.files(card.id);
    if (files.ok && card !== undefined) parts.push({ source: files.value.original, name: card.name, weight });
    else if (!files.ok) faults.push(...files.faults);
  }
  return faults.length > 0 ? failure(...faults) : success(parts);
}

const showsLight = ({ assignment }: FrameCard, lightId: string): boolean =>
  assignment?.shows.kind === "light" && assignment.shows.lightId === lightId;

const noFrame = (lightId: string): Fault =>
  fault("mix-no-frame", "No frame shows this light alone", lightId, "Add its frame, or switch it off in the mix.");
