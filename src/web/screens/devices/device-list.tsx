/** The devices that were let in: renamed, given another permission, put out at once. */

import { type ReactNode, useState } from "react";
import type { Fault, Result } from "../../../units/index.ts";
import { changeDevice, type Device, putOutDevice } from "../../data/network.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { PermissionChoice } from "./code-part.tsx";

export function DeviceList({ devices, reload }: { devices: readonly Device[]; reload: () => void }): ReactNode {
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const after = async (work: Promise<Result<unknown>>): Promise<void> => {
    const done = await work;
    setFaults(done.ok ? [] : done.faults);
    reload();
  };
  return (
    <section className="pane devices-list" aria-labelledby="list-head">
      <header className="pane-head">
        <h2 id="list-head">Devices let in</h2>
        <span className="quiet">{devices.length === 0 ? "none" : devices.length}</span>
      </header>
      <div className="devices-body">
        <FaultBox faults={faults} />
        {devices.length === 0 && (
          <p className="quiet">A device stays let in until it is put out or away for a month.</p>
        )}
        <ul className="device-list">
          {devices.map((device) => (
            <Row key={device.id} device={device} after={(work) => void after(work)} />
          ))}
        </ul>
      </div>
    </section>
  );
}

function Row({ device, after }: { device: Device; after: (work: Promise<Result<unknown>>) => void }): ReactNode {
  const [name, setName] = useState(device.name);
  const rename = (): void => {
    if (name.trim() !== device.name) after(changeDevice(device.id, { name }));
  };
  return (
    <li>
      <label className="entry">
        <span className="unseen">Name of the device</span>
        <input
          value={name}
          maxLength={60}
          onChange={(event) => setName(event.target.value)}
          onBlur={rename}
          onKeyDown={(event) => {
            if (event.key === "Enter") rename();
            if (event.key === "Escape") setName(device.name);
          }}
        />
      </label>
      <PermissionChoice
        value={device.permission}
        choose={(permission) => after(changeDevice(device.id, { permission }))}
        label={`What ${device.name} may do`}
      />
      <span className="quiet device-seen">
        {device.plain ? "not encrypted, " : ""}last here {when(device.seenAt)}
      </span>
      <button
        type="button"
        className="button"
        aria-label={`Put out ${device.name}`}
        onClick={() => after(putOutDevice(device.id))}
      >
        Put out
      </button>
    </li>
  );
}

const when = (at: string): string =>
  new Date(at).toLocaleString([], {
    day: "numeric",
    month: "short",
    hour: "2-digit",
    minute: "2-digit",
    hour12: false,
  });
