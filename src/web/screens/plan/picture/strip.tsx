/** Small pictures in a row: each light alone and all together, mixed from the layers on the page; no ray is traced. */

import { type ReactNode, useEffect, useRef } from "react";
import { encodePixels, type Layer, type LayerGain, mixLayers } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import { setupReference } from "../../../../work/index.ts";
import { Tag } from "../../../parts/tag.tsx";
import { type NamedLayer, namedLayers } from "./layer-names.ts";
import { liftedGains, liftWords } from "./lift.ts";
import { shrunk } from "./shrink.ts";

/** Pixels across. */
const SMALL_PX = 88;

interface Props {
  readonly setup: Setup;
  readonly layers: readonly Layer[];
  readonly gains: readonly LayerGain[];
  /** Stops by which each light is shown brighter, by id; null: as it is. */
  readonly lifts: ReadonlyMap<string, number> | null;
  readonly alone: string | null;
  readonly setAlone: (id: string | null) => void;
}

export function Strip({ setup, layers, gains, lifts, alone, setAlone }: Props): ReactNode {
  if (layers.length === 0) return null;
  const small = layers.map((layer) => shrunk(layer, SMALL_PX));
  const reference = setupReference(setup);
  const offset = setup.camera.meterOffsetStops ?? 0;
  const one = (light: NamedLayer | null): Float32Array => {
    const own = light === null ? gains : liftedGains(gains, light.id, lifts?.get(light.id) ?? 0);
    return mixLayers(small, own, reference, offset);
  };
  const { width = 1, height = 1 } = small[0] ?? {};
  return (
    <ul className="picture-strip" aria-label="Each light alone, and all together">
      {namedLayers(setup).map((light) => (
        <li key={light.id}>
          <button
            type="button"
            aria-pressed={alone === light.id}
            onClick={() => setAlone(alone === light.id ? null : light.id)}
          >
            <Small linear={one(light)} width={width} height={height} />
            <span>
              <Tag tag={light.tag} hue={light.hue} /> {light.role}
              <span className="unseen"> alone</span>
              {lifts !== null && <small>{liftWords(lifts.get(light.id)).replace(", ", "")}</small>}
            </span>
          </button>
        </li>
      ))}
      <li>
        <button type="button" aria-pressed={alone === null} onClick={() => setAlone(null)}>
          <Small linear={one(null)} width={width} height={height} />
          <span>together</span>
        </button>
      </li>
    </ul>
  );
}

function Small({ linear, width, height }: { linear: Float32Array; width: number; height: number }): ReactNode {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const pixels = encodePixels(linear) as Uint8ClampedArray<ArrayBuffer>;
    if (pixels.length === 4 * width * height)
      canvas.current?.getContext("2d")?.putImageData(new ImageData(pixels, width, height), 0, 0);
  }, [linear, width, height]);
  return <canvas ref={canvas} width={width} height={height} />;
}
