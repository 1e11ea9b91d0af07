/**
 * The picture beside the plan: each light a layer of its own, on, off or alone; plain, in stops, or both under a
 * wipe; with and without a light; a probe that reads like a meter. Numbers never wait for it.
 */

import { type PointerEvent, type ReactNode, useEffect, useMemo, useRef, useState, useSyncExternalStore } from "react";
import { encodePixels, falseColourPixels, markPixels, mixLayers, stopsLegend } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import { gainsOf, setupReference } from "../../../../work/index.ts";
import { TickField } from "../../../parts/fields/fields.tsx";
import { Reading } from "../../../parts/reading.tsx";
import { Tag } from "../../../parts/tag.tsx";
import { useSize } from "../../../parts/use-size.ts";
import { PictureJob, type PictureState } from "./picture-job.ts";
import "./picture.css";

type View = "plain" | "stops" | "both";

/** Pixels traced along the longer side: few enough that the first pass is there at once on a processor. */
const LONG_SIDE_PX = 400;

export default function PicturePane({ setup }: { setup: Setup }): ReactNode {
  const [job] = useState(() => new PictureJob());
  useEffect(() => () => job.end(), [job]);
  const state = useSyncExternalStore(job.watch, job.state);
  const [view, setView] = useState<View>("plain");
  const [off, setOff] = useState<readonly string[]>([]);
  const [alone, setAlone] = useState<string | null>(null);
  const [without, setWithout] = useState<string>("stops");
  const [wipe, setWipe] = useState(52);
  const [marks, setMarks] = useState(false);
  const [width, height] = pictureSize(setup);
  useEffect(() => job.show(setup, width, height), [job, setup, width, height]);

  const gains = useMemo(() => gainsOf(setup), [setup]);
  const shownGains = useMemo(
    () =>
      gains.map((gain) => ({
        ...gain,
        on: gain.on && !off.includes(gain.lightId) && (alone === null || alone === gain.lightId),
      })),
    [gains, off, alone],
  );
  const mix = (withGains: typeof gains): Float32Array | null =>
    state.layers.length === 0
      ? null
      : mixLayers(state.layers, withGains, setupReference(setup), setup.camera.meterOffsetStops ?? 0);
  const linear = mix(shownGains);
  const other =
    view !== "both" || without === "stops"
      ? null
      : mix(shownGains.map((g) => (g.lightId === without ? { ...g, on: false } : g)));
  return (
    <section className="pane picture-pane" aria-label="Picture">
      <div className="pane-head">
        <h2>Picture</h2>
        <div className="spring" />
        <div className="choice" role="group" aria-label="Shown as">
          {(["plain", "stops", "both"] as const).map((one) => (
            <button key={one} type="button" aria-pressed={view === one} onClick={() => setView(one)}>
              {one === "plain" ? "Plain" : one === "stops" ? "Stops" : "Both"}
            </button>
          ))}
        </div>
      </div>
      <Frame
        width={state.layers[0]?.width ?? width}
        height={state.layers[0]?.height ?? height}
        shape={[width, height]}
        dim={state.stale}
        main={linear === null ? null : { linear, stops: view === "stops", marks: marks && view === "plain" }}
        over={
          view !== "both" || linear === null ? null : { linear: other ?? linear, stops: other === null, marks: false }
        }
        wipe={wipe}
        probe={(x, y) => job.probe(x, y)}
        at={state.probe}
      />
      {view === "both" && (
        <div className="picture-wipe">
          <input
            type="range"
            min="0"
            max="100"
            value={wipe}
            aria-label="Wipe"
            onChange={(event) => setWipe(Number(event.target.value))}
          />
          <select value={without} aria-label="Right of the wipe" onChange={(event) => setWithout(event.target.value)}>
            <option value="stops">in stops</option>
            {setup.lights.map((light) => (
              <option key={light.id} value={light.id}>
                without {light.tag}
              </option>
            ))}
          </select>
        </div>
      )}
      <p className="picture-state quiet" role="status">
        {progressWords(state)}
      </p>
      {view === "plain" ? (
        <TickField label="mark what clips and what is crushed" value={marks} commit={setMarks} />
      ) : (
        <Legend />
      )}
      <Switches setup={setup} off={off} alone={alone} setOff={setOff} setAlone={setAlone} />
      <Probe setup={setup} state={state} gains={shownGains} />
    </section>
  );
}

