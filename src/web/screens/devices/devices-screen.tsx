/**
 * Let a phone in: the switch, the code, the devices, and how a phone learns to trust this computer. For the computer
 * that keeps the book alone; a device on the network is told so.
 */

import { type ReactNode, useCallback, useEffect, useState } from "react";
import type { Fault } from "../../../units/index.ts";
import { Bar } from "../../app/bar.tsx";
import {
  type Device,
  listDevices,
  type NetworkState,
  networkState,
  switchNetwork,
  useSession,
} from "../../data/network.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { CodePart } from "./code-part.tsx";
import { DeviceList } from "./device-list.tsx";
import { HomeList } from "./home-list.tsx";
import "./devices.css";

const LOOK_EVERY_MS = 2000;

export default function DevicesScreen(): ReactNode {
  const session = useSession();
  if (session !== null && session.kind !== "here") {
    return (
      <>
        <Bar at="devices" />
        <main className="failed">
          <h1>Only at the computer</h1>
          <p>Devices are let in and put out at the computer that keeps the book.</p>
        </main>
      </>
    );
  }
  return <Here />;
}

function Here(): ReactNode {
  const [state, setState] = useState<NetworkState | null>(null);
  const [devices, setDevices] = useState<readonly Device[]>([]);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const [busy, setBusy] = useState(false);
  const load = useCallback(async (): Promise<void> => {
    const [network, list] = await Promise.all([networkState(), listDevices()]);
    if (network.ok) setState(network.value);
    if (list.ok) setDevices(list.value.devices);
    if (!network.ok) setFaults(network.faults);
  }, []);
  useEffect(() => {
    void load();
    const timer = setInterval(() => void load(), LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, [load]);
  const turn = async (on: "secure" | "plain" | null): Promise<void> => {
    setBusy(true);
    const switched = await switchNetwork(on);
    setBusy(false);
    setFaults(switched.ok ? [] : switched.faults);
    if (switched.ok) setState(switched.value);
  };
  return (
    <>
      <Bar at="devices" />
      <main className="devices">
        <div className="devices-column">
          <section className="pane devices-switch" aria-labelledby="switch-head">
            <header className="pane-head">
              <h1 id="switch-head">Let a phone in</h1>
            </header>
            <div className="devices-body">
              <FaultBox faults={[...faults, ...(state?.faults ?? [])]} />
              {state !== null && <Switch state={state} busy={busy} turn={(on) => void turn(on)} />}
            </div>
          </section>
          <DeviceList devices={devices} reload={() => void load()} />
        </div>
        <div className="devices-column">
          {state !== null && state.on !== null && <CodePart state={state} />}
          {state !== null && <HomeList state={state} />}
        </div>
      </main>
    </>
  );
}

interface SwitchProps {
  readonly state: NetworkState;
  readonly busy: boolean;
  readonly turn: (on: "secure" | "plain" | null) => void;
}

function Switch({ state, busy, turn }: SwitchProps): ReactNode {
  const [plainAsked, setPlainAsked] = useState(false);
  return (
    <>
      <div className="choice" role="group" aria-label="Let phones in over the local network">
        <button type="button" disabled={busy} aria-pressed={state.on === null} onClick={() => turn(null)}>
          Off
        </button>
        <button type="button" disabled={busy} aria-pressed={state.on === "secure"} onClick={() => turn("secure")}>
          On
        </button>
        {state.on === "plain" && (
          <button type="button" disabled={busy} aria-pressed={true} onClick={() => turn("plain")}>
            On, not encrypted
          </button>
        )}
      </div>
      {state.on === null ? (
        <p className="quiet">
          Off: nothing but this computer reaches the book. On: devices on the same network that you let in, one by one.
        </p>
      ) : (
        <ul className="origins">
          {state.origins.map((origin) => (
            <li key={origin}>{origin}</li>
          ))}
        </ul>
      )}
      {state.on === "plain" && (
        <p>
          <b>Not encrypted.</b> Whoever is on the same network can read what devices see and take their place. Pages do
          not open without the network.
        </p>
      )}
      {state.on !== "plain" && !plainAsked && (
        <p>
          <button type="button" className="button bare" onClick={() => setPlainAsked(true)}>
            A phone that cannot trust the certificate
          </button>
        </p>
      )}
      {state.on !== "plain" && plainAsked && (
        <div className="fault-box">
          <p>
            <b>Without encryption</b> anybody on the same network can read along and take a device’s place. Devices must
            be let in anew, and their pages do not open without the network. Use it on a hotspot of your own.
          </p>
          <p className="devices-row">
            <button type="button" className="button" disabled={busy} onClick={() => turn("plain")}>
              Serve without encryption
            </button>
            <button type="button" className="button strong" onClick={() => setPlainAsked(false)}>
              Leave it
            </button>
          </p>
        </div>
      )}
    </>
  );
}
