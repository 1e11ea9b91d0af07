/** What to do at home, before the set, and what to do where there is no network or one that keeps guests apart. */

import { type ReactNode, useState } from "react";
import type { NetworkState } from "../../data/network.ts";

const STEPS = [
  "Computer and phone are on the same network at home, and letting in is switched on.",
  "The phone opened the address under /trust, took the certificate and compared its fingerprint with the one here.",
  "The phone’s settings trust the certificate: installed, and where there is a second switch, switched on.",
  "The phone opened the address by name without a warning, and was let in with a code.",
  "On the phone, the setup of the day was opened once, and the page added to the home screen.",
  "Flight mode on: the page still opens and shows the setup. Flight mode off again.",
] as const;

const KEY = "stopwise.home-list";

export function HomeList({ state }: { state: NetworkState }): ReactNode {
  const [done, setDone] = useState<readonly number[]>(read);
  const tick = (step: number): void => {
    const next = done.includes(step) ? done.filter((one) => one !== step) : [...done, step];
    setDone(next);
    write(next);
  };
  return (
    <section className="pane devices-home" aria-labelledby="home-head">
      <header className="pane-head">
        <h2 id="home-head">At home, before the set</h2>
        <span className="quiet">
          {done.length} of {STEPS.length}
        </span>
      </header>
      <div className="devices-body">
        <ul className="home-list">
          {STEPS.map((text, step) => (
            <li key={text}>
              <label>
                <input type="checkbox" checked={done.includes(step)} onChange={() => tick(step)} /> {text}
              </label>
            </li>
          ))}
        </ul>
        {state.fingerprint !== null && (
          <p>
            <span className="quiet">Fingerprint of the certificate (SHA-256)</span>
            <br />
            <code className="fingerprint">{state.fingerprint}</code>
          </p>
        )}
        <h3>If a phone does not trust it</h3>
        <p className="quiet">
          It warns at every start. Going on in spite of that is encrypted, but the phone cannot tell this computer from
          another, and keeps no page for places without a network.
        </p>
        <h3>No network, or one that keeps its guests apart</h3>
        <ol className="hotspot">
          <li>Switch on the hotspot of one phone; it needs no internet for this.</li>
          <li>Let the computer and the other devices join it.</li>
          <li>Look here again: the new address appears by itself. Devices stay let in.</li>
          <li>If the phone with the hotspot does not find the name, open the address on it.</li>
        </ol>
      </div>
    </section>
  );
}

/** Which steps are ticked, on this computer. */
function read(): readonly number[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? "[]");
    return Array.isArray(kept) ? kept.filter((one) => Number.isInteger(one) && one >= 0 && one < STEPS.length) : [];
  } catch {
    return [];
  }
}

function write(done: readonly number[]): void {
  try {
    localStorage.setItem(KEY, JSON.stringify(done));
  } catch {
    // A private window: the ticks last as long as the page.
  }
}
