/**
 * The picture itself: one canvas, a second over it under the wipe, the meter's spot. Through the camera the pointer
 * holds the meter (hover with a mouse, press with a finger, arrow keys); in the free view it walks the camera round
 * (drag turns, with Shift or two fingers it moves across, the wheel goes nearer; the same on arrow keys, + and −).
 */

import { type KeyboardEvent, type PointerEvent, type ReactNode, useEffect, useRef } from "react";
import { encodePixels, falseColourPixels, markPixels } from "../../../../picture/index.ts";
import { useSize } from "../../../parts/use-size.ts";

export interface Drawn {
  readonly linear: Float32Array;
  readonly stops: boolean;
  /** Stripes on what clips and what is crushed. */
  readonly marks: boolean;
}

/** A turn of the free view: degrees, shares of the picture's height, a factor of distance. */
export interface Walk {
  readonly turn?: readonly [byDeg: number, upDeg: number];
  readonly pan?: readonly [right: number, up: number];
  readonly dolly?: number;
}

interface Props {
  readonly width: number;
  readonly height: number;
  /** The size that is traced in the end: the probe counts in its pixels. */
  readonly shape: readonly [width: number, height: number];
  readonly dim: boolean;
  readonly main: Drawn | null;
  readonly over: Drawn | null;
  readonly wipe: number;
  readonly setWipe: (percent: number) => void;
  /** Null in the free view. */
  readonly spot: { readonly x: number; readonly y: number } | null;
  /** `pressed`: by finger or key, so that it is read out. */
  readonly probe: (x: number, y: number, pressed: boolean) => void;
  /** Null through the camera. */
  readonly walk: ((walk: Walk) => void) | null;
  /** Leaves the free view. */
  readonly back: () => void;
}

const TALLEST_PX = 560;
const TURN_DEG = 5;

export function PictureFrame(props: Props): ReactNode {
  const { width, height, shape, dim, main, over, wipe, spot, walk } = props;
  const [box, size] = useSize<HTMLDivElement>();
  const under = useRef<HTMLCanvasElement>(null);
  const upper = useRef<HTMLCanvasElement>(null);
  const frame = useRef<HTMLDivElement>(null);
  const pointers = useRef(new Map<number, readonly [number, number]>());
  useEffect(() => paint(under.current, main, width, height), [main, width, height]);
  useEffect(() => paint(upper.current, over, width, height), [over, width, height]);
  // A wheel that zooms must not scroll the page as well: React's own listener cannot say so.
  useEffect(() => {
    const node = frame.current;
    if (node === null || walk === null) return;
    const wheel = (event: WheelEvent): void => {
      event.preventDefault();
      walk({ dolly: 2 ** (event.deltaY / 400) });
    };
    node.addEventListener("wheel", wheel, { passive: false });
    return () => node.removeEventListener("wheel", wheel);
  }, [walk]);
  const down = (event: PointerEvent<HTMLDivElement>): void => {
    event.currentTarget.setPointerCapture(event.pointerId);
    pointers.current.set(event.pointerId, [event.clientX, event.clientY]);
    if (walk === null) probeAt(event, props, true);
  };
  const move = (event: PointerEvent<HTMLDivElement>): void => {
    if (walk === null) {
      if (event.pointerType === "mouse" || pointers.current.has(event.pointerId)) probeAt(event, props, false);
      return;
    }
    const step = walkOf(event, pointers.current);
    if (step !== null) walk(step);
  };
  const up = (event: PointerEvent<HTMLDivElement>): void => {
    pointers.current.delete(event.pointerId);
  };
  const keys = (event: KeyboardEvent<HTMLDivElement>): void => {
    const used = walk === null ? moveSpot(event, props) : walkKey(event, walk, props.back);
    if (used) event.preventDefault();
  };
  const shownHeight = size === null ? undefined : Math.min((size.width * shape[1]) / shape[0], TALLEST_PX);
  return (
    <div ref={box} className="picture-box">
      <div
        ref={frame}
        className="picture-frame"
        data-dim={dim}
        data-walk={walk !== null}
        role="application"
        aria-label={walk === null ? "Picture, with a meter" : "Set, walked round"}
        aria-roledescription={walk === null ? "picture with a meter" : "free view"}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: arrow keys move the meter or the view
        tabIndex={0}
        style={{
          aspectRatio: `${shape[0]} / ${shape[1]}`,
          ...(shownHeight === undefined ? {} : { height: shownHeight }),
        }}
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onKeyDown={keys}
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
            <WipeHandle wipe={wipe} setWipe={props.setWipe} />
          </>
        )}
        {spot !== null && walk === null && (
          <span
            className="picture-spot"
            style={{ left: `${((spot.x + 0.5) / shape[0]) * 100}%`, top: `${((spot.y + 0.5) / shape[1]) * 100}%` }}
          />
        )}
      </div>
    </div>
  );
}

