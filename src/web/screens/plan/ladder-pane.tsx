/** The ladder with a strip per light: what it is at the top, its rail in the middle, its figures in rows at the foot. */

import type { CSSProperties, ReactNode } from "react";
import { deskColumns, ladderDrawing } from "../../../drawing/index.ts";
import type { Kit, Light, Setup } from "../../../setup/index.ts";
import type { LightReport, SetupReport } from "../../../solve/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { Reading } from "../../parts/reading.tsx";
import { Tag } from "../../parts/tag.tsx";
import { AddLight } from "./add-light.tsx";
import { ExposureEntry } from "./exposure-entry.tsx";
import { AngleCell, DialCell, DistanceCell, HeightCell, TargetCell } from "./light-cells.tsx";
import { RatioRows } from "./ratio-rows.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly selected: string | null;
  readonly select: (id: string) => void;
  readonly openWhy: (about: string) => void;
  readonly kit: Kit | null;
}

export function LadderPane(props: Props): ReactNode {
  const { session, setup, report, selected, select, openWhy, kit } = props;
  const columns = deskColumns(setup.lights.length);
  const grid: CSSProperties = {
    gridTemplateColumns: `${columns.axis}px repeat(${setup.lights.length}, ${columns.pitch}px) ${columns.room}px`,
  };
  const strips = report.lights.flatMap((one) => {
    const light = setup.lights.find((l) => l.id === one.lightId);
    return light === undefined ? [] : [{ light, one }];
  });
  const cells = (name: string, render: (light: Light, one: LightReport) => ReactNode, room: ReactNode = null): ReactNode => (
    <div className="strip-row" style={grid} role="row">
      <span className="strip-name" role="rowheader">
        {name}
      </span>
      {strips.map(({ light, one }) => (
        <div key={light.id} className="strip-cell" role="cell" data-selected={light.id === selected}>
          {render(light, one)}
        </div>
      ))}
      <div className="strip-cell" role="cell">
        {room}
      </div>
    </div>
  );
  const edit = { session, setup };
  return (
    <section className="pane ladder-pane" aria-label="Ladder">
      <div className="pane-head">
        <h2>Ladder</h2>
        <ExposureEntry session={session} setup={setup} />
        <div className="spring" />
        <AddLight session={session} setup={setup} kit={kit} />
      </div>
      <div className="ladder-scroll">
        <div className="strip-heads" style={grid}>
          <span />
          {strips.map(({ light }) => (
            <StripHead key={light.id} light={light} selected={light.id === selected} select={select} />
          ))}
          <RoomHead setup={setup} />
        </div>
        <div className="ladder-drawing" style={{ width: columns.width }}>
          <DrawingView
            fit="unit"
            drawing={ladderDrawing(setup, report, { size: "desk", ...(selected === null ? {} : { selected }) })}
            label={`Ladder of ${setup.title}`}
          />
        </div>
        <div className="strip-table" role="table" aria-label="Lights" style={{ width: columns.width }}>
          {cells("distance", (light) => <DistanceCell {...edit} light={light} />)}
          {cells("height", (light) => <HeightCell {...edit} light={light} />)}
          {cells("angle", (light) => <AngleCell {...edit} light={light} />)}
          {cells("dial", (light) => <DialCell {...edit} light={light} />)}
          {cells(
            "predicted",
            (light, one) => (
              <button type="button" className="why-link" onClick={() => openWhy(`light:${light.id}`)} aria-label={`Why: ${light.tag} predicted`}>
                <Reading av={one.predicted.av} />
              </button>
            ),
            <>
              <Reading av={report.room.av} /> <small>±{report.room.sigmaStops.toFixed(1)}</small>
            </>,
          )}
          {cells("target", (light, one) => <TargetCell {...edit} light={light} report={one} />, <small>none</small>)}
          {cells(
            "metered",
            (_light, one) => (one.reading === null ? <small>not yet</small> : <Reading av={one.readingAv} />),
            report.room.reading === null ? <small>not yet</small> : <Reading av={report.room.reading.av} />,
          )}
          {cells(
            "turn",
            (light, one) => <TurnCell light={light} report={one} session={session} />,
            report.room.underWorkingStops === null ? null : <small>{report.room.underWorkingStops.toFixed(1)} under</small>,
          )}
        </div>
        <RatioRows report={report} openWhy={openWhy} />
      </div>
    </section>
  );
}

function StripHead({ light, selected, select }: { light: Light; selected: boolean; select: (id: string) => void }): ReactNode {
  return (
    <button type="button" className="strip-head" aria-pressed={selected} onClick={() => select(light.id)}>
      <span className="strip-title">
        <Tag tag={light.tag} hue={light.hue} solid={light.on} size="large" /> {light.role}
      </span>
      <b>{light.modifier.name}</b>
      <span>
        {light.head.name}
        {light.unit !== null && `, no. ${light.unit}`}
      </span>
      <span>{light.on ? light.triggerGroup !== "" && <>fires on {light.triggerGroup}</> : "off"}</span>
    </button>
  );
}

function RoomHead({ setup }: { setup: Setup }): ReactNode {
  const black = setup.panels.filter((p) => p.reflectance < 0.1).length;
  return (
    <div className="strip-head room-head">
      <span className="strip-title">
        <Tag tag="R" hue={0} size="large" /> room
      </span>
      <b>{setup.room.name}</b>
      <span>{black === 0 ? "no black panel" : `${black} black panel${black > 1 ? "s" : ""}`}</span>
      <span>no lamp</span>
    </div>
  );
}

/** The turn from the reading; before a reading, the turn from the plan, made by a press. */
function TurnCell({ light, report, session }: { light: Light; report: LightReport; session: SetupSession }): ReactNode {
  const turn = report.turn ?? report.plan;
  if (light.accepted) return <span className="turn-word">accepted, {turn.words}</span>;
  if (turn.state === "met") return <span className="turn-word">{report.turn === null ? "as planned" : "met"}</span>;
  if (turn.state === "over" || turn.state === "short") return <span className="turn-out">{turn.words}</span>;
  if (turn.state === "turn" && report.turn === null) {
    const set = (): void => {
      session.change(`${light.tag} dial`, [{ kind: "light", id: light.id, set: { dialStops: turn.dialToStops } }]);
    };
    return (
      <button type="button" className="turn-button" onClick={set} title="Set the planned dial">
        {turn.words} <span className="quiet">to {turn.dialTo}</span>
      </button>
    );
  }
  return (
    <span className="turn-word">
      {turn.words} {turn.state === "turn" && <span className="quiet">to {turn.dialTo}</span>}
    </span>
  );
}
