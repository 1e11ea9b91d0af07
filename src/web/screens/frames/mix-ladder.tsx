/**
 * The ladder as a mixer: a bead where each light stood when its frame was shot, jaws where the mix puts it. The jaws
 * are dragged, or moved with the arrow keys, a tenth of a stop at a time; nothing is written to the setup.
 */

import { type KeyboardEvent, type PointerEvent, type ReactNode, useRef } from "react";
import { ev, printTurn, readingParts, stops as toStops } from "../../../units/index.ts";

/** One light of the mixer. */
export interface MixRail {
  readonly lightId: string;
  readonly tag: string;
  readonly hue: number;
  readonly role: string;
  /** What the light read, or is predicted to read, as its frame was shot; null for no light. */
  readonly shotAv: number | null;
  readonly isMetered: boolean;
  /** Stops against the frame. */
  readonly stops: number;
  readonly on: boolean;
}

interface Props {
  readonly apertureAv: number;
  readonly rails: readonly MixRail[];
  /** While dragging, and once more with `done` when the hand lets go. */
  readonly move: (lightId: string, stops: number) => void;
}

const RUNG = 60;
const LEFT = 58;
const RAIL = 84;
const HEAD = 46;
const FOOT = 52;
/** As far as a mix may take a light from its frame, stops. */
export const MOST_STOPS = 6;

export function MixLadder({ apertureAv, rails, move }: Props): ReactNode {
  const shown = rails.flatMap(({ shotAv, stops }) => (shotAv === null ? [] : [shotAv, shotAv + stops]));
  const topAv = Math.ceil(Math.max(apertureAv + 1, ...shown) + 0.3);
  const bottomAv = Math.max(Math.floor(Math.min(apertureAv - 4, ...shown) - 0.3), topAv - 11);
  const y = (av: number): number => HEAD + (topAv - av) * RUNG;
  const height = y(bottomAv) + FOOT;
  const width = LEFT + rails.length * RAIL + 8;
  const rungs = Array.from({ length: topAv - bottomAv + 1 }, (_, i) => topAv - i);
  const working = y(apertureAv);
  return (
    <div className="mix-ladder">
      <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
        <path d={`M${LEFT},${HEAD}V${y(bottomAv)}`} stroke="var(--edge)" />
        {rungs.map((av) => (
          <g key={av}>
            <path d={`M${LEFT},${y(av)}H${width}`} stroke="var(--line)" />
            {Math.abs(av - apertureAv) > 0.3 && (
              <text x={LEFT - 12} y={y(av) + 6} textAnchor="end" fontSize="16" fontWeight="560" fill="var(--ink)">
                {readingParts(ev(av)).mark}
              </text>
            )}
          </g>
        ))}
        <path d={`M${LEFT},${working}H${width}`} stroke="var(--ink)" strokeWidth="4" />
        <path
          d={`M2,${working - 15}H${LEFT - 8}L${LEFT + 2},${working}L${LEFT - 8},${working + 15}H2Z`}
          fill="var(--inv)"
        />
        <text x={LEFT - 12} y={working + 6} textAnchor="end" fontSize="16" fontWeight="760" fill="var(--oninv)">
          {readingParts(ev(apertureAv)).mark}
        </text>
        {rails.map((rail, i) => (
          <RailMarks key={rail.lightId} rail={rail} x={LEFT + RAIL * (i + 0.5)} y={y} bottom={y(bottomAv)} />
        ))}
      </svg>
      {rails.map(
        (rail, i) =>
          rail.shotAv !== null && (
            <Jaws
              key={rail.lightId}
              rail={rail}
              left={LEFT + RAIL * i}
              top={y(rail.shotAv + rail.stops)}
              move={(stops) => move(rail.lightId, stops)}
            />
          ),
      )}
    </div>
  );
}

interface MarksProps {
  readonly rail: MixRail;
  readonly x: number;
  readonly y: (av: number) => number;
  readonly bottom: number;
}

