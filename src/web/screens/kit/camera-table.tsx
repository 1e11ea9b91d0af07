/** Cameras with their lens: sensor, focal length, sync, and what a grey card said of body and lens against the meter. */

import type { ReactNode } from "react";
import type { Camera } from "../../../setup/index.ts";
import { NameCell, PlainNumber, type TableProps } from "./item-cells.tsx";

export function CameraTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<Camera>): void =>
    change((k) => ({ ...k, cameras: k.cameras.map((c) => (c.id === id ? { ...c, ...part } : c)) }));
  return (
    <section aria-labelledby="kit-cameras">
      <div className="pane-head">
        <h2 id="kit-cameras">Cameras</h2>
        <span className="quiet">
          one body with one lens a line; the meter offset comes from a grey card, in Plan under Camera
        </span>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">body and lens</th>
              <th scope="col">focal length</th>
              <th scope="col">sensor</th>
              <th scope="col">syncs to</th>
              <th scope="col">against the meter</th>
            </tr>
          </thead>
          <tbody>
            {kit.cameras.map((c) => (
              <tr key={c.id}>
                <th scope="row">
                  <NameCell label="camera’s name" value={c.name} commit={(name) => set(c.id, { name })} />
                </th>
                <td>
                  <PlainNumber
                    label={`${c.name}, focal length`}
                    value={c.focalLengthMm}
                    unit="mm"
                    least={8}
                    most={1200}
                    commit={(focalLengthMm) => set(c.id, { focalLengthMm })}
                  />
                </td>
                <td>
                  {c.sensorWidthMm} × {c.sensorHeightMm} mm
                </td>
                <td>
                  <PlainNumber
                    label={`${c.name}, sync, 1 part of a second`}
                    value={Math.round(1 / c.syncS)}
                    unit="⁻¹ s"
                    least={15}
                    most={4000}
                    commit={(parts) => set(c.id, { syncS: 1 / parts })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${c.name}, against the meter`}
                    value={c.meterOffsetStops ?? 0}
                    unit="stop"
                    least={-3}
                    most={3}
                    commit={(meterOffsetStops) => set(c.id, { meterOffsetStops })}
                  />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
