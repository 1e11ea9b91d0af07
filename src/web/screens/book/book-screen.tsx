/** The Book: every setup with its ladder, found by words, lights, roles, ratio, and by what is here and now. */

import { type ReactNode, useEffect, useRef, useState } from "react";
import type { Setup } from "../../../setup/index.ts";
import type { BookCard, CardPage } from "../../../store/types.ts";
import { type Fault, fault } from "../../../units/index.ts";
import { Bar } from "../../app/bar.tsx";
import { Link } from "../../app/link.tsx";
import { setupPath } from "../../app/router.ts";
import { ask, createSetup, importBook, removeSetup, restoreSetup } from "../../data/book.ts";
import { newId } from "../../data/new-id.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { CardLadder } from "./card-ladder.tsx";
import { CardPicture } from "./card-picture.tsx";
import { type BookFilter, filterQuery, noFilter, ratioWords } from "./filter-logic.ts";
import { Filters } from "./filters.tsx";
import "./book.css";

export default function BookScreen(): ReactNode {
  const [filter, setFilter] = useState<BookFilter>(noFilter);
  const [page, setPage] = useState<CardPage | null>(null);
  const [faults, setFaults] = useState<readonly Fault[]>([]);
  const [removed, setRemoved] = useState<BookCard | null>(null);
  const [turn, setTurn] = useState(0);
  const query = filterQuery(filter);
  // biome-ignore lint/correctness/useExhaustiveDependencies: `turn` asks for the list again
  useEffect(() => {
    let wanted = true;
    void ask<CardPage>("GET", `/api/cards${query}`).then((answer) => {
      if (!wanted) return;
      setFaults(answer.ok ? [] : answer.faults);
      if (answer.ok) setPage(answer.value);
    });
    return () => {
      wanted = false;
    };
  }, [query, turn]);

  const remove = async (card: BookCard): Promise<void> => {
    const done = await removeSetup(card.id);
    if (done.ok) setRemoved(card);
    setFaults(done.ok ? [] : done.faults);
    setTurn(turn + 1);
  };
  const putBack = async (): Promise<void> => {
    if (removed === null) return;
    const done = await restoreSetup(removed.id);
    setFaults(done.ok ? [] : done.faults);
    setRemoved(null);
    setTurn(turn + 1);
  };
  return (
    <>
      <Bar at="book" />
      <div className="book">
        <Filters filter={filter} change={setFilter} cards={page?.cards ?? []} />
        <main className="book-main">
          <header className="book-head">
            <h1>Book</h1>
            <span className="quiet" role="status">
              {page === null ? "" : countWords(page.total)}
            </span>
            <div className="spring" />
            <BringIn done={() => setTurn(turn + 1)} fail={setFaults} />
            <a className="button" href="/api/export" download="stopwise-book.json">
              Export the Book
            </a>
            <Link to="/new" className="button strong">
              New setup
            </Link>
          </header>
          <FaultBox faults={faults} />
          {removed !== null && (
            <p className="removed" role="status">
              “{removed.title}” is in the trash.{" "}
              <button type="button" className="button" onClick={() => void putBack()}>
                Undo
              </button>
            </p>
          )}
          {page?.total === 0 && query !== "" && (
            <p className="nothing-found">
              No setup in the Book is like that.{" "}
              <button type="button" className="button" onClick={() => setFilter(noFilter)}>
                Show all setups
              </button>
            </p>
          )}
          <ul className="cards">
            {page?.cards.map((card) => (
              <Card key={card.id} card={card} remove={() => void remove(card)} />
            ))}
            {page !== null && (
              <li className="card card-new">
                <Link to="/new">
                  <b>New setup</b>
                  <span className="quiet">working aperture first</span>
                </Link>
              </li>
            )}
          </ul>
        </main>
      </div>
    </>
  );
}

function Card({ card, remove }: { card: BookCard; remove: () => void }): ReactNode {
  const ratio = ratioWords(card.mainToFillStops);
  return (
    <li className="card">
      <Link to={setupPath(card.id, "plan")}>
        <div className="card-pictures">
          <CardLadder card={card} />
          <CardPicture card={card} />
        </div>
        <h2>{card.title}</h2>
        <p>
          {card.lights.length} light{card.lights.length === 1 ? "" : "s"}
          {card.medium === "continuous" && ", continuous"}
          {ratio !== null && `; main to fill, each alone, ${ratio}`}
        </p>
        <p className="quiet">
          {card.lastMeteredAt === null
            ? "not metered yet"
            : `metered ${day(card.lastMeteredAt)}${card.met ? ", all met" : ""}`}
          {card.invented && "; invented for the demo"}
        </p>
      </Link>
      <button
        type="button"
        className="button bare card-remove"
        onClick={remove}
        aria-label={`Remove ${card.title}, to the trash`}
      >
        Remove
      </button>
    </li>
  );
}

function BringIn({ done, fail }: { done: () => void; fail: (faults: readonly Fault[]) => void }): ReactNode {
  const input = useRef<HTMLInputElement>(null);
  const take = async (file: File | undefined): Promise<void> => {
    if (file === undefined) return;
    let json: unknown;
    try {
      json = JSON.parse(await file.text());
    } catch {
      return fail([
        fault(
          "not-json",
          "The file is not JSON",
          file.name,
          "Choose a file that Export the Book or Save this setup wrote.",
        ),
      ]);
    }
    const answer = await (isSetup(json) ? createSetup({ ...json, id: newId() }) : importBook(json));
    if (answer.ok) done();
    fail(answer.ok ? [] : answer.faults);
    if (input.current !== null) input.current.value = "";
  };
  return (
    <>
      <button type="button" className="button" onClick={() => input.current?.click()}>
        Bring in a file
      </button>
      <input
        ref={input}
        type="file"
        accept="application/json,.json"
        hidden
        aria-label="Book file"
        onChange={(event) => void take(event.target.files?.[0])}
      />
    </>
  );
}

/** A file of one setup, as Plan saves it; everything else is taken for a book. The server checks both. */
const isSetup = (json: unknown): json is Setup =>
  typeof json === "object" && json !== null && (json as { format?: unknown }).format === "stopwise-setup";

const countWords = (total: number): string =>
  total === 0 ? "no setups" : total === 1 ? "1 setup" : `${total} setups, last changed first`;

const day = (instant: string): string =>
  new Date(instant).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
