/**
 * Two taps are a reading: the stop, then the tenth (or third). Every key keeps its place. A stop tapped again
 * starts over; a tenth without a stop takes the stop tapped last.
 */

import { type ReactNode, useState } from "react";
import { setPreferences } from "../../data/preferences.ts";
import { usePreferences } from "../../data/use.ts";

const STOPS: readonly (readonly [av: number, mark: string])[] = [
  [0, "1.0"],
  [1, "1.4"],
  [2, "2"],
  [3, "2.8"],
  [4, "4"],
  [5, "5.6"],
  [6, "8"],
  [7, "11"],
  [8, "16"],
  [9, "22"],
  [10, "32"],
];

interface Props {
  readonly last: { readonly stop: number; readonly part: number } | null;
  /** Av as the meter shows it, and the text that was typed with it. */
  readonly enter: (av: number, typed: string) => void;
}

export function Keypad({ last, enter }: Props): ReactNode {
  const { step } = usePreferences();
  const [stop, setStop] = useState<number | null>(null);
  const shownStop = stop ?? last?.stop ?? null;
  const shownPart = stop === null ? (last?.part ?? null) : null;
  const give = (part: number): void => {
    if (shownStop === null) return;
    const mark = STOPS[shownStop]?.[1] ?? "";
    const whole = mark.includes(".") || mark.length > 1 ? mark : `${mark}.0`;
    enter(shownStop + part / (step === "tenth" ? 10 : 3), step === "tenth" ? `${whole}^${part}` : `${whole}+${part}/3`);
    setStop(null);
  };
  const stopKey = ([av, mark]: readonly [number, string]): ReactNode => (
    <button
      key={av}
      type="button"
      className="key stop-key"
      aria-label={`f ${mark}`}
      aria-pressed={shownStop === av}
      onClick={() => setStop(av)}
    >
      {mark}
    </button>
  );
  return (
    <div className="keypad">
      <div className="keys six">{STOPS.slice(0, 6).map(stopKey)}</div>
      <div className="keys six">
        {STOPS.slice(6).map(stopKey)}
        <button
          type="button"
          className="key switch-key"
          role="switch"
          aria-checked={step === "third"}
          aria-label="Readings in thirds"
          onClick={() => setPreferences({ step: step === "tenth" ? "third" : "tenth" })}
        >
          <span data-now={step === "tenth"}>tenths</span>
          <span data-now={step === "third"}>thirds</span>
        </button>
      </div>
      {step === "tenth" ? (
        [0, 5].map((first) => (
          <div key={first} className="keys five">
            {[0, 1, 2, 3, 4].map((n) => (
              <PartKey
                key={n}
                name={`${first + n} tenths`}
                text={`${first + n}`}
                on={shownPart === first + n}
                give={() => give(first + n)}
              />
            ))}
          </div>
        ))
      ) : (
        <div className="keys three">
          <PartKey name="0 thirds" text="0" on={shownPart === 0} give={() => give(0)} />
          <PartKey name="1/3 stop" text="1/3" on={shownPart === 1} give={() => give(1)} />
          <PartKey name="2/3 stop" text="2/3" on={shownPart === 2} give={() => give(2)} />
        </div>
      )}
    </div>
  );
}

function PartKey({ name, text, on, give }: { name: string; text: string; on: boolean; give: () => void }): ReactNode {
  return (
    <button type="button" className="key part-key" aria-label={name} aria-pressed={on} onClick={give}>
      {text}
    </button>
  );
}
