/** From the frames' assignments to the parts of a mix: the newest frame of each light, of none, of all. */

import type { MixSetting } from "../../../frames/index.ts";
import type { Setup } from "../../../setup/index.ts";
import type { FrameCard } from "../../../store/types.ts";
import type { MixParts } from "./messages.ts";

/** Lights in the setup's order. Frames whose pixels the worker does not have yet stay out. */
export function partsOf(cards: readonly FrameCard[], setup: Setup, given: ReadonlySet<string>): MixParts {
  const there = cards.filter(({ id }) => given.has(id));
  const newest = (fits: (card: FrameCard) => boolean): FrameCard | undefined => there.findLast(fits);
  const lights = setup.lights.flatMap(({ id }) => {
    const card = newest(({ assignment }) => assignment?.shows.kind === "light" && assignment.shows.lightId === id);
    return card === undefined ? [] : [{ lightId: id, frameId: card.id }];
  });
  const together = newest(({ assignment }) => assignment?.shows.kind === "together");
  const shows = together?.assignment?.shows;
  return {
    lights,
    ambientId: newest(({ assignment }) => assignment?.shows.kind === "ambient")?.id ?? null,
    togetherId: together?.id ?? null,
    togetherLightIds: shows?.kind === "together" ? shows.lightIds : [],
    sessionIds: there.filter(({ assignment }) => assignment?.shows.kind === "session").map(({ id }) => id),
  };
}

/** A setting for every part, as wished before or as shot. */
export function settingsOf({ lights, ambientId }: MixParts, wishes: readonly MixSetting[]): readonly MixSetting[] {
  const ids = [...lights.map(({ lightId }) => lightId), ...(ambientId === null ? [] : ["ambient"])];
  return ids.map(
    (lightId) => wishes.find((one) => one.lightId === lightId) ?? { lightId, on: true, stops: 0, miredShift: 0 },
  );
}
