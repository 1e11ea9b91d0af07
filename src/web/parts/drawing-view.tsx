/**
 * A Drawing as live SVG: the same shapes that print, with the theme's custom properties for paint. Groups
 * that carry a `part` can be taken hold of; the page gives the handlers.
 */

import { memo, type PointerEvent, type ReactNode, type SVGProps } from "react";
import { type Drawing, type Paint, type PathShape, type Shape, setRun, type TextShape } from "../../drawing/index.ts";

interface Props {
  readonly drawing: Drawing;
  /** Fit the drawing's box into the element (default), or draw 1 unit = 1 px. */
  readonly fit?: "box" | "unit";
  readonly label?: string;
  readonly onPartDown?: (part: string, event: PointerEvent<SVGElement>) => void;
  readonly className?: string;
  /** Says which parts the pointer may take. */
  readonly takes?: (part: string) => boolean;
  readonly svg?: SVGProps<SVGSVGElement>;
}

export const DrawingView = memo(function DrawingView(props: Props): ReactNode {
  const { drawing, fit = "box" } = props;
  const size = fit === "unit" ? { width: drawing.width, height: drawing.height } : { width: "100%", height: "100%" };
  return (
    <svg
      viewBox={`0 0 ${drawing.width} ${drawing.height}`}
      {...size}
      role="img"
      aria-label={props.label ?? drawing.title}
      {...(props.className === undefined ? {} : { className: props.className })}
      {...props.svg}
    >
      {drawing.shapes.map((shape, index) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: a drawing is made anew; its shapes have no identity
        <ShapeView key={index} shape={shape} props={props} />
      ))}
    </svg>
  );
});

function ShapeView({ shape, props }: { shape: Shape; props: Props }): ReactNode {
  switch (shape.kind) {
    case "path":
      return <path {...pathAttributes(shape)} {...handle(shape.part, props)} />;
    case "text":
      return <TextView shape={shape} props={props} />;
    case "image":
      return (
        <image x={shape.x} y={shape.y} width={shape.width} height={shape.height} href={shape.source}>
          <title>{shape.label}</title>
        </image>
      );
    case "group":
      return (
        <g {...handle(shape.part, props)}>
          {shape.shapes.map((inner, index) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: see above
            <ShapeView key={index} shape={inner} props={props} />
          ))}
        </g>
      );
  }
}

function TextView({ shape, props }: { shape: TextShape; props: Props }): ReactNode {
  const turn = shape.rotateDeg ? { transform: `rotate(${shape.rotateDeg} ${shape.x} ${shape.y})` } : {};
  const halo =
    shape.halo === undefined
      ? {}
      : {
          paintOrder: "stroke",
          stroke: paint(shape.halo),
          strokeWidth: shape.size * 0.36,
          strokeLinejoin: "round" as const,
        };
  let risen = 0;
  return (
    <text
      x={shape.x}
      y={shape.y}
      fontSize={shape.size}
      fontWeight={shape.weight}
      textAnchor={shape.anchor}
      fill={paint(shape.fill)}
      xmlSpace="preserve"
      {...halo}
      {...turn}
      {...handle(shape.part, props)}
    >
      {shape.runs.map((run, index) => {
        const set = setRun(run, shape.size, shape.weight);
        const dy = risen - set.rise;
        risen = set.rise;
        return (
          <tspan
            // biome-ignore lint/suspicious/noArrayIndexKey: see above
            key={index}
            fontSize={set.size}
            fontWeight={set.weight}
            {...(set.gap === 0 ? {} : { dx: set.gap })}
            {...(dy === 0 ? {} : { dy })}
            {...(run.quiet ? { fill: "var(--ink2)" } : {})}
          >
            {run.text}
          </tspan>
        );
      })}
    </text>
  );
}

function handle(part: string | undefined, props: Props): SVGProps<SVGGElement & SVGPathElement & SVGTextElement> {
  if (part === undefined) return {};
  const takes = props.onPartDown !== undefined && (props.takes?.(part) ?? true);
  return {
    "data-part": part,
    ...(takes
      ? {
          onPointerDown: (event) => {
            event.stopPropagation();
            props.onPartDown?.(part, event);
          },
          style: { cursor: "grab", touchAction: "none" },
        }
      : {}),
  } as SVGProps<SVGGElement & SVGPathElement & SVGTextElement>;
}

function pathAttributes(shape: PathShape): SVGProps<SVGPathElement> {
  return {
    d: shape.steps
      .map(
        (step) =>
          step[0] +
          step
            .slice(1)
            .map((n) => round(n as number))
            .join(" "),
      )
      .join(""),
    fill: paint(shape.fill ?? "none"),
    ...(shape.fillOpacity === undefined ? {} : { fillOpacity: shape.fillOpacity }),
    ...(shape.stroke === undefined ? {} : { stroke: paint(shape.stroke), strokeWidth: shape.strokeWidth ?? 1 }),
    ...(shape.dash === undefined ? {} : { strokeDasharray: shape.dash.join(" ") }),
    ...(shape.join === undefined ? {} : { strokeLinejoin: shape.join }),
    ...(shape.cap === undefined ? {} : { strokeLinecap: shape.cap }),
  };
}

const round = (n: number): number => Math.round(n * 100) / 100;

const NAMES: Record<string, string> = { inverse: "inv", "on-inverse": "oninv" };

/** A paint's name as the theme's custom property. */
export function paint(name: Paint): string {
  if (name === "none") return "none";
  if (name === "black") return "#000";
  if (name === "white") return "#fff";
  if (name.startsWith("hue-")) return `var(--l${name.slice(4)})`;
  if (name.startsWith("on-") && name !== "on-inverse") return `var(--on${name.slice(3)})`;
  return `var(--${NAMES[name] ?? name})`;
}
