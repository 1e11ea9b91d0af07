/** The figures of one light that are typed where they stand. Each is one atomic edit. */

import type { ReactNode } from "react";
import {
  asPolar,
  type Edit,
  type HairClass,
  type Light,
  type Place,
  type Setup,
  targetAv,
} from "../../../setup/index.ts";
import type { LightReport } from "../../../solve/index.ts";
import {
  degrees,
  parseAzimuth,
  parseDial,
  parseLength,
  parseUnder,
  printAzimuth,
  printDial,
  type Result,
  stops,
} from "../../../units/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { useLength } from "../../data/use-length.ts";
import { NumberEntry } from "../../parts/number-entry.tsx";
import { Reading } from "../../parts/reading.tsx";

interface CellProps {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly light: Light;
}

type Polar = Extract<Place, { kind: "polar" }>;

const polarPlace = (setup: Setup, light: Light): Polar => asPolar(light.place, setup) as Polar;

function useMove({ session, setup, light }: CellProps): (what: string, change: Partial<Polar>) => Result<unknown> {
  return (what, change) =>
    session.change(`${light.tag} ${what}`, [
      { kind: "light", id: light.id, set: { place: { ...polarPlace(setup, light), ...change } } } satisfies Edit,
    ]);
}

export function DistanceCell(props: CellProps): ReactNode {
  const length = useLength();
  const move = useMove(props);
  const { distanceM } = polarPlace(props.setup, props.light);
  return (
    <NumberEntry
      hideLabel
      label={`${props.light.tag} distance`}
      value={length(distanceM)}
      parse={(text) => parseLength(text, { where: `${props.light.tag} distance` })}
      commit={(m) => move("distance", { distanceM: m })}
      step={{ current: distanceM, by: 0.01 }}
    />
  );
}

export function HeightCell(props: CellProps): ReactNode {
  const length = useLength();
  const move = useMove(props);
  const { heightM } = polarPlace(props.setup, props.light);
  return (
    <NumberEntry
      hideLabel
      label={`${props.light.tag} height`}
      value={length(heightM)}
      parse={(text) => parseLength(text, { where: `${props.light.tag} height` })}
      commit={(m) => move("height", { heightM: m })}
      step={{ current: heightM, by: 0.01 }}
    />
  );
}

export function AngleCell(props: CellProps): ReactNode {
  const move = useMove(props);
  const { azimuthDeg } = polarPlace(props.setup, props.light);
  return (
    <NumberEntry
      hideLabel
      label={`${props.light.tag} angle`}
      value={printAzimuth(degrees(azimuthDeg))}
      parse={(text) => parseAzimuth(text, `${props.light.tag} angle`)}
      commit={(deg) => move("angle", { azimuthDeg: deg })}
      step={{ current: azimuthDeg, by: 1 }}
    />
  );
}

export function DialCell({ session, light }: CellProps): ReactNode {
  const scale = light.head.dial;
  const step = "stepStops" in scale ? scale.stepStops : 0.1;
  const set = (dialStops: number): Result<unknown> =>
    session.change(`${light.tag} dial`, [{ kind: "light", id: light.id, set: { dialStops } }]);
  return (
    <NumberEntry
      hideLabel
      label={`${light.tag} dial`}
      value={printDial(stops(light.dialStops), scale)}
      parse={(text) => parseDial(text, scale, { where: `${light.tag} dial` })}
      commit={set}
      step={{ current: light.dialStops, by: step }}
    />
  );
}

const HAIR: readonly HairClass[] = ["black", "dark", "mid", "fair", "grey"];

export function TargetCell({ session, setup, light, report }: CellProps & { report: LightReport }): ReactNode {
  if (light.target.kind === "hair") {
    return (
      <label className="target-cell">
        <Reading av={report.targetAv} />
        <span className="unseen">Sitter’s hair</span>
        <select
          value={setup.subject.hair}
          onChange={(event) =>
            session.change("sitter’s hair", [{ kind: "subject", set: { hair: event.target.value as HairClass } }])
          }
        >
          {HAIR.map((hair) => (
            <option key={hair} value={hair}>
              {hair} hair
            </option>
          ))}
        </select>
      </label>
    );
  }
  if (light.target.kind === "under") {
    const under = light.target.stops;
    return (
      <div className="target-cell">
        <Reading av={report.targetAv} />
        <NumberEntry
          hideLabel
          label={`${light.tag} target`}
          value={under >= 0 ? `${trim(under)} under` : `${trim(-under)} over`}
          parse={(text) => parseUnder(text, { where: `${light.tag} target` })}
          commit={(n) =>
            session.change(`${light.tag} target`, [
              { kind: "light", id: light.id, set: { target: { kind: "under", stops: n } } },
            ])
          }
          step={{ current: under, by: 0.1 }}
        />
      </div>
    );
  }
  return (
    <div className="target-cell">
      <Reading av={report.targetAv} />
      {light.role === "main" ? (
        <TrimChoice session={session} setup={setup} light={light} />
      ) : (
        <small>{report.targetWords}</small>
      )}
    </div>
  );
}

/**
 * The main alone at the working aperture, or trimmed so that main and fill together come to it: a fill n stops
 * under adds log2(1 + 2^−n).
 */
function TrimChoice({ session, setup, light }: CellProps): ReactNode {
  const fills = setup.lights.filter((l) => l.role === "fill" && l.on);
  const added = Math.log2(
    1 + fills.reduce((sum, fill) => sum + 2 ** (targetAv(setup, fill) - setup.exposure.apertureAv), 0),
  );
  if (fills.length === 0) return <small>working</small>;
  const tags = fills.map((l) => l.tag).join(" and ");
  return (
    <select
      aria-label={`${light.tag} target`}
      value="working"
      onChange={() =>
        session.change(`${light.tag} trimmed with ${tags}`, [
          { kind: "light", id: light.id, set: { target: { kind: "under", stops: Math.round(added * 10) / 10 } } },
        ])
      }
    >
      <option value="working">working</option>
      <option value="trimmed">
        {trim(added)} less: with {tags}
      </option>
    </select>
  );
}

const trim = (n: number): string => String(Math.round(n * 10) / 10);