/** The camera's own shape, the longer side as many pixels as are traced. */
function pictureSize({ camera }: Setup): readonly [number, number] {
  const long = Math.max(camera.sensorWidthMm, camera.sensorHeightMm);
  const short = Math.min(camera.sensorWidthMm, camera.sensorHeightMm);
  const shortPx = Math.round((LONG_SIDE_PX * short) / long);
  return camera.upright ? [shortPx, LONG_SIDE_PX] : [LONG_SIDE_PX, shortPx];
}

function progressWords(state: PictureState): string {
  if (state.failed !== null) return `The picture stopped: ${state.failed}. The numbers go on without it.`;
  if (state.layers.length === 0) return "The first pass is on its way";
  const engine = state.engine === "processor" ? ", on the processor: smaller and slower than on a graphics card" : "";
  const noise = Number.isFinite(state.noiseStops) ? `, noise ${state.noiseStops.toFixed(2)} stop` : "";
  if (state.samples === 0) return `${state.stale ? "The last place; the" : "A"} first look${engine}`;
  return `${state.stale ? "Of the last place: " : ""}${state.samples} paths a pixel${noise}${engine}`;
}

interface Drawn {
  readonly linear: Float32Array;
  readonly stops: boolean;
  /** Stripes on what clips and what is crushed. */
  readonly marks: boolean;
}

interface FrameProps {
  readonly width: number;
  readonly height: number;
  /** The size that is traced in the end: the probe counts in its pixels. */
  readonly shape: readonly [width: number, height: number];
  readonly dim: boolean;
  readonly main: Drawn | null;
  readonly over: Drawn | null;
  readonly wipe: number;
  readonly probe: (x: number, y: number) => void;
  readonly at: PictureState["probe"];
}

function Frame({ width, height, shape, dim, main, over, wipe, probe, at }: FrameProps): ReactNode {
  const [box, size] = useSize<HTMLDivElement>();
  const under = useRef<HTMLCanvasElement>(null);
  const upper = useRef<HTMLCanvasElement>(null);
  useEffect(() => paint(under.current, main, width, height), [main, width, height]);
  useEffect(() => paint(upper.current, over, width, height), [over, width, height]);
  const read = (event: PointerEvent<HTMLDivElement>): void => {
    const rect = event.currentTarget.getBoundingClientRect();
    const x = Math.floor(((event.clientX - rect.left) / rect.width) * shape[0]);
    const y = Math.floor(((event.clientY - rect.top) / rect.height) * shape[1]);
    if (x >= 0 && y >= 0 && x < shape[0] && y < shape[1]) probe(x, y);
  };
  const shownHeight = size === null ? undefined : Math.min((size.width * shape[1]) / shape[0], 560);
  return (
    <div ref={box} className="picture-box">
      <div
        className="picture-frame"
        data-dim={dim}
        style={{
          aspectRatio: `${shape[0]} / ${shape[1]}`,
          ...(shownHeight === undefined ? {} : { height: shownHeight }),
        }}
        onPointerDown={read}
      >
        <canvas ref={under} width={width} height={height} role="img" aria-label="Predicted picture" />
        {over !== null && (
          <>
            <canvas
              ref={upper}
              width={width}
              height={height}
              style={{ clipPath: `inset(0 0 0 ${wipe}%)` }}
              role="img"
              aria-label="The other side of the wipe"
            />
            <span className="picture-line" style={{ left: `${wipe}%` }} />
          </>
        )}
        {at !== null && (
          <span
            className="picture-spot"
            style={{ left: `${((at.x + 0.5) / shape[0]) * 100}%`, top: `${((at.y + 0.5) / shape[1]) * 100}%` }}
          />
        )}
      </div>
    </div>
  );
}

