/** The answer to a reading: the turn still to make, with the dial from and to; or what to do first. */

import type { ReactNode } from "react";
import type { Light } from "../../../setup/index.ts";
import type { LightReport } from "../../../solve/index.ts";
import { printDial, stops } from "../../../units/index.ts";
import { Arrow, Tick } from "../../parts/marks.tsx";
import { dialBefore } from "./meter-logic.ts";

export function TurnCard({ light, report }: { light: Light; report: LightReport }): ReactNode {
  const { turn } = report;
  if (turn === null) {
    return (
      <div className="turn-card calm">
        <b>dial {printDial(stops(dialBefore(light, report)), light.head.dial)}</b>
        <small>
          {light.triggerGroup === "" ? "fire it" : `fire ${light.triggerGroup}`}, then two taps: stop, tenth
        </small>
      </div>
    );
  }
  if (light.accepted) {
    return (
      <div className="turn-card calm" role="status">
        <b>accepted, {turn.words}</b>
        <small>kept, and written on the Sheet</small>
      </div>
    );
  }
  if (turn.state === "met") {
    return (
      <div className="turn-card calm" role="status">
        <b>
          <Tick size={22} /> met
        </b>
        <small>dial {turn.dialFrom}</small>
      </div>
    );
  }
  if (turn.state === "turn") {
    const up = turn.stops > 0;
    return (
      <div className="turn-card" role="status">
        <b>
          <Arrow up={up} /> turn {up ? "up" : "down"} {Math.abs(turn.stops).toFixed(1)}
        </b>
        <span className="dials">
          <q>dial</q> {turn.dialFrom} → {turn.dialTo}
        </span>
        <small>{turn.dumpPop ? "One dump pop, then read." : "Then read again."}</small>
      </div>
    );
  }
  const way = report.waysOut.find((w) => w.fits) ?? report.waysOut[0];
  return (
    <div className="turn-card" role="status">
      <b>{turn.words}</b>
      <small>
        dial {turn.dialTo}: as close as this head goes
        {way !== undefined && turn.state !== "as-close" && `. Or: ${way.label}`}
      </small>
    </div>
  );
}
