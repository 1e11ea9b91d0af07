/** Heads: energy or power, what the catalogue says of their light, and the dial in the head's own notation. */

import type { ReactNode } from "react";
import type { Head } from "../../../setup/index.ts";
import { type DialScale, dialRange, printDial } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { DialStrip } from "./dial-strip.tsx";
import { NameCell, PlainNumber, type TableProps } from "./item-cells.tsx";

const SCALES: Readonly<Record<DialScale["kind"], { readonly name: string; readonly make: (head: Head) => DialScale }>> =
  {
    "below-full": { name: "stops below full", make: () => ({ kind: "below-full", lowestStops: -5, stepStops: 0.1 }) },
    fraction: { name: "fraction of full", make: () => ({ kind: "fraction", lowestStops: -7, stepStops: 1 / 3 }) },
    number: { name: "a numbered scale", make: () => ({ kind: "number", top: 10, lowestStops: -8, stepStops: 0.1 }) },
    "watt-seconds": {
      name: "watt-seconds",
      make: (head) => ({ kind: "watt-seconds", fullWs: head.energyWs ?? 400, lowestStops: -5, stepStops: 0.1 }),
    },
    percent: { name: "per cent", make: () => ({ kind: "percent", lowestPercent: 10, stepPercent: 1 }) },
  };

export function HeadTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<Head>): void =>
    change((k) => ({ ...k, heads: k.heads.map((h) => (h.id === id ? { ...h, ...part } : h)) }));
  const add = (): void =>
    change((k) => {
      const like = k.heads[0];
      if (like === undefined) return k;
      const head: Head = {
        ...like,
        id: newId(),
        name: "New head",
        dialTable: [],
        learnedStops: 0,
        learnedReadings: 0,
        count: 1,
      };
      return { ...k, heads: [...k.heads, head] };
    });
  return (
    <section aria-labelledby="kit-heads">
      <div className="pane-head">
        <h2 id="kit-heads">Heads</h2>
        <span className="quiet">each in its own dial; one step is never finer than the head allows</span>
        <div className="spring" />
        <button type="button" className="button" onClick={add}>
          Add a head
        </button>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">head</th>
              <th scope="col">how many</th>
              <th scope="col">energy or power</th>
              <th scope="col">dial</th>
              <th scope="col">scale</th>
              <th scope="col">mass</th>
              <th scope="col">learned from the meter</th>
              <th scope="col">
                <span className="unseen">remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {kit.heads.map((head) => (
              <tr key={head.id}>
                <th scope="row">
                  <NameCell label="head’s name" value={head.name} commit={(name) => set(head.id, { name })} />
                </th>
                <td>
                  <PlainNumber
                    label={`${head.name}, how many`}
                    value={head.count}
                    unit=""
                    least={0}
                    most={99}
                    commit={(count) => set(head.id, { count: Math.round(count) })}
                  />
                </td>
                <td>
                  {head.kind === "flash" ? (
                    <PlainNumber
                      label={`${head.name}, energy`}
                      value={head.energyWs}
                      unit="Ws"
                      least={1}
                      most={10000}
                      commit={(energyWs) => set(head.id, { energyWs })}
                    />
                  ) : (
                    <PlainNumber
                      label={`${head.name}, power`}
                      value={head.powerW}
                      unit="W"
                      least={1}
                      most={20000}
                      commit={(powerW) => set(head.id, { powerW })}
                    />
                  )}
                </td>
                <td>
                  <DialStrip scale={head.dial} />
                  <span className="unseen">
                    from {printDial(dialRange(head.dial).lowest, head.dial)} to{" "}
                    {printDial(dialRange(head.dial).full, head.dial)}
                  </span>
                </td>
                <td>
                  <label className="entry">
                    <span className="unseen">{head.name}, dial</span>
                    <select
                      value={head.dial.kind}
                      onChange={(event) =>
                        set(head.id, { dial: SCALES[event.target.value as DialScale["kind"]].make(head) })
                      }
                    >
                      {Object.entries(SCALES).map(([kind, scale]) => (
                        <option key={kind} value={kind}>
                          {scale.name}
                        </option>
                      ))}
                    </select>
                  </label>
                </td>
                <td>
                  <PlainNumber
                    label={`${head.name}, mass`}
                    value={head.massKg}
                    unit="kg"
                    least={0.05}
                    most={60}
                    commit={(massKg) => set(head.id, { massKg })}
                  />
                </td>
                <td className="quiet">{learnedWords(head)}</td>
                <td>
                  <button
                    type="button"
                    className="button bare"
                    aria-label={`Remove ${head.name}`}
                    onClick={() => change((k) => ({ ...k, heads: k.heads.filter((h) => h.id !== head.id) }))}
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

export function learnedWords(item: { readonly learnedStops: number; readonly learnedReadings: number }): string {
  if (item.learnedReadings === 0) return "none yet";
  const readings = `${item.learnedReadings} reading${item.learnedReadings === 1 ? "" : "s"}`;
  const sign = item.learnedStops < 0 ? "−" : "+";
  return `${sign}${Math.abs(item.learnedStops).toFixed(1)} from ${readings}`;
}