/** The line of the wipe with a grip for the pointer; keys use the slider under the picture. */
function WipeHandle({ wipe, setWipe }: { wipe: number; setWipe: (percent: number) => void }): ReactNode {
  const drag = (event: PointerEvent<HTMLSpanElement>): void => {
    event.stopPropagation();
    if (event.type === "pointerdown") event.currentTarget.setPointerCapture(event.pointerId);
    if (!event.currentTarget.hasPointerCapture(event.pointerId)) return;
    const rect = event.currentTarget.parentElement?.getBoundingClientRect();
    if (rect === undefined) return;
    setWipe(Math.round(Math.min(100, Math.max(0, (100 * (event.clientX - rect.left)) / rect.width))));
  };
  return (
    <span
      className="picture-line"
      aria-hidden="true"
      style={{ left: `${wipe}%` }}
      onPointerDown={drag}
      onPointerMove={drag}
    >
      <i />
    </span>
  );
}

function probeAt(event: PointerEvent<HTMLDivElement>, { shape, probe }: Props, pressed: boolean): void {
  const rect = event.currentTarget.getBoundingClientRect();
  const x = Math.floor(((event.clientX - rect.left) / rect.width) * shape[0]);
  const y = Math.floor(((event.clientY - rect.top) / rect.height) * shape[1]);
  if (x >= 0 && y >= 0 && x < shape[0] && y < shape[1]) probe(x, y, pressed);
}

const ARROWS: Readonly<Record<string, readonly [right: number, up: number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** One pixel in a hundred per press, with Shift one. */
function moveSpot(event: KeyboardEvent, { shape, spot, probe }: Props): boolean {
  const arrow = ARROWS[event.key];
  if (arrow === undefined) return false;
  const step = event.shiftKey ? 1 : Math.max(1, Math.round(shape[1] / 100));
  const { x, y } = spot ?? { x: shape[0] >> 1, y: shape[1] >> 1 };
  const within = (value: number, count: number): number => Math.min(count - 1, Math.max(0, value));
  probe(within(x + step * arrow[0], shape[0]), within(y - step * arrow[1], shape[1]), true);
  return true;
}

function walkKey(event: KeyboardEvent, walk: (walk: Walk) => void, back: () => void): boolean {
  const arrow = ARROWS[event.key];
  if (arrow !== undefined) {
    if (event.shiftKey) walk({ pan: [0.05 * arrow[0], 0.05 * arrow[1]] });
    else walk({ turn: [TURN_DEG * arrow[0], TURN_DEG * arrow[1]] });
  } else if (event.key === "+" || event.key === "=") walk({ dolly: 1 / 1.1 });
  else if (event.key === "-" || event.key === "−") walk({ dolly: 1.1 });
  else if (event.key === "Escape") back();
  else return false;
  return true;
}

/** What the move of one of the pointers that are down asks for: one turns, with Shift or the right button it pans; two pan and pinch. */
function walkOf(event: PointerEvent<HTMLDivElement>, pointers: Map<number, readonly [number, number]>): Walk | null {
  const was = pointers.get(event.pointerId);
  if (was === undefined) return null;
  const now = [event.clientX, event.clientY] as const;
  pointers.set(event.pointerId, now);
  const tall = event.currentTarget.clientHeight || 1;
  const [dx, dy] = [now[0] - was[0], now[1] - was[1]];
  const other = [...pointers].find(([id]) => id !== event.pointerId)?.[1];
  if (other !== undefined) {
    const span = ([x, y]: readonly [number, number]): number => Math.max(8, Math.hypot(x - other[0], y - other[1]));
    return { pan: [-dx / (2 * tall), dy / (2 * tall)], dolly: span(was) / span(now) };
  }
  if (event.shiftKey || (event.buttons & 6) !== 0) return { pan: [-dx / tall, dy / tall] };
  // Half a picture's height is a quarter turn.
  return { turn: [(-180 * dx) / tall, (180 * dy) / tall] };
}

function paint(canvas: HTMLCanvasElement | null, drawn: Drawn | null, width: number, height: number): void {
  const context = canvas?.getContext("2d");
  if (!context || drawn === null || drawn.linear.length !== 3 * width * height) return;
  const pixels = drawn.stops ? falseColourPixels(drawn.linear, width) : encodePixels(drawn.linear);
  if (drawn.marks) markPixels(drawn.linear, width, pixels);
  context.putImageData(new ImageData(pixels as Uint8ClampedArray<ArrayBuffer>, width, height), 0, 0);
}
