/** The ladder with a strip per light: what it is at the top, its rail in the middle, its figures in rows at the foot. */

import { type CSSProperties, type ReactNode, useSyncExternalStore } from "react";
import { ladder } from "../../../drawing/index.ts";
import type { Kit, Light, Setup } from "../../../setup/index.ts";
import type { LightReport, SetupReport } from "../../../solve/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { DrawingView } from "../../parts/drawing-view.tsx";
import { Reading } from "../../parts/reading.tsx";
import { AddLight } from "./add-light.tsx";
import { ExposureEntry } from "./exposure-entry.tsx";
import { AngleCell, DialCell, DistanceCell, HeightCell, TargetCell } from "./light-cells.tsx";
import { RatioRows } from "./ratio-rows.tsx";
import { StripChoose } from "./strip-choose.tsx";

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
  const size = useLadderSize(report.lights.length);
  const drawing = ladder(setup, report, { style: "desk", selected, width: size.width, height: size.height });
  const first = drawing.strips[0];
  const last = drawing.strips.at(-1);
  const grid: CSSProperties = {
    width: drawing.width,
    gridTemplateColumns: [
      `${first?.left ?? 80}px`,
      ...drawing.strips.map((strip) => `${strip.right - strip.left}px`),
      `${drawing.width - (last?.right ?? 80)}px`,
    ].join(" "),
  };
  const strips = report.lights.flatMap((one) => {
    const light = setup.lights.find((l) => l.id === one.lightId);
    return light === undefined ? [] : [{ light, one }];
  });
  const cells = (
    name: string,
    render: (light: Light, one: LightReport) => ReactNode,
    room: ReactNode = null,
  ): ReactNode => (
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
    <section className="pane ladder-pane" aria-label="Ladder" style={{ width: size.pane }} data-narrow={size.narrow}>
      <div className="pane-head">
        <h2>Ladder</h2>
        <ExposureEntry session={session} setup={setup} />
        <div className="spring" />
        <AddLight session={session} setup={setup} kit={kit} />
      </div>
      <div className="ladder-scroll">
        <div className="ladder-drawing" style={{ width: drawing.width, height: drawing.height }}>
          <DrawingView fit="unit" drawing={drawing} />
          {drawing.strips.map((strip) => {
            const light = setup.lights.find((l) => l.id === strip.lightId);
            return (
              light !== undefined && (
                <StripChoose
                  key={light.id}
                  {...edit}
                  light={light}
                  strip={strip}
                  drawing={drawing}
                  chosen={light.id === selected}
                  choose={() => select(light.id)}
                />
              )
            );
          })}
        </div>
        <div className="strip-table" role="table" aria-label="Lights">
          {cells("distance", (light) => (
            <DistanceCell {...edit} light={light} />
          ))}
          {cells("height", (light) => (
            <HeightCell {...edit} light={light} />
          ))}
          {cells("angle", (light) => (
            <AngleCell {...edit} light={light} />
          ))}
          {cells("dial", (light) => (
            <DialCell {...edit} light={light} />
          ))}
          {cells(
            "predicted",
            (light, one) => (
              <button type="button" className="why-link" onClick={() => openWhy(`light:${light.id}`)}>
                <span className="unseen">Why: {light.tag} predicted </span>
                <Reading av={one.predicted.av} />
              </button>
            ),
            <>
              <Reading av={report.room.av} /> <small>±{report.room.sigmaStops.toFixed(1)}</small>
            </>,
          )}
          {cells(
            "target",
            (light, one) => (
              <TargetCell {...edit} light={light} report={one} />
            ),
            <small>none</small>,
          )}
          {cells(
            "metered",
            (_light, one) => (one.reading === null ? <small>not yet</small> : <Reading av={one.readingAv} />),
            report.room.reading === null ? <small>not yet</small> : <Reading av={report.room.reading.av} />,
          )}
          {cells(
            "turn",
            (light, one) => (
              <TurnCell light={light} report={one} session={session} />
            ),
            report.room.underWorkingStops === null ? null : (
              <small>{report.room.underWorkingStops.toFixed(1)} under</small>
            ),
          )}
        </div>
        <RatioRows setup={setup} report={report} openWhy={openWhy} />
      </div>
    </section>
  );
}

interface LadderSize {
  readonly height: number;
  /** Of the drawing, and of the pane that may scroll it. */
  readonly width: number;
  readonly pane: number;
  /** The strips are narrower than the figures in them like. */
  readonly narrow: boolean;
}

/**
 * The ladder takes what the desk's height leaves over the rows of figures. Its width is its strips' own, at least
 * the head's; where the plan would be squeezed out, the strips grow narrow first, and then the pane scrolls.
 */
function useLadderSize(lights: number): LadderSize {
  const size = useSyncExternalStore(
    (listener) => {
      addEventListener("resize", listener);
      return () => removeEventListener("resize", listener);
    },
    () => `${innerWidth} ${innerHeight}`,
  );
  const [windowWidth = 1440, windowHeight = 900] = size.split(" ").map(Number);
  const height = Math.min(640, Math.max(390, windowHeight - 505));
  const tablet = windowWidth < DESK_PX;
  const most = tablet ? Math.round(Math.max(600, windowWidth * 0.62)) : windowWidth - BESIDE_PX;
  const wide = Math.max(HEAD_PX, REST_PX + lights * WIDE_STRIP_PX);
  const width = tablet || wide > most ? Math.max(most, REST_PX + lights * NARROW_STRIP_PX) : wide;
  return { height, width, pane: Math.min(width, most) + 2, narrow: width < wide };
}

/** Narrower windows than this are a tablet's (plan.css). */
const DESK_PX = 1340;
/** The plan at its narrowest, the details and the lines between. */
const BESIDE_PX = 624;
/** The head of the pane in one line. */
const HEAD_PX = 618;
/** Axis and room, beside the strips. */
const REST_PX = 208;
const WIDE_STRIP_PX = 137;
const NARROW_STRIP_PX = 102;

/** The turn from the reading; before a reading, the turn from the plan, made by a press. */
function TurnCell({ light, report, session }: { light: Light; report: LightReport; session: SetupSession }): ReactNode {
  const turn = report.turn ?? report.plan;
  if (light.accepted) return <span className="turn-word">accepted, {turn.words}</span>;
  if (turn.state === "met") return <span className="turn-word">met</span>;
  if (turn.state === "over" || turn.state === "short") return <span className="turn-out">{turn.words}</span>;
  if (report.turn === null) {
    if (turn.dialTo === turn.dialFrom) return <span className="turn-word">as planned</span>;
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
