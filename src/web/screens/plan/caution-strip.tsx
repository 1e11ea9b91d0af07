/** The cautions: the heaviest in one line, the rest a press away; each mend that hands need not do is a button. */

import { type ReactNode, useEffect, useRef, useState } from "react";
import type { Caution, Mend } from "../../../care/index.ts";
import type { Kit } from "../../../setup/index.ts";
import type { Fault } from "../../../units/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { CautionMark } from "../../parts/marks.tsx";

const IN_LINE = 2;

export function CautionStrip({ session, kit }: { session: SetupSession; kit: Kit | null }): ReactNode {
  const [open, setOpen] = useState(false);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  // The two buttons that open and close are never there at once: the focus goes from one to the other.
  const toggle = useRef<HTMLButtonElement>(null);
  const toggled = useRef(false);
  const show = (wanted: boolean): void => {
    toggled.current = true;
    setOpen(wanted);
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: runs when it opened or closed
  useEffect(() => {
    if (toggled.current) toggle.current?.focus();
  }, [open]);
  const known = session.cautions(kit);
  const cautions = known ?? [];
  const mend = (one: Mend): void => {
    const done = session.change(`mend: ${one.label}`, one.edits);
    setFaults(done.ok ? [] : done.faults);
    // The pressed button goes away with its caution: the focus stays in the strip.
    toggle.current?.focus();
  };
  const urgent = cautions.filter((c) => c.level === "stop" || c.level === "care");
  return (
    <section className="caution-strip" aria-label="Cautions" data-open={open}>
      <FaultBox faults={faults} />
      {open && (
        <div className="caution-all">
          <div className="pane-head">
            <h2>Cautions</h2>
            <span className="quiet">heaviest first; each with what mends it here</span>
            <div className="spring" />
            <button ref={toggle} type="button" className="button" onClick={() => show(false)}>
              Close
            </button>
          </div>
          <ul>
            {cautions.map((caution) => (
              <CautionItem key={caution.id} caution={caution} mend={mend} />
            ))}
          </ul>
          <p className="quiet caution-foot">
            Stopwise warns; it never certifies. Follow local code and the makers’ instructions; have rigging and
            electrical work checked by a competent person.
          </p>
        </div>
      )}
      {!open && (
        <div className="caution-line">
          {urgent.slice(0, IN_LINE).map((caution) => (
            <div key={caution.id} className="caution-brief">
              <CautionMark level={caution.level} />
              <span className="caution-what">{caution.what}</span>
              {caution.mends.slice(0, 1).map((one) => (
                <MendButton key={one.label} one={one} mend={mend} />
              ))}
            </div>
          ))}
          {known === null && <span className="caution-brief quiet">Checking</span>}
          {known !== null && urgent.length === 0 && (
            <div className="caution-brief">
              <CautionMark level="done" />
              <span className="caution-what">Checked: nothing to mend</span>
            </div>
          )}
          <div className="spring" />
          <button
            ref={toggle}
            type="button"
            className="button bare caution-more"
            aria-expanded={open}
            onClick={() => show(true)}
          >
            {cautions.length > IN_LINE ? `${cautions.length} cautions` : "All cautions"}
          </button>
        </div>
      )}
    </section>
  );
}

interface ItemProps {
  readonly caution: Caution;
  readonly mend: (one: Mend) => void;
}

function CautionItem({ caution, mend }: ItemProps): ReactNode {
  return (
    <li className="caution-item">
      <CautionMark level={caution.level} />
      <div>
        <p>
          <b>{caution.what}</b>
        </p>
        <p className="quiet">
          {caution.why} {caution.defer}
        </p>
        {caution.mends.map((one) => (
          <MendSteps key={one.label} one={one} />
        ))}
      </div>
      <div className="mend-buttons">
        {caution.mends.map((one) => (
          <MendButton key={one.label} one={one} mend={mend} />
        ))}
      </div>
    </li>
  );
}

/** Work of hands: one thing as a line, several in order. */
function MendSteps({ one }: { one: Mend }): ReactNode {
  if (one.steps.length === 0) return null;
  if (one.steps.length === 1) {
    return (
      <p className="mend-steps">
        <b>{one.label}</b>: {one.steps[0]}
      </p>
    );
  }
  return (
    <div className="mend-steps">
      <b>{one.label}</b>
      <ol>
        {one.steps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
    </div>
  );
}

function MendButton({ one, mend }: { one: Mend; mend: ItemProps["mend"] }): ReactNode {
  if (one.edits.length === 0) return null;
  return (
    <button type="button" className="button" title={one.leaves} onClick={() => mend(one)}>
      {one.label}
    </button>
  );
}
