/** The layers of a setup as the pane lists them: its lights, then the room's own light where there is any. */

import type { LayerId } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";

export interface NamedLayer {
  readonly id: LayerId;
  readonly tag: string;
  readonly hue: number;
  readonly role: string;
  readonly on: boolean;
}

export function namedLayers({ lights, room }: Setup): readonly NamedLayer[] {
  const own = lights.map(({ id, tag, hue, role, on }) => ({ id, tag, hue, role, on }));
  if (!((room.ambientLx ?? 0) > 0)) return own;
  return [...own, { id: "ambient", tag: "R", hue: 0, role: "room", on: true }];
}
