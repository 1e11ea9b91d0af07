/** One light alone: how to hold the meter, the reading, the turn still to make, the keys. */

import { type ReactNode, useState } from "react";
import { ladder } from "../../../drawing/index.ts";
import { type Light, pointOf, type Setup } from "../../../setup/index.ts";
import { type LightReport, meterHelp, type SetupReport } from "../../../solve/index.ts";
import { type Fault, iso, printDial, printIso, stops } from "../../../units/index.ts";
import { newId } from "../../data/new-id.ts";
import { preferences } from "../../data/preferences.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { FaultBox } from "../../parts/fault-box.tsx";
import { Reading } from "../../parts/reading.tsx";
import { HoldPicture } from "./hold-picture.tsx";
import { Keypad } from "./keypad.tsx";
import { dialBefore, offWords, placeWords, readingEdits } from "./meter-logic.ts";
import { TurnCard } from "./turn-card.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly light: Light;
  readonly lightReport: LightReport;
  /** The light that was met a moment ago, when this one was shown by itself. */
  readonly cameFrom: Light | null;
  readonly undo: string | null;
  readonly onUndo: () => void;
  readonly onReading: () => void;
  readonly onCall: () => void;
  readonly onWhy: () => void;
}

export function LightStep(props: Props): ReactNode {
  const { session, setup, report, light, lightReport, cameFrom } = props;
  const [meterIso, setMeterIso] = useState(setup.exposure.iso);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const help = meterHelp(setup, lightReport.targetAv);
  const point = pointOf(setup, light.meterAt.point);

  const enter = (av: number, typed: string): void => {
    const edits = readingEdits(setup, lightReport, {
      id: newId(),
      at: new Date().toISOString(),
      device: preferences().device,
      av,
      typed,
      iso: meterIso,
    });
    const done = edits.ok ? session.change(`${light.tag} read ${typed}`, edits.value) : edits;
    setFaults(done.ok ? [] : done.faults);
    if (done.ok) props.onReading();
  };
  const accept = (): void => {
    const done = session.change(`${light.tag} accepted`, [{ kind: "light", id: light.id, set: { accepted: true } }]);
    setFaults(done.ok ? [] : done.faults);
    if (done.ok) props.onReading();
  };
  const turn = lightReport.turn;
  const off = turn === null || turn.state === "met" ? null : residualWords(turn.residualStops, turn.stops, turn.state);
  return (
    <>
      <main className="meter-main">
        <div className="meter-rail">
          <DrawingView drawing={railOf(setup, report, light)} />
        </div>
        <div className="meter-say">
          <div className="meter-title">
            <h2>
              {light.tag} {light.role},<br />
              alone
            </h2>
            <HoldPicture setup={setup} light={light} />
          </div>
          <p className="how">
            {placeWords(light.meterAt, point.words, light.tag)}
            <br />
            {offWords(setup, light.id)} <b>{light.triggerGroup === "" ? "Fire it." : `Fire ${light.triggerGroup}.`}</b>
          </p>
          <p className="goal">
            target <Reading av={lightReport.targetAv} /> <span>within {lightReport.toleranceStops.toFixed(1)}</span>
          </p>
          <button type="button" className="big-reading" onClick={props.onWhy}>
            <span className="unseen">Why this number, </span>
            <Reading av={lightReport.readingAv} large />
          </button>
          {cameFrom !== null && lightReport.reading === null ? (
            <div className="turn-card calm" role="status">
              <b>{cameFrom.tag} met</b>
              <small>
                On to {light.tag}. Dial {printDial(stops(dialBefore(light, lightReport)), light.head.dial)}
                {light.triggerGroup !== "" && `, fire ${light.triggerGroup}`}.
              </small>
            </div>
          ) : (
            <TurnCard light={light} report={lightReport} />
          )}
        </div>
      </main>
      <section className="meter-keys" aria-label="The meter says">
        <FaultBox faults={faults} />
        <div className="key-words">
          {help !== null && meterIso === setup.exposure.iso ? (
            <>
              <span>{help.words}</span>
              <button type="button" className="button" onClick={() => setMeterIso(help.iso)}>
                Meter is at ISO {printIso(iso(help.iso))}
              </button>
            </>
          ) : meterIso !== setup.exposure.iso ? (
            <>
              <span>
                Meter at ISO {printIso(iso(meterIso))}: {isoWords(meterIso, setup.exposure.iso)}
              </span>
              <button type="button" className="button" onClick={() => setMeterIso(setup.exposure.iso)}>
                Back to ISO {printIso(iso(setup.exposure.iso))}
              </button>
            </>
          ) : (
            <span>
              {lightReport.reading === null
                ? "The meter says: stop, then tenth"
                : "Turned? Two taps are the next reading"}
            </span>
          )}
        </div>
        <Keypad last={lastTapped(lightReport)} enter={enter} />
        <div className="meter-foot">
          <button type="button" className="button" disabled={props.undo === null} onClick={props.onUndo}>
            Undo
          </button>
          <button type="button" className="button" disabled={off === null || light.accepted} onClick={accept}>
            {off === null ? "Accept" : `Accept ${off}`}
          </button>
          <button type="button" className="button" disabled={turn === null} onClick={props.onCall}>
            Call it out
          </button>
        </div>
      </section>
    </>
  );
}

/** The stops around the target on one tall rail. */
function railOf(setup: Setup, report: SetupReport, light: Light): ReturnType<typeof ladder> {
  const told = report.lights.find((l) => l.lightId === light.id);
  const target = told?.targetAv ?? setup.exposure.apertureAv;
  const at = told?.readingAv ?? told?.predicted.av ?? target;
  const middle = (target + Math.min(Math.max(at, target - 2.2), target + 2.2)) / 2;
  const span = Math.max(1.6, Math.abs(at - target) / 2 + 0.9);
  return ladder(setup, report, {
    style: "rail",
    only: light.id,
    width: 150,
    height: 460,
    topAv: middle + span,
    bottomAv: middle - span,
  });
}

/** "0.7 over" while the turn is not made, or what stays when the dial is at its end. */
function residualWords(residual: number, wanted: number, state: string): string {
  const over = state === "turn" ? -wanted : residual;
  return `${Math.abs(over).toFixed(1)} ${over > 0 ? "over" : "short"}`;
}

/** "2 stops are taken off what it says". */
function isoWords(meterIso: number, workingIso: number): string {
  const taken = Math.log2(meterIso / workingIso);
  // A log2 of exact speeds is whole but for the last bits.
  const count = String(Number(Math.abs(taken).toFixed(1)));
  const stops = count === "1" ? "1 stop is" : `${count} stops are`;
  return `${stops} ${taken > 0 ? "taken off" : "added to"} what it says`;
}

function lastTapped(report: LightReport): { stop: number; part: number } | null {
  if (report.reading === null) return null;
  const tenths = Math.floor(report.reading.av * 10 + 0.5 + 1e-9);
  return { stop: Math.floor(tenths / 10), part: tenths - 10 * Math.floor(tenths / 10) };
}
