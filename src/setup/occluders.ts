/** What stands in the way of light, from the document: head, body and panels as analytic solids. Metres. */

import type { Occluder } from "../photometry/index.ts";
import { panelOutline } from "./fronts.ts";
import { bodyOf, headOccluder, headOf } from "./head.ts";
import type { Id, Setup } from "./types.ts";

/** Everything that stands in the way of light: head, body, panels. An object shades nothing here. */
export function occludersOf(setup: Setup): {
  readonly head: Occluder | null;
  readonly body: readonly Occluder[];
  readonly panels: readonly { readonly id: Id; readonly occluder: Occluder }[];
} {
  const head = headOf(setup);
  return {
    head: head === null ? null : headOccluder(head),
    body: bodyOf(setup)?.capsules ?? [],
    panels: setup.panels.map((panel) => ({
      id: panel.id,
      occluder: { kind: "polygon", points: panelOutline(setup, panel) },
    })),
  };
}
