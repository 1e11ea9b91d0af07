/** Modifiers: the front to scale, its size, layers, grid, and what the meter taught. */

import { type ReactNode, useRef, useState } from "react";
import type { Modifier } from "../../../setup/index.ts";
import type { Fault } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { learnedWords } from "./head-table.tsx";
import { LengthCell, NameCell, PlainNumber, type TableProps } from "./item-cells.tsx";

const SHAPES: readonly Modifier["shape"][] = ["rectangle", "octagon", "disc", "umbrella", "lobe", "bare", "measured"];

export function ModifierTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<Modifier>): void =>
    change((k) => ({ ...k, modifiers: k.modifiers.map((m) => (m.id === id ? { ...m, ...part } : m)) }));
  const add = (): void =>
    change((k) => {
      const like = k.modifiers.find((m) => m.shape === "rectangle") ?? k.modifiers[0];
      if (like === undefined) return k;
      return {
        ...k,
        modifiers: [
          ...k.modifiers,
          { ...like, id: newId(), name: "New modifier", learnedStops: 0, learnedReadings: 0, count: 1 },
        ],
      };
    });
  return (
    <section aria-labelledby="kit-modifiers">
      <div className="pane-head">
        <h2 id="kit-modifiers">Modifiers</h2>
        <span className="quiet">fronts drawn to one scale</span>
        <div className="spring" />
        <MeasuredFile change={change} />
        <button type="button" className="button" onClick={add}>
          Add a modifier
        </button>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">front</th>
              <th scope="col">modifier</th>
              <th scope="col">shape</th>
              <th scope="col">width</th>
              <th scope="col">height</th>
              <th scope="col">lets through</th>
              <th scope="col">grid</th>
              <th scope="col">how many</th>
              <th scope="col">learned from the meter</th>
              <th scope="col">
                <span className="unseen">remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {kit.modifiers.map((m) => (
              <tr key={m.id}>
                <td>
                  <FrontIcon modifier={m} />
                </td>
                <th scope="row">
                  <NameCell label="modifier’s name" value={m.name} commit={(name) => set(m.id, { name })} />
                </th>
                <td>
                  <label className="entry">
                    <span className="unseen">{m.name}, shape</span>
                    <select
                      value={m.shape}
                      onChange={(event) => set(m.id, { shape: event.target.value as Modifier["shape"] })}
                    >
                      {SHAPES.filter((shape) => shape !== "measured" || m.photometricFile !== null).map((shape) => (
                        <option key={shape} value={shape}>
                          {shape}
                        </option>
                      ))}
                    </select>
                  </label>
                </td>
                <td>
                  <LengthCell label={`${m.name}, width`} value={m.widthM} commit={(widthM) => set(m.id, { widthM })} />
                </td>
                <td>
                  <LengthCell
                    label={`${m.name}, height`}
                    value={m.heightM}
                    commit={(heightM) => set(m.id, { heightM })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${m.name}, lets through`}
                    value={Math.round(m.transmission * 100)}
                    unit="%"
                    least={1}
                    most={100}
                    commit={(percent) => set(m.id, { transmission: percent / 100 })}
                  />
                </td>
                <td>
                  <label className="tick">
                    <input
                      type="checkbox"
                      checked={m.grid !== null}
                      onChange={(event) =>
                        set(m.id, {
                          grid: event.target.checked ? { cellM: 0.026, depthM: 0.05, openFraction: 0.95 } : null,
                        })
                      }
                    />
                    <span className="unseen">{m.name},</span>{" "}
                    {m.grid === null ? "none" : `${cutOffDeg(m.grid).toFixed(1)}°`}
                  </label>
                </td>
                <td>
                  <PlainNumber
                    label={`${m.name}, how many`}
                    value={m.count}
                    unit=""
                    least={0}
                    most={99}
                    commit={(count) => set(m.id, { count: Math.round(count) })}
                  />
                </td>
                <td className="quiet">{learnedWords(m)}</td>
                <td>
                  <button
                    type="button"
                    className="button bare"
                    aria-label={`Remove ${m.name}`}
                    onClick={() => change((k) => ({ ...k, modifiers: k.modifiers.filter((x) => x.id !== m.id) }))}
                  >
                    Remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

/** "Add from a measured file": an .ies or .ldt file becomes a modifier; what is wrong with it is listed whole. */
function MeasuredFile({ change }: Pick<TableProps, "change">): ReactNode {
  const input = useRef<HTMLInputElement>(null);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const take = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    const { measuredModifier } = await import("./measured-modifier.ts");
    const made = measuredModifier(newId(), file.name, new Uint8Array(await file.arrayBuffer()));
    setFaults(made.ok ? [] : made.faults);
    if (made.ok) change((k) => ({ ...k, modifiers: [...k.modifiers, made.value] }));
    if (input.current !== null) input.current.value = "";
  };
  return (
    <>
      <FaultBox faults={faults} />
      <button type="button" className="button" onClick={() => input.current?.click()}>
        Add from a measured file
      </button>
      <input
        ref={input}
        type="file"
        accept=".ies,.ldt"
        hidden
        aria-label="Measured .ies or .ldt file"
        onChange={(event) => void take(event.target.files?.[0])}
      />
    </>
  );
}

/** Cut-off of a square cell, atan(w/t). */
const cutOffDeg = (grid: { readonly cellM: number; readonly depthM: number }): number =>
  (Math.atan2(grid.cellM, grid.depthM) * 180) / Math.PI;

function FrontIcon({ modifier: m }: { modifier: Modifier }): ReactNode {
  const k = 34;
  const w = Math.max(3, m.widthM * k);
  const h = Math.max(3, m.heightM * k);
  const c = 0.293;
  const outline =
    m.shape === "octagon"
      ? `M${-w / 2},${-h / 2 + h * c}L${-w / 2 + w * c},${-h / 2}H${w / 2 - w * c}L${w / 2},${-h / 2 + h * c}V${h / 2 - h * c}L${w / 2 - w * c},${h / 2}H${-w / 2 + w * c}L${-w / 2},${h / 2 - h * c}Z`
      : null;
  const style = { fill: "var(--row)", stroke: "var(--ink)", strokeWidth: 1.4 } as const;
  return (
    <svg width="60" height="56" viewBox="-30 -28 60 56" aria-hidden="true">
      {outline !== null ? (
        <path d={outline} {...style} />
      ) : m.shape === "rectangle" ? (
        <rect x={-w / 2} y={-h / 2} width={w} height={h} {...style} />
      ) : (
        <ellipse rx={w / 2} ry={h / 2} {...style} />
      )}
      {m.grid !== null && <path d={gridLines(w, h)} stroke="var(--edge)" strokeWidth="0.8" />}
    </svg>
  );
}

function gridLines(w: number, h: number): string {
  let d = "";
  for (let x = -w / 2 + 4; x < w / 2; x += 4) d += `M${x},${-h / 2}V${h / 2}`;
  for (let y = -h / 2 + 4; y < h / 2; y += 4) d += `M${-w / 2},${y}H${w / 2}`;
  return d;
}
