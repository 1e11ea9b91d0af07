/**
 * Why: a number opened into its ledger of stops. Rows on the left, the same rows as steps on the exposure
 * scale in the middle, and for the chosen row its formula, inputs, source and error bar on the right.
 */

import { type ReactNode, useEffect, useRef, useState } from "react";
import type { KitOffer, Ledger, LedgerRow, Rests } from "../../../solve/index.ts";
import type { KitSession } from "../../data/kit-session.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { useKit, useSetupView } from "../../data/use.ts";
import { FaultBox } from "../fault-box.tsx";
import { Reading } from "../reading.tsx";
import { Tag } from "../tag.tsx";
import { RestsMark, restsWords } from "./rests-mark.tsx";
import { StepChart } from "./step-chart.tsx";
import { type Asked, askedAbout } from "./why-about.ts";
import "./why.css";

interface Props {
  readonly session: SetupSession;
  /** "light:ID", "together:ID". */
  readonly about: string;
  readonly close: () => void;
  /** Where a reading may teach the kit; absent on the phone's Meter. */
  readonly kit?: KitSession;
}

export function WhyPanel({ session, about, close, kit }: Props): ReactNode {
  const view = useSetupView(session);
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    if (dialog.current?.open === false) dialog.current.showModal();
  });
  if (view === null) return null;
  const asked = askedAbout(view.setup, view.report, about);
  return (
    <dialog ref={dialog} className="why" onClose={close} aria-labelledby="why-title">
      {asked === null ? (
        <p className="why-none">That number is no longer in this setup.</p>
      ) : (
        <WhyBody asked={asked} session={session} {...(kit === undefined ? {} : { kit })} />
      )}
      <form method="dialog" className="why-close">
        <button type="submit" className="button">
          Close
        </button>
      </form>
    </dialog>
  );
}

function WhyBody({ asked, session, kit }: { asked: Asked; session: SetupSession; kit?: KitSession }): ReactNode {
  const chains = chainsOf(asked.predicted.ledger);
  const [chosen, choose] = useState(0);
  const chain = chains[Math.min(chosen, chains.length - 1)];
  const [faults, setFaults] = useState<Parameters<typeof FaultBox>[0]["faults"]>([]);
  const learn = (): void => {
    const done = asked.learn === null ? null : session.change("learned from the reading", asked.learn);
    setFaults(done === null || done.ok ? [] : done.faults);
  };
  return (
    <>
      <header className="why-head">
        {asked.tag !== null && <Tag tag={asked.tag.tag} hue={asked.tag.hue} solid size="large" />}
        <h2 id="why-title">
          Why <Reading av={asked.predicted.av} />?
        </h2>
        <p className="quiet">{asked.words}</p>
        <div className="spring" />
        {asked.readingAv !== null && (
          <p className="why-metered">
            <span className="quiet">metered</span> <Reading av={asked.readingAv} />{" "}
            <span className="quiet">{asked.difference}</span>
          </p>
        )}
      </header>
      {chains.length > 1 && (
        <div className="choice why-parts" role="group" aria-label="Lights that add">
          {chains.map((one, index) => (
            <button key={one.path} type="button" aria-pressed={index === chosen} onClick={() => choose(index)}>
              {one.path}
              {one.ledger.av === null && ": dark"}
            </button>
          ))}
        </div>
      )}
      <FaultBox faults={faults} />
      {chain !== undefined && (
        <ChainView
          key={chain.path}
          chain={chain.ledger}
          workingAv={asked.workingAv}
          total={asked}
          sole={chains.length === 1}
        />
      )}
      <div className="why-learn">
        {asked.learn !== null && (
          <button type="button" className="button" onClick={learn}>
            Learn from this reading
          </button>
        )}
        {asked.kitOffer !== null && kit !== undefined && <KitOfferButton offer={asked.kitOffer} kit={kit} />}
      </div>
    </>
  );
}

/** The kit learns only when its owner says so; setups that exist keep their own copies. */
function KitOfferButton({ offer, kit: session }: { offer: KitOffer; kit: KitSession }): ReactNode {
  const kit = useKit(session);
  const head = kit?.heads.find((h) => h.id === offer.headId);
  if (head === undefined) return null;
  if (head.learnedReadings >= offer.learnedReadings) return <span className="quiet">The kit has learned this.</span>;
  const { learnedStops, learnedReadings } = offer;
  const take = (): void =>
    session.change((k) => ({
      ...k,
      heads: k.heads.map((h) => (h.id === offer.headId ? { ...h, learnedStops, learnedReadings } : h)),
    }));
  return (
    <button type="button" className="button" onClick={take} title={offer.words}>
      Teach the kit: {offer.words}
    </button>
  );
}

