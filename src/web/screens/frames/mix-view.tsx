/** The mix under a wipe against the frame of all lights, and the map of their difference. */

import { type KeyboardEvent, type PointerEvent, type ReactNode, useEffect, useRef, useState } from "react";
import type { SumCheck } from "../../../frames/index.ts";
import { printStops, stops } from "../../../units/index.ts";
import { differenceLegend } from "./difference-map.ts";
import type { PatchRow, Shown } from "./messages.ts";

/** A point of the picture, parts 0…1 from the upper left. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

interface MixProps {
  /** What differs from the frames as shot. */
  readonly words: string;
  readonly mix: Shown | null;
  readonly together: Shown | null;
  /** The together frame's name; null without one. */
  readonly frameName: string | null;
  readonly rows: readonly PatchRow[];
  /** Size of the frames the patches count in. */
  readonly size: readonly [width: number, height: number];
  readonly placing: boolean;
  readonly place: (spot: Spot) => void;
}

export function MixView({ words, mix, together, frameName, rows, size, placing, place }: MixProps): ReactNode {
  const [wipe, setWipe] = useState(50);
  const [cross, setCross] = useState<Spot>({ x: 0.5, y: 0.5 });
  const [width, height] = size;
  const down = (event: PointerEvent<HTMLDivElement>): void => {
    const rect = event.currentTarget.getBoundingClientRect();
    const spot = { x: (event.clientX - rect.left) / rect.width, y: (event.clientY - rect.top) / rect.height };
    if (placing) place(spot);
    else if (together !== null) setWipe(Math.round(100 * Math.min(1, Math.max(0, spot.x))));
  };
  const key = (event: KeyboardEvent): void => {
    if (!placing) return;
    const by = event.shiftKey ? 0.05 : 0.01;
    const step = CROSS_KEYS[event.key];
    if (step !== undefined) {
      event.preventDefault();
      const held = (v: number): number => Math.min(1, Math.max(0, v));
      setCross({ x: held(cross.x + by * step[0]), y: held(cross.y + by * step[1]) });
    } else if (event.key === "Enter") place(cross);
  };
  return (
    <figure className="mix-view">
      <figcaption>
        <h2>Mix</h2> <span className="quiet">{words}</span>
      </figcaption>
      <div
        className="frame-canvas"
        data-placing={placing}
        style={{ aspectRatio: `${width} / ${height}` }}
        onPointerDown={down}
        onPointerMove={(event) => event.buttons === 1 && !placing && down(event)}
        onKeyDown={key}
        role="application"
        aria-label={placing ? "Place a patch: arrows move, Enter places" : "Mix and frame"}
        tabIndex={placing ? 0 : -1}
      >
        <Pixels shown={mix} label="Mix of the single frames" />
        {together !== null && (
          <>
            <Pixels shown={together} label={`Frame ${frameName ?? ""}`} clip={wipe} />
            <span className="picture-line" style={{ left: `${wipe}%` }} />
            <span className="frame-cap" style={{ left: 10 }}>
              mix
            </span>
            <span className="frame-cap" style={{ right: 10 }}>
              {frameName}
            </span>
          </>
        )}
        {rows.map(({ patch }, i) => (
          <span
            key={patch.id}
            className="frame-patch"
            style={{
              left: `${(100 * (patch.x + patch.width / 2)) / width}%`,
              top: `${(100 * (patch.y + patch.height / 2)) / height}%`,
            }}
          >
            {i + 1}
          </span>
        ))}
        {placing && <span className="frame-cross" style={{ left: `${100 * cross.x}%`, top: `${100 * cross.y}%` }} />}
      </div>
      {together !== null && (
        <input
          type="range"
          min="0"
          max="100"
          value={wipe}
          aria-label="Wipe between the mix and the frame"
          onChange={(event) => setWipe(Number(event.target.value))}
        />
      )}
    </figure>
  );
}

const CROSS_KEYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

interface DifferenceProps {
  readonly check: SumCheck | null;
  readonly map: Shown | null;
  /** The frame of all, shown dimmed and grey below the map so that places are known. */
  readonly under: Shown | null;
  readonly size: readonly [width: number, height: number];
  /** "M + F + E + H, as shot, against 0416" */
  readonly words: string;
  /** Why there is none yet. */
  readonly missing: string | null;
}

export function DifferenceView({ check, map, under, size, words, missing }: DifferenceProps): ReactNode {
  return (
    <figure className="difference-view">
      <figcaption>
        <h2>Difference</h2> <span className="quiet">{words}</span>
      </figcaption>
      <div className="frame-canvas" style={{ aspectRatio: `${size[0]} / ${size[1]}` }}>
        {map !== null && under !== null && <Pixels shown={under} label="" look="frame-under" />}
        <Pixels shown={map} look="difference-map" label={check === null ? "No difference map yet" : spoken(check)} />
        {missing !== null && <p className="frame-missing">{missing}</p>}
      </div>
      <div className="difference-legend" aria-hidden="true">
        <span>frame brighter</span>
        {differenceLegend().map(({ stops: at, colour }) => (
          <i key={at} style={{ background: `rgb(${colour.join()})` }} title={printStops(stops(at))} />
        ))}
        <span>sum brighter; 0.1 a step</span>
      </div>
      {check !== null && (
        <>
          <p className="difference-figure" role="status">
            <b>{verdictWords(check)}</b> {check.rmsStops.toFixed(2)} stop RMS, middle{" "}
            {printStops(stops(check.medianStops))}; {parts(check)}
          </p>
          <ul className="difference-causes">
            {check.causes.map((cause) => (
              <li key={cause.words}>{cause.words}</li>
            ))}
          </ul>
        </>
      )}
    </figure>
  );
}

function verdictWords({ verdict }: SumCheck): string {
  switch (verdict) {
    case "measured":
      return "Measured:";
    case "sketch":
      return "A sketch:";
    case "doubtful":
      return "Doubtful:";
    case "refused":
      return "They do not add up:";
  }
}

function parts({ counts }: SumCheck): string {
  const all = Math.max(1, counts.usable + counts.clipped + counts.dark + counts.outside);
  const share = (count: number): string =>
    `${((100 * count) / all).toFixed(count > 0 && count < all / 100 ? 1 : 0)}\u00a0%`;
  return `${share(counts.usable)} compared, ${share(counts.clipped)} clipped, ${share(counts.dark)} too dark`;
}

const spoken = (check: SumCheck): string =>
  `Difference map: ${verdictWords(check)} ${check.rmsStops.toFixed(2)} stop, ${parts(check)}`;

interface PixelsProps {
  readonly shown: Shown | null;
  /** Empty for what is only decoration. */
  readonly label: string;
  readonly clip?: number;
  readonly look?: string;
}

/** One picture on its canvas. `clip` leaves its left part, in per cent, to what lies below. */
function Pixels({ shown, label, clip, look }: PixelsProps): ReactNode {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const context = canvas.current?.getContext("2d");
    if (context && shown !== null) context.putImageData(new ImageData(shown.rgba, shown.width, shown.height), 0, 0);
  }, [shown]);
  return (
    <canvas
      ref={canvas}
      width={shown?.width ?? 1}
      height={shown?.height ?? 1}
      {...(label === "" ? { "aria-hidden": true } : { role: "img", "aria-label": label })}
      className={look}
      style={clip === undefined ? {} : { clipPath: `inset(0 0 0 ${clip}%)` }}
    />
  );
}
