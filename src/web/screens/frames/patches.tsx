/** Places on the frames with their stops from mid grey: in the mix, in the frame of all, and against the first. */

import type { ReactNode } from "react";
import { printStops, stops } from "../../../units/index.ts";
import type { PatchRow, WhiteRow } from "./messages.ts";

interface Props {
  readonly rows: readonly PatchRow[];
  readonly placing: boolean;
  readonly setPlacing: (placing: boolean) => void;
  readonly rename: (id: string, name: string) => void;
  readonly remove: (id: string) => void;
  readonly greyId: string | null;
  readonly setGrey: (id: string | null) => void;
  readonly whites: readonly WhiteRow[];
  readonly tags: Readonly<Record<string, string>>;
}

export function PatchTable({ rows, placing, setPlacing, rename, remove, ...grey }: Props): ReactNode {
  const first = rows[0]?.mixStops ?? null;
  return (
    <section className="patches" aria-label="Patches">
      <div className="pane-head">
        <h2>Patches</h2>
        <div className="spring" />
        <button type="button" className="button" aria-pressed={placing} onClick={() => setPlacing(!placing)}>
          {placing ? "Done" : "Place"}
        </button>
      </div>
      {rows.length === 0 && (
        <p className="quiet patch-none">
          {placing
            ? "Press in the mix where a patch should lie."
            : "Place patches on a cheek, the shadow, the hair, the paper: the table then reads them like a spot meter."}
        </p>
      )}
      {rows.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">from mid grey</th>
              <th scope="col">mix</th>
              <th scope="col">frame</th>
              <th scope="col">from 1</th>
              <th>
                <span className="unseen">Take out</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row, i) => (
              <tr key={row.patch.id}>
                <th scope="row">
                  <span className="patch-number">{i + 1}</span>
                  <input
                    aria-label={`Name of patch ${i + 1}`}
                    value={row.patch.name}
                    onChange={(event) => rename(row.patch.id, event.target.value)}
                  />
                </th>
                <td>
                  <b>{signed(row.mixStops)}</b>
                </td>
                <td>{signed(row.frameStops)}</td>
                <td>{i === 0 || first === null || row.mixStops === null ? "–" : signed(row.mixStops - first)}</td>
                <td>
                  <button
                    type="button"
                    className="patch-remove"
                    aria-label={`Take patch ${i + 1} out`}
                    onClick={() => remove(row.patch.id)}
                  >
                    ×
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {rows.length > 0 && <Whites rows={rows} {...grey} />}
    </section>
  );
}

/** Each light's colour, where a patch lies on a grey card. */
function Whites({
  rows,
  greyId,
  setGrey,
  whites,
  tags,
}: Pick<Props, "rows" | "greyId" | "setGrey" | "whites" | "tags">): ReactNode {
  return (
    <div className="patch-whites">
      <label>
        Grey card at{" "}
        <select value={greyId ?? ""} onChange={(event) => setGrey(event.target.value || null)}>
          <option value="">none of them</option>
          {rows.map(({ patch }, i) => (
            <option key={patch.id} value={patch.id}>
              {i + 1} {patch.name}
            </option>
          ))}
        </select>
      </label>
      <ul>
        {whites.map(({ lightId, white, why }) => (
          <li key={lightId}>
            <b>{tags[lightId]}</b>{" "}
            {white === null
              ? why
              : `${Math.round(white.kelvin / 10) * 10} K, ${signedWhole(white.miredOver)} mired against the balance, Duv ${white.duv.toFixed(4).replace("-", "−")}`}
          </li>
        ))}
      </ul>
    </div>
  );
}

const signedWhole = (value: number): string => `${value < 0 ? "−" : "+"}${Math.abs(Math.round(value))}`;

const signed = (value: number | null): string => (value === null ? "–" : printStops(stops(value)));
