/** Lights in the picture: on, off, alone, all together. The setup itself is not touched. */

import type { ReactNode } from "react";
import type { Setup } from "../../../../setup/index.ts";
import { Tag } from "../../../parts/tag.tsx";
import { namedLayers } from "./layer-names.ts";

interface Props {
  readonly setup: Setup;
  readonly off: readonly string[];
  readonly alone: string | null;
  readonly setOff: (off: readonly string[]) => void;
  readonly setAlone: (alone: string | null) => void;
}

export function Switches({ setup, off, alone, setOff, setAlone }: Props): ReactNode {
  return (
    <div className="picture-switches" role="group" aria-label="Lights in the picture">
      {namedLayers(setup).map((light) => (
        <div key={light.id} className="picture-switch">
          <Tag tag={light.tag} hue={light.hue} solid={light.on} />
          <div className="choice">
            <button
              type="button"
              aria-pressed={!off.includes(light.id)}
              aria-label={`on, ${light.tag}`}
              onClick={() => setOff(off.includes(light.id) ? off.filter((id) => id !== light.id) : [...off, light.id])}
            >
              {off.includes(light.id) ? "off" : "on"}
            </button>
            <button
              type="button"
              aria-pressed={alone === light.id}
              aria-label={`alone, ${light.tag}`}
              onClick={() => setAlone(alone === light.id ? null : light.id)}
            >
              alone
            </button>
          </div>
        </div>
      ))}
      <button
        type="button"
        className="button"
        onClick={() => {
          setOff([]);
          setAlone(null);
        }}
      >
        all together
      </button>
    </div>
  );
}