function RailMarks({ rail, x, y, bottom }: MarksProps): ReactNode {
  const { hue, tag, shotAv, stops, on } = rail;
  const head = (
    <>
      <text x={x} y={18} textAnchor="middle" fontSize="15" fontWeight="640" fill="var(--ink)">
        {rail.role}
      </text>
      <text x={x} y={35} textAnchor="middle" fontSize="12.5" fill="var(--ink2)">
        {on ? (stops === 0 ? "as shot" : printTurn(toStops(stops))) : "off"}
      </text>
      <path d={`M${x},${HEAD}V${bottom}`} stroke="var(--line)" strokeDasharray="2 5" />
    </>
  );
  if (shotAv === null) return <g>{head}</g>;
  const [bead, jaws] = [y(shotAv), y(shotAv + stops)];
  const arrow = Math.abs(stops) >= 0.25;
  const point = stops > 0 ? 6 : -6;
  return (
    <g opacity={on ? 1 : 0.4}>
      {head}
      <path
        d={beadPath(x, bead)}
        fill={rail.isMetered ? `var(--l${hue})` : "var(--panel)"}
        stroke={rail.isMetered ? "var(--key)" : `var(--l${hue})`}
        strokeWidth={rail.isMetered ? "var(--keyw)" : 2}
      />
      <text
        x={x}
        y={bead + 5}
        textAnchor="middle"
        fontSize="14.5"
        fontWeight="740"
        fill={rail.isMetered ? `var(--on${hue})` : "var(--ink)"}
      >
        {tag}
      </text>
      <path
        d={`M${x - 20},${jaws - 13}L${x - 30},${jaws}L${x - 20},${jaws + 13}M${x + 20},${jaws - 13}L${x + 30},${jaws}L${x + 20},${jaws + 13}`}
        fill="none"
        stroke={`var(--l${hue})`}
        strokeWidth="2.6"
        strokeLinecap="round"
        strokeLinejoin="round"
      />
      {arrow && (
        <path
          d={`M${x + 34},${bead}V${jaws}M${x + 29},${jaws + point}L${x + 34},${jaws}L${x + 39},${jaws + point}`}
          fill="none"
          stroke="var(--ink)"
          strokeWidth="2"
        />
      )}
    </g>
  );
}

const beadPath = (x: number, y: number): string =>
  `M${x - 23},${y}L${x - 10},${y - 11}H${x + 10}L${x + 23},${y}L${x + 10},${y + 11}H${x - 10}Z`;

interface JawsProps {
  readonly rail: MixRail;
  readonly left: number;
  readonly top: number;
  readonly move: (stops: number) => void;
}

/** What the hand takes: the whole width of the rail about the jaws. */
function Jaws({ rail, left, top, move }: JawsProps): ReactNode {
  const drag = useRef<{ readonly fromY: number; readonly fromStops: number } | null>(null);
  const set = (stops: number): void =>
    move(Math.round(Math.min(MOST_STOPS, Math.max(-MOST_STOPS, stops)) * 10) / 10 || 0);
  const down = (event: PointerEvent): void => {
    drag.current = { fromY: event.clientY, fromStops: rail.stops };
    event.currentTarget.setPointerCapture(event.pointerId);
  };
  const moved = (event: PointerEvent): void => {
    const held = drag.current;
    if (held !== null) set(held.fromStops + (held.fromY - event.clientY) / RUNG);
  };
  const key = (event: KeyboardEvent): void => {
    const by = KEYS[event.key];
    if (by === undefined) return;
    event.preventDefault();
    set(by === 0 ? 0 : rail.stops + by);
  };
  const end = (): void => {
    drag.current = null;
  };
  return (
    <div
      className="mix-jaws"
      role="slider"
      tabIndex={0}
      aria-label={`${rail.tag} ${rail.role} in the mix`}
      aria-orientation="vertical"
      aria-valuemin={-MOST_STOPS}
      aria-valuemax={MOST_STOPS}
      aria-valuenow={rail.stops}
      aria-valuetext={rail.stops === 0 ? "as shot" : `${printTurn(toStops(rail.stops))} against the frame`}
      style={{ left, top: top - 22, width: RAIL }}
      onPointerDown={down}
      onPointerMove={moved}
      onPointerUp={end}
      onPointerCancel={end}
      onKeyDown={key}
    />
  );
}

/** Stops that a key moves by; 0 is back to the frame. */
const KEYS: Readonly<Record<string, number>> = {
  ArrowUp: 0.1,
  ArrowRight: 0.1,
  ArrowDown: -0.1,
  ArrowLeft: -0.1,
  PageUp: 1,
  PageDown: -1,
  Home: 0,
};