function paint(canvas: HTMLCanvasElement | null, drawn: Drawn | null, width: number, height: number): void {
  const context = canvas?.getContext("2d");
  if (!context || drawn === null || drawn.linear.length !== 3 * width * height) return;
  const pixels = drawn.stops ? falseColourPixels(drawn.linear, width) : encodePixels(drawn.linear);
  if (drawn.marks) markPixels(drawn.linear, width, pixels);
  context.putImageData(new ImageData(pixels as Uint8ClampedArray<ArrayBuffer>, width, height), 0, 0);
}

function Legend(): ReactNode {
  return (
    <ul className="picture-legend" aria-label="Stops from a mid grey card">
      {stopsLegend().map((entry) => (
        <li key={entry.label}>
          <i style={{ background: `rgb(${entry.colour.join()})` }} />
          {entry.label}
        </li>
      ))}
    </ul>
  );
}

interface SwitchProps {
  readonly setup: Setup;
  readonly off: readonly string[];
  readonly alone: string | null;
  readonly setOff: (off: readonly string[]) => void;
  readonly setAlone: (alone: string | null) => void;
}

function Switches({ setup, off, alone, setOff, setAlone }: SwitchProps): ReactNode {
  return (
    <div className="picture-switches" role="group" aria-label="Lights in the picture">
      {setup.lights.map((light) => (
        <div key={light.id} className="picture-switch">
          <Tag tag={light.tag} hue={light.hue} solid={light.on} />
          <div className="choice">
            <button
              type="button"
              aria-pressed={!off.includes(light.id)}
              aria-label={`on, ${light.tag}`}
              onClick={() => setOff(off.includes(light.id) ? off.filter((id) => id !== light.id) : [...off, light.id])}
            >
              {off.includes(light.id) ? "off" : "on"}
            </button>
            <button
              type="button"
              aria-pressed={alone === light.id}
              aria-label={`alone, ${light.tag}`}
              onClick={() => setAlone(alone === light.id ? null : light.id)}
            >
              alone
            </button>
          </div>
        </div>
      ))}
      <button
        type="button"
        className="button"
        onClick={() => {
          setOff([]);
          setAlone(null);
        }}
      >
        all together
      </button>
    </div>
  );
}

/** What a dome to the camera reads at the spot, straight light; per light and together. */
function Probe({
  setup,
  state,
  gains,
}: {
  setup: Setup;
  state: PictureState;
  gains: ReturnType<typeof gainsOf>;
}): ReactNode {
  const { probe } = state;
  if (probe === null)
    return <p className="picture-probe quiet">Press in the picture: what a dome to the camera reads there.</p>;
  if (probe.factors === null) return <p className="picture-probe quiet">Nothing is seen there.</p>;
  const avOf = (lxS: number): number | null =>
    lxS > 1e-6 ? Math.log2((lxS * setup.exposure.iso) / setup.meter.domeC) : null;
  const parts = probe.factors.map(({ lightId, factor }) => {
    const gain = gains.find((g) => g.lightId === lightId);
    return { lightId, lxS: gain?.on ? factor * gain.output : 0 };
  });
  return (
    <div className="picture-probe" role="status">
      <p className="picture-total">
        <Reading av={avOf(parts.reduce((sum, part) => sum + part.lxS, 0))} />{" "}
        <small>dome to the camera, straight light</small>
      </p>
      {parts.map((part) => {
        const light = setup.lights.find((l) => l.id === part.lightId);
        return (
          light !== undefined && (
            <span key={light.id}>
              <Tag tag={light.tag} hue={light.hue} /> <Reading av={avOf(part.lxS)} />
            </span>
          )
        );
      })}
    </div>
  );
}
