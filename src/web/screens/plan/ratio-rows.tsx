/** Both conventions of the ratio, each named, as metered and at target. */

import type { ReactNode } from "react";
import type { SetupReport } from "../../../solve/index.ts";

export function RatioRows({ report, openWhy }: { report: SetupReport; openWhy: (about: string) => void }): ReactNode {
  const { mostLitToShadow } = report.room;
  return (
    <div className="ratios">
      <table>
        <caption className="unseen">Ratios, each with its convention named</caption>
        <thead>
          <tr>
            <th scope="col">two conventions, each named</th>
            <th scope="col">predicted</th>
            <th scope="col">as metered</th>
            <th scope="col">at target</th>
          </tr>
        </thead>
        <tbody>
          {report.ratios.map((ratio) => (
            <tr key={ratio.name}>
              <th scope="row">{ratio.name}</th>
              <RatioCell stops={ratio.stops} words={ratio.words} />
              <RatioCell stops={ratio.meteredStops} words={ratio.meteredWords} />
              <RatioCell stops={ratio.atTargetStops} words={ratio.atTargetWords} />
            </tr>
          ))}
        </tbody>
      </table>
      <p className="quiet">
        The most lit to shadow this room gives with the fill at its target: <b>{mostLitToShadow.bare}</b> bare,{" "}
        <b>{mostLitToShadow.now}</b> with the panels.
      </p>
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

function RatioCell({ stops, words }: { stops: number | null; words: string | null }): ReactNode {
  if (stops === null || words === null) return <td className="quiet">–</td>;
  return (
    <td>
      {stops.toFixed(1)} stops <b>{words}</b>
    </td>
  );
}
