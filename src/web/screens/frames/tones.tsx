/** The tones of the mix and of each light in it: how much of the picture lies at which stop from the mid grey card. */

import type { ReactNode } from "react";
import { useSize } from "../../parts/use-size.ts";
import { FIRST_TONE, TONE_STEP, type Tones } from "./messages.ts";

interface Props {
  readonly tones: Tones | null;
  readonly hues: ReadonlyMap<string, { readonly hue: number; readonly tag: string }>;
}

const HEIGHT = 196;
const FOOT = 24;
const LAST_TONE = 3;
/** White clips here: log2(1/0.18). */
const CLIPS = 2.474;

export function TonesView({ tones, hues }: Props): ReactNode {
  const [box, size] = useSize<HTMLDivElement>();
  const width = size?.width ?? 452;
  const x = (stops: number): number => 16 + ((stops - FIRST_TONE) / (LAST_TONE - FIRST_TONE)) * (width - 24);
  const most = tones === null ? 1 : Math.max(1e-9, ...tones.mix);
  const line = (counts: Float32Array, part: number): string =>
    Array.from(counts, (count, i) => {
      const up = Math.min(1, Math.sqrt(count / most)) * part * (HEIGHT - FOOT - 20);
      return `${i === 0 ? "M" : "L"}${x(FIRST_TONE + (i + 0.5) * TONE_STEP).toFixed(1)},${(HEIGHT - FOOT - up).toFixed(1)}`;
    }).join("");
  return (
    <div ref={box} className="tones">
      <svg width={width} height={HEIGHT} viewBox={`0 0 ${width} ${HEIGHT}`} role="img" aria-label={spoken(tones)}>
        {Array.from({ length: LAST_TONE - FIRST_TONE + 1 }, (_, i) => FIRST_TONE + i).map((stop) => (
          <g key={stop}>
            <path
              d={`M${x(stop)},8V${HEIGHT - FOOT}`}
              stroke={stop === 0 ? "var(--ink2)" : "var(--line)"}
              strokeWidth={stop === 0 ? 1.5 : 1}
            />
            <text x={x(stop)} y={HEIGHT - 7} textAnchor="middle" fontSize="12.5" fill="var(--ink2)">
              {stop === 0 ? "grey" : stop > 0 ? `+${stop}` : `−${-stop}`}
            </text>
          </g>
        ))}
        {tones !== null && (
          <>
            <path
              d={`${line(tones.mix, 1)}L${x(LAST_TONE)},${HEIGHT - FOOT}L${x(FIRST_TONE)},${HEIGHT - FOOT}Z`}
              fill="var(--ink)"
              fillOpacity="0.16"
              stroke="var(--ink)"
              strokeWidth="1.6"
            />
            {tones.lights.map(({ lightId, counts }) => {
              const look = hues.get(lightId) ?? { hue: 0, tag: "R" };
              const top = counts.indexOf(Math.max(...counts));
              const up = Math.min(1, Math.sqrt((counts[top] ?? 0) / most)) * 0.7 * (HEIGHT - FOOT - 20);
              return (
                <g key={lightId}>
                  <path d={line(counts, 0.7)} fill="none" stroke={`var(--l${look.hue})`} strokeWidth="1.7" />
                  <text
                    x={x(FIRST_TONE + (top + 0.5) * TONE_STEP)}
                    y={HEIGHT - FOOT - up - 4}
                    textAnchor="middle"
                    fontSize="12.5"
                    fontWeight="740"
                    fill="var(--ink)"
                  >
                    {look.tag}
                  </text>
                </g>
              );
            })}
          </>
        )}
        <path d={`M${x(CLIPS)},8V${HEIGHT - FOOT}`} stroke="var(--ink)" strokeWidth="2" strokeDasharray="2 3" />
        <text x={x(CLIPS) - 5} y={20} textAnchor="end" fontSize="12.5" fill="var(--ink)">
          clips
        </text>
      </svg>
    </div>
  );
}

/** The middle half of the mix, for those who listen. */
function spoken(tones: Tones | null): string {
  if (tones === null) return "Tones in the mix: not known yet";
  const total = tones.mix.reduce((sum, n) => sum + n, 0);
  const at = (part: number): string => {
    let sum = 0;
    const i = tones.mix.findIndex((n) => {
      sum += n;
      return sum >= part * total;
    });
    return (FIRST_TONE + (i + 0.5) * TONE_STEP).toFixed(1).replace("-", "minus ");
  };
  return `Tones in the mix: half of the picture lies between ${at(0.25)} and ${at(0.75)} stops from mid grey`;
}
