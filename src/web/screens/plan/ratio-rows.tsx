/** Both conventions of the ratio, each named, as predicted, as metered and at target; and what the room allows. */

import type { ReactNode } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";

interface Props {
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly openWhy: (about: string) => void;
}

export function RatioRows({ setup, report, openWhy }: Props): ReactNode {
  return (
    <div className="ratios">
      {report.ratios.length > 0 && (
        <table>
          <caption className="unseen">Ratios, each with its convention named</caption>
          <thead>
            <tr>
              <th scope="col">ratio, with its convention</th>
              <th scope="col">predicted</th>
              <th scope="col">as metered</th>
              <th scope="col">at target</th>
            </tr>
          </thead>
          <tbody>
            {report.ratios.map((ratio) => (
              <tr key={ratio.name}>
                <th scope="row">{ratio.name}</th>
                <RatioCell when="predicted" stops={ratio.stops} words={ratio.words} />
                <RatioCell when="as metered" stops={ratio.meteredStops} words={ratio.meteredWords} />
                <RatioCell when="at target" stops={ratio.atTargetStops} words={ratio.atTargetWords} />
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <MostLitToShadow setup={setup} report={report} />
      <p className="together-line">
        {report.together.map((one) => (
          <button key={one.id} type="button" className="why-link" onClick={() => openWhy(`together:${one.id}`)}>
            {one.name}
          </button>
        ))}
      </p>
    </div>
  );
}

/** Names the fill and the panels only where the setup has them. */
function MostLitToShadow({ setup, report }: Pick<Props, "setup" | "report">): ReactNode {
  const { bare, now } = report.room.mostLitToShadow;
  const withFill = setup.lights.some((light) => light.role === "fill" && light.on);
  return (
    <p className="quiet">
      The most lit to shadow this room gives{withFill && " with the fill at its target"}:{" "}
      {setup.panels.length === 0 ? (
        <b>{now}</b>
      ) : (
        <>
          <b>{bare}</b> bare, <b>{now}</b> with the panels
        </>
      )}
      .
    </p>
  );
}

interface CellProps {
  readonly when: string;
  readonly stops: number | null;
  readonly words: string | null;
}

/** `data-when` names the column where a phone sets the cells one below the other (plan.css). */
function RatioCell({ when, stops, words }: CellProps): ReactNode {
  const known = stops !== null && words !== null;
  return (
    <td data-when={when} className={known ? undefined : "quiet"}>
      {known ? (
        <>
          {stops.toFixed(1).replace("-", "−")} stops <b>{words}</b>
        </>
      ) : (
        "–"
      )}
    </td>
  );
}
