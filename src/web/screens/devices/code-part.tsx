/** One device at a time: what it may do, then the code as words and as QR, with its two minutes running down. */

import { type ReactNode, useEffect, useState } from "react";
import type { Fault } from "../../../units/index.ts";
import { type Code, makeCode, type NetworkState, type Permission, withdrawCode } from "../../data/network.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { PERMISSIONS } from "./permissions.ts";
import { QrCode } from "./qr-code.tsx";

export function CodePart({ state }: { state: NetworkState }): ReactNode {
  const [permission, setPermission] = useState<Permission>("meter");
  const [code, setCode] = useState<Code | null>(null);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const make = async (): Promise<void> => {
    const made = await makeCode(permission);
    setFaults(made.ok ? [] : made.faults);
    setCode(made.ok ? made.value : null);
  };
  // The server says when a code was used or withdrawn: what it no longer has is not shown.
  const open = code !== null && state.code?.words === code.words ? code : null;
  const left = useSecondsLeft(open?.until ?? null);
  return (
    <section className="pane devices-code" aria-labelledby="code-head">
      <header className="pane-head">
        <h2 id="code-head">Let one device in</h2>
      </header>
      <div className="devices-body">
        <PermissionChoice value={permission} choose={setPermission} label="What it may do" />
        <p className="quiet">{PERMISSIONS[permission].long}</p>
        <FaultBox faults={faults} />
        {open === null || left === 0 ? (
          <p>
            <button type="button" className="button strong" onClick={() => void make()}>
              Show a code
            </button>
          </p>
        ) : (
          <>
            <OpenCode code={open} left={left} />
            <div className="devices-row">
              <button type="button" className="button" onClick={() => void make()}>
                Another code
              </button>
              <button
                type="button"
                className="button bare"
                onClick={() => void withdrawCode().then(() => setCode(null))}
              >
                Take it back
              </button>
            </div>
          </>
        )}
      </div>
    </section>
  );
}

function OpenCode({ code, left }: { code: Code; left: number }): ReactNode {
  const [at, setAt] = useState(0);
  const link = code.links[Math.min(at, code.links.length - 1)];
  if (link === undefined) return null;
  const origin = new URL(link.url).origin;
  return (
    <div className="code-card">
      <QrCode rows={link.qr} label={`QR code of ${origin}/pair with the four words`} />
      <div className="code-words">
        <p className="quiet">Point the phone’s camera at the code, or open</p>
        <p className="code-address">{origin}/pair</p>
        <p className="quiet">and type</p>
        <p className="code-text">{code.words}</p>
        <p>
          For one device, still <b>{`${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`}</b>
        </p>
        {code.links.length > 1 && (
          <button type="button" className="button" onClick={() => setAt((at + 1) % code.links.length)}>
            {at === 0 ? "The name is not found? By address" : at + 1 < code.links.length ? "Next address" : "By name"}
          </button>
        )}
        {at > 0 && (
          <p className="quiet">
            Under an address the browser begins empty: its copies belong to the address they were made under.
          </p>
        )}
      </div>
    </div>
  );
}

export function PermissionChoice({
  value,
  choose,
  label,
}: {
  value: Permission;
  choose: (permission: Permission) => void;
  label: string;
}): ReactNode {
  return (
    <div className="choice" role="group" aria-label={label}>
      {(["look", "meter", "edit"] as const).map((one) => (
        <button key={one} type="button" aria-pressed={value === one} onClick={() => choose(one)}>
          {PERMISSIONS[one].short}
        </button>
      ))}
    </div>
  );
}

/** Whole seconds until then, counted down; 0 when it is over. */
function useSecondsLeft(until: string | null): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    if (until === null) return undefined;
    setNow(Date.now());
    const timer = setInterval(() => setNow(Date.now()), 500);
    return () => clearInterval(timer);
  }, [until]);
  return until === null ? 0 : Math.max(0, Math.ceil((Date.parse(until) - now) / 1000));
}
