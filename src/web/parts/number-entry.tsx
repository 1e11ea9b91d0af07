/**
 * A labelled field for one value with a notation: shows the printed value, takes what people type, says
 * what is wrong beside the field. Enter or leaving the field commits; Escape takes back. Arrow keys step.
 */

import { type KeyboardEvent, type ReactNode, useId, useLayoutEffect, useState } from "react";
import type { Fault, Result } from "../../units/index.ts";

interface Props {
  readonly label: string;
  readonly value: string;
  readonly parse: (text: string) => Result<number>;
  readonly commit: (value: number) => Result<unknown> | undefined;
  /** What one press of an arrow key adds, in the value's own unit; with Alt the fine step. */
  readonly step?: { readonly current: number; readonly by: number };
  readonly hideLabel?: boolean;
}

export function NumberEntry({ label, value, parse, commit, step, hideLabel = false }: Props): ReactNode {
  const id = useId();
  const [text, setText] = useState(value);
  const [wrong, setWrong] = useState<Fault | null>(null);
  // Before the paint: after Enter the earlier value must not flash up.
  useLayoutEffect(() => {
    setText(value);
    setWrong(null);
  }, [value]);

  const take = (): void => {
    if (text === value) {
      setWrong(null);
      return;
    }
    const parsed = parse(text);
    const done = parsed.ok ? commit(parsed.value) : parsed;
    const refused = done !== undefined && !done.ok;
    setWrong(refused ? (done.faults[0] ?? null) : null);
    if (!refused) setText(value);
  };
  const key = (event: KeyboardEvent): void => {
    if (event.key === "Enter") take();
    if (event.key === "Escape") {
      setText(value);
      setWrong(null);
    }
    if (step !== undefined && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
      event.preventDefault();
      commit(step.current + (event.key === "ArrowUp" ? step.by : -step.by));
    }
  };
  return (
    <div className="entry">
      <label htmlFor={id} className={hideLabel ? "unseen" : ""}>
        {label}
      </label>
      <input
        id={id}
        value={text}
        inputMode="text"
        autoComplete="off"
        aria-invalid={wrong !== null}
        aria-describedby={wrong === null ? undefined : `${id}-wrong`}
        onChange={(event) => setText(event.target.value)}
        onBlur={take}
        onKeyDown={key}
      />
      {wrong !== null && (
        <span id={`${id}-wrong`} className="wrong" role="alert">
          {wrong.what}. {wrong.mend}
        </span>
      )}
    </div>
  );
}
