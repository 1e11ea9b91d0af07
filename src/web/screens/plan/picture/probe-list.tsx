/**
 * What a meter reads at the spot under the pointer: all together, each light, what panels and room add, and the tone
 * that the picture shows there.
 */

import type { ReactNode } from "react";
import { type LayerGain, toneAt } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import { Reading } from "../../../parts/reading.tsx";
import { Tag } from "../../../parts/tag.tsx";
import type { Held } from "./messages.ts";
import type { Probed } from "./picture-job.ts";

/** A light so far under the sum adds less than a hundredth of a stop: it is named, not listed. */
const FAR_UNDER = 7;

interface Props {
  readonly setup: Setup;
  readonly probe: Probed | null;
  readonly held: Held;
  readonly setHeld: (held: Held) => void;
  readonly gains: readonly LayerGain[];
  readonly picture: { readonly linear: Float32Array; readonly width: number } | null;
  /** The spot was pressed or moved by keys: then it is read out. */
  readonly spoken: boolean;
}

export function ProbeList({ setup, probe, held, setHeld, gains, picture, spoken }: Props): ReactNode {
  return (
    <section className="picture-probe" aria-label="Meter in the picture">
      <div className="probe-held">
        <select
          value={held.receptor}
          aria-label="Receptor"
          onChange={(event) => setHeld({ ...held, receptor: event.target.value as Held["receptor"] })}
        >
          <option value="dome">dome</option>
          <option value="disc">disc</option>
        </select>
        <select
          value={held.aim}
          aria-label="Aimed"
          onChange={(event) => setHeld({ ...held, aim: event.target.value as Held["aim"] })}
        >
          <option value="camera">to the camera</option>
          <option value="light">to each light</option>
          <option value="normal">along the surface</option>
        </select>
      </div>
      <div role="status" aria-live={spoken ? "polite" : "off"}>
        {probe === null ? (
          <p className="quiet">
            Point at the picture, or press it: the meter reads there. With the keyboard, arrows move the spot.
          </p>
        ) : probe.lights === null ? (
          <p className="quiet">Nothing is seen there.</p>
        ) : (
          <Figures setup={setup} probe={probe} held={held} gains={gains} picture={picture} lights={probe.lights} />
        )}
      </div>
    </section>
  );
}

type FigureProps = Pick<Props, "setup" | "held" | "gains" | "picture"> & {
  readonly probe: Probed;
  readonly lights: NonNullable<Probed["lights"]>;
};

function Figures({ setup, probe, held, gains, picture, lights }: FigureProps): ReactNode {
  const constant = held.receptor === "disc" ? setup.meter.discC : setup.meter.domeC;
  const avOf = (lxS: number, c: number = constant): number | null =>
    lxS > 1e-9 ? Math.log2((lxS * setup.exposure.iso) / c) : null;
  const rows = lights.map(({ lightId, factor, returned }) => {
    const gain = gains.find((g) => g.lightId === lightId);
    const on = gain?.on === true;
    const output = on ? gain.output : 0;
    const light = setup.lights.find(({ id }) => id === lightId);
    return { light, on, lxS: factor * output, returned: returned === null ? null : returned * output };
  });
  const straight = rows.reduce((sum, { lxS }) => sum + lxS, 0);
  const least = straight * 2 ** -FAR_UNDER;
  const listed = rows.filter(({ lxS }) => lxS > least).sort((a, b) => b.lxS - a.lxS);
  const far = rows.flatMap(({ light, on, lxS }) => (light !== undefined && on && lxS <= least ? [light.tag] : []));
  const known = rows.every(({ returned }) => returned !== null);
  const returned = rows.reduce((sum, row) => sum + (row.returned ?? 0), 0);
  return (
    <>
      <p className="picture-total">
        <Reading av={avOf(straight)} />{" "}
        <small>
          {held.receptor} {aimWords[held.aim]}, straight light
        </small>
      </p>
      <ul className="probe-rows">
        {listed.map(({ light, lxS }) => (
          <li key={light?.id}>
            {light !== undefined && <Tag tag={light.tag} hue={light.hue} />} <Reading av={avOf(lxS)} />
            <i
              className="probe-bar"
              aria-hidden="true"
              style={{ width: `${Math.max(2, 100 + 14 * Math.log2(lxS / straight))}%` }}
            />
          </li>
        ))}
        {known && returned > 0 && (
          <li>
            <span className="probe-name">room</span> <Reading av={avOf(returned, setup.meter.discC)} />
            <small>panels, walls and room light, along the surface, estimated</small>
          </li>
        )}
      </ul>
      {far.length > 0 && (
        <p className="quiet">
          {listOf(far)} {far.length === 1 ? "does" : "do"} not reach here
        </p>
      )}
      {picture !== null && <p>{toneWords(picture, probe)}</p>}
    </>
  );
}

/** "E", "E and H", "M, E and H". */
const listOf = (names: readonly string[]): string =>
  names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;

const aimWords: Readonly<Record<Held["aim"], string>> = {
  camera: "to the camera",
  light: "to each light",
  normal: "along the surface",
};

/** What the picture shows there, against the grey card. */
function toneWords({ linear, width }: NonNullable<Props["picture"]>, { x, y }: Probed): string {
  const { stops } = toneAt(linear, width, x, y);
  if (!Number.isFinite(stops)) return "The picture is black there";
  const tenths = Math.round(10 * stops) / 10;
  if (tenths === 0) return "The picture shows the tone of the grey card there";
  return `The picture is ${Math.abs(tenths).toFixed(1)} stops ${tenths > 0 ? "over" : "under"} the grey card there`;
}