type Chain = Extract<Ledger, { kind: "chain" }>;

interface ChainProps {
  readonly chain: Chain;
  readonly workingAv: number;
  readonly total: Asked;
  readonly sole: boolean;
}

function ChainView({ chain, workingAv, total, sole }: ChainProps): ReactNode {
  const [at, setAt] = useState(0);
  const row = chain.rows[at];
  return (
    <div className="why-grid">
      <div className="why-rows" role="table" aria-label={`Ledger of ${chain.label}`}>
        <div role="row" className="why-row why-row-head">
          <span role="columnheader">what</span>
          <span role="columnheader">rests on</span>
          <span role="columnheader">stops</span>
          <span role="columnheader">so far</span>
        </div>
        {chain.rows.map((one, index) => (
          <div key={one.row + one.name} role="row" className="why-row" data-chosen={index === at}>
            <span role="cell">
              <button type="button" className="why-name" aria-pressed={index === at} onClick={() => setAt(index)}>
                <b>{one.name}</b>
                <small>{one.detail}</small>
              </button>
            </span>
            <span role="cell" className="why-rests">
              <RestsMark rests={one.restsOn} /> {restsWords(one.restsOn)}
            </span>
            <span role="cell" className="why-stops">
              {index === 0 ? one.stops.toFixed(2) : signed(one.stops)}
            </span>
            <span role="cell" className="why-so-far">
              <Reading av={one.soFarAv} />
            </span>
          </div>
        ))}
        <div role="row" className="why-row why-sum">
          <span role="cell">
            <b>{sole ? "Reading" : chain.label}</b>
            <small>sum of the rows; like causes add, the rest by root of squares</small>
          </span>
          <span role="cell" className="quiet">
            ±{chain.sigmaStops.toFixed(2)} stop
          </span>
          <span role="cell" />
          <span role="cell" className="why-total">
            <Reading av={chain.av} />
          </span>
        </div>
        {!sole && (
          <div role="row" className="why-row">
            <span role="cell">
              <b>All parts together</b>
              <small>light adds in lux-seconds, not in stops</small>
            </span>
            <span role="cell" className="quiet">
              ±{total.predicted.sigmaStops.toFixed(2)} stop
            </span>
            <span role="cell" />
            <span role="cell" className="why-total">
              <Reading av={total.predicted.av} />
            </span>
          </div>
        )}
      </div>
      <StepChart chain={chain} workingAv={workingAv} chosen={at} readingAv={sole ? total.readingAv : null} />
      {row !== undefined && <RowDetail row={row} chain={chain} />}
    </div>
  );
}

function RowDetail({ row, chain }: { row: LedgerRow; chain: Chain }): ReactNode {
  return (
    <aside className="why-detail" aria-live="polite">
      <h3>
        {row.name}{" "}
        <span className="quiet">
          {row.stops.toFixed(2)} ± {row.sigmaStops.toFixed(2)}
        </span>
      </h3>
      <p className="why-formula">{row.formula}</p>
      <h4>Inputs</h4>
      <dl>
        {row.inputs.map((input) => (
          <div key={input.name}>
            <dt>{input.name}</dt>
            <dd>{input.text}</dd>
          </div>
        ))}
      </dl>
      <h4>Source</h4>
      <p>
        <RestsMark rests={row.restsOn} /> {row.source}
      </p>
      <h4>What rows rest on</h4>
      <ul className="why-key">
        {(["catalogue", "learned", "metered", "geometry", "meter", "assumed"] as const satisfies readonly Rests[]).map(
          (rests) => (
            <li key={rests}>
              <RestsMark rests={rests} /> {restsWords(rests, true)}
            </li>
          ),
        )}
      </ul>
      <h4>Error bar</h4>
      <p>
        ±{chain.sigmaStops.toFixed(2)} stop: two readings in three fall inside. A reading of this light here replaces
        most of it; then the meter’s step and the flash’s repeat remain.
      </p>
    </aside>
  );
}

/** The chains of a ledger in reading order, each with the path of labels that leads to it. */
function chainsOf(ledger: Ledger, path = ""): readonly { path: string; ledger: Chain }[] {
  if (ledger.kind === "chain") return [{ path: path === "" ? ledger.label : path, ledger }];
  return ledger.parts.flatMap((part) => chainsOf(part, path === "" ? part.label : `${path}, ${part.label}`));
}

const signed = (stops: number): string =>
  `${stops < -0.004 ? "−" : stops > 0.004 ? "+" : ""}${Math.abs(stops).toFixed(2)}`;
