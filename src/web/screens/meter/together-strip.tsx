/** What the other devices at this set do: who meters which light, readings that disagree, a main that has drifted. */

import { type ReactNode, useEffect, useState } from "react";
import type { Reading as MeterReading, Setup } from "../../../setup/index.ts";
import type { Fault } from "../../../units/index.ts";
import { useSession } from "../../data/network.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { usePresence } from "../../data/use.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { Reading } from "../../parts/reading.tsx";
import { type Disagreement, disagreements, keepOne, mainDrift, workingAv } from "./several.ts";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  /** The light that is metered here; null when it is none. */
  readonly lightId: string | null;
}

export function TogetherStrip({ session, setup, lightId }: Props): ReactNode {
  useEffect(() => {
    session.link.meter(lightId);
    return () => session.link.meter(null);
  }, [session, lightId]);
  const drift = mainDrift(setup);
  return (
    <div className="several">
      <Others session={session} setup={setup} />
      {disagreements(setup).map((one) => (
        <Decide key={one.light.id} session={session} setup={setup} between={one} />
      ))}
      {drift !== null && (
        <p role="status">
          {drift.main.tag} read again: <b>{Math.abs(drift.stops).toFixed(1)}</b> {drift.stops > 0 ? "over" : "short of"}{" "}
          what the others were metered against.
        </p>
      )}
    </div>
  );
}

function Others({ session, setup }: { session: SetupSession; setup: Setup }): ReactNode {
  const who = useSession();
  const me = who?.kind === "device" ? who.device.id : "here";
  const words = usePresence(session.link).flatMap(({ id, name, lightId }) => {
    const light = setup.lights.find((one) => one.id === lightId);
    return id === me || light === undefined ? [] : [`${name} meters ${light.tag}`];
  });
  return words.length === 0 ? null : (
    <p className="quiet" role="status">
      {words.join(", ")}
    </p>
  );
}

function Decide({
  session,
  setup,
  between,
}: {
  session: SetupSession;
  setup: Setup;
  between: Disagreement;
}): ReactNode {
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const { light, earlier, later } = between;
  const keep = (kept: MeterReading): void => {
    const edits = keepOne(setup, light, kept);
    const done = edits.ok ? session.change(`${light.tag} kept ${kept.typed}`, edits.value) : edits;
    setFaults(done.ok ? [] : done.faults);
  };
  const apart = Math.round((Date.parse(later.at) - Date.parse(earlier.at)) / 1000);
  return (
    <div className="decide" role="alert">
      <p>
        <b>Two readings of {light.tag} disagree</b>, {apart} s apart. Keep one, or read again.
      </p>
      <FaultBox faults={faults} />
      <div className="decide-two">
        {[earlier, later].map((kept) => (
          <button key={kept.id} type="button" className="button" onClick={() => keep(kept)}>
            <span className="quiet">{kept.device}</span> Keep <Reading av={workingAv(setup, kept)} />
          </button>
        ))}
      </div>
    </div>
  );
}
