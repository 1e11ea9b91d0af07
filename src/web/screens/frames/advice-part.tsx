/** Which turn on which head reaches a picture that is wanted: tones typed for patches, or another frame. */

import { type ReactNode, useState } from "react";
import type { Advice, Turn } from "../../../frames/index.ts";
import type { Setup } from "../../../setup/index.ts";
import type { FrameCard } from "../../../store/types.ts";
import { parseStops, printStops, printTurn, stops as toStops } from "../../../units/index.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import type { MixParts, PatchRow } from "./messages.ts";
import type { MixJob } from "./mix-job.ts";

interface Props {
  readonly job: MixJob;
  readonly advice: Advice | null;
  readonly rows: readonly PatchRow[];
  readonly cards: readonly FrameCard[];
  readonly setup: Setup;
  readonly parts: MixParts;
  /** Puts the turns into the mix. */
  readonly use: (turns: readonly Turn[]) => void;
}

export function AdvicePart({ job, advice, rows, cards, setup, parts, use }: Props): ReactNode {
  const [typed, setTyped] = useState<Readonly<Record<string, string>>>({});
  const [frameId, setFrameId] = useState("");
  const wanted = rows.flatMap(({ patch }) => {
    const text = typed[patch.id]?.trim() ?? "";
    const read = text === "" ? null : parseStops(text, { where: patch.name });
    return read?.ok ? [{ patch, stops: read.value as number }] : [];
  });
  const bad = rows.flatMap(({ patch }) => {
    const text = typed[patch.id]?.trim() ?? "";
    const read = text === "" ? null : parseStops(text, { where: patch.name });
    return read === null || read.ok ? [] : read.faults;
  });
  const others = cards.filter(({ id }) => id !== parts.togetherId && !parts.lights.some((one) => one.frameId === id));
  const lights = parts.lights.flatMap(({ lightId }) => {
    const light = setup.lights.find(({ id }) => id === lightId);
    return light === undefined ? [] : [{ lightId, tag: light.tag, dialStops: light.dialStops, dial: light.head.dial }];
  });
  if (parts.lights.length === 0) return null;
  const ask = (): void =>
    frameId === "" ? job.advise({ kind: "patches", wanted }, lights) : job.advise({ kind: "frame", frameId }, lights);
  return (
    <details className="advice">
      <summary>Reach a picture</summary>
      <label>
        Like
        <select value={frameId} onChange={(event) => setFrameId(event.target.value)}>
          <option value="">the tones below</option>
          {others.map(({ id, name }) => (
            <option key={id} value={id}>
              frame {name}
            </option>
          ))}
        </select>
      </label>
      {frameId === "" &&
        (rows.length === 0 ? (
          <p className="quiet">Place patches first; then type how many stops from mid grey each should be.</p>
        ) : (
          <ul>
            {rows.map(({ patch, mixStops }, i) => (
              <li key={patch.id}>
                <label>
                  <span>
                    {i + 1} {patch.name}
                  </span>
                  <input
                    value={typed[patch.id] ?? ""}
                    placeholder={mixStops === null ? "" : printStops(toStops(mixStops))}
                    inputMode="text"
                    onChange={(event) => setTyped({ ...typed, [patch.id]: event.target.value })}
                  />
                </label>
              </li>
            ))}
          </ul>
        ))}
      <FaultBox faults={bad} />
      <button type="button" className="button" disabled={frameId === "" && wanted.length === 0} onClick={ask}>
        Find the turns
      </button>
      {advice !== null && (
        <div role="status">
          <ul>
            {advice.turns.map((turn) => (
              <li key={turn.lightId}>
                <b>{lights.find(({ lightId }) => lightId === turn.lightId)?.tag}</b> {turnWords(turn)}
              </li>
            ))}
          </ul>
          <p className="quiet">
            Leaves {advice.rmsStops.toFixed(2)} stop on the whole, {advice.worstStops.toFixed(2)} at the worst place.
          </p>
          <FaultBox faults={advice.faults} />
          <button type="button" className="button strong" onClick={() => use(advice.turns)}>
            Put into the mix
          </button>
        </div>
      )}
    </details>
  );
}

function turnWords({ wantedStops, turnStops, bound, shortStops, sigmaStops }: Turn): string {
  if (wantedStops === null) return "off";
  const sure = sigmaStops > 0.05 ? `, ±${sigmaStops.toFixed(1)}` : "";
  const end = bound === null ? "" : `; the dial ends ${Math.abs(shortStops).toFixed(1)} before (${bound})`;
  return `${printTurn(turnStops)}${sure}${end}`;
}
