/** The meter's constants for each receptor, and whether disc and dome were ever compared on it. */

import type { ReactNode } from "react";
import type { Meter } from "../../../setup/index.ts";
import { NameCell, PlainNumber, type TableProps } from "./item-cells.tsx";

export function MeterTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<Meter>): void =>
    change((k) => ({ ...k, meters: k.meters.map((m) => (m.id === id ? { ...m, ...part } : m)) }));
  return (
    <section aria-labelledby="kit-meters">
      <div className="pane-head">
        <h2 id="kit-meters">Meter</h2>
        <span className="quiet">ISO 2720:1974 gives 240 to 400 for the disc, 320 to 540 for the dome</span>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">meter</th>
              <th scope="col">dome, C</th>
              <th scope="col">disc, C</th>
              <th scope="col">offset</th>
              <th scope="col">disc and dome compared</th>
            </tr>
          </thead>
          <tbody>
            {kit.meters.map((m) => (
              <tr key={m.id}>
                <th scope="row">
                  <NameCell label="meter’s name" value={m.name} commit={(name) => set(m.id, { name })} />
                </th>
                <td>
                  <PlainNumber
                    label={`${m.name}, C of the dome`}
                    value={m.domeC}
                    unit="lx·s"
                    least={200}
                    most={700}
                    commit={(domeC) => set(m.id, { domeC })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${m.name}, C of the disc`}
                    value={m.discC}
                    unit="lx·s"
                    least={150}
                    most={500}
                    commit={(discC) => set(m.id, { discC })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${m.name}, offset`}
                    value={m.offsetStops}
                    unit="stop"
                    least={-3}
                    most={3}
                    commit={(offsetStops) => set(m.id, { offsetStops })}
                  />
                </td>
                <td>
                  <label className="tick">
                    <input
                      type="checkbox"
                      checked={m.receptorsCompared}
                      onChange={(event) => set(m.id, { receptorsCompared: event.target.checked })}
                    />
                    <span className="unseen">{m.name}, receptors compared</span>{" "}
                    {m.receptorsCompared ? "yes" : "not yet"}
                  </label>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
