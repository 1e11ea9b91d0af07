/** A table of one kind of kit item: a row an item, its name first, a column for each thing one may set. */

import type { ReactNode } from "react";
import type { Kit } from "../../../setup/index.ts";
import { TextField } from "../../parts/fields/fields.tsx";

export type Change = (edit: (kit: Kit) => Kit) => void;

export interface TableProps {
  readonly kit: Kit;
  readonly change: Change;
}

/** Sets some fields of one item; undefined, as a field's commit that never refuses. */
export type SetItem<T> = (part: Partial<T>) => undefined;

export interface Column<T> {
  readonly name: string;
  readonly cell: (item: T, set: SetItem<T>) => ReactNode;
}

interface Item {
  readonly id: string;
  readonly name: string;
}

interface Props<T extends Item> {
  readonly id: string;
  readonly title: string;
  readonly note?: string;
  /** What one item is called, in its own column. */
  readonly one: string;
  readonly items: readonly T[];
  readonly columns: readonly Column<T>[];
  /** Drawn between the head and the table. */
  readonly above?: ReactNode;
  /** Replaces the list. */
  readonly put: (items: readonly T[]) => void;
  readonly removable?: boolean;
  /** Buttons in the head. */
  readonly children?: ReactNode;
}

export function KitTable<T extends Item>(props: Props<T>): ReactNode {
  const { id, title, note, one, items, columns, above, put, removable = false, children } = props;
  const set = (item: T, part: Partial<T>): undefined => {
    put(items.map((other) => (other.id === item.id ? { ...other, ...part } : other)));
  };
  return (
    <section aria-labelledby={id}>
      <div className="pane-head">
        <h2 id={id}>{title}</h2>
        {note !== undefined && <span className="quiet">{note}</span>}
        <div className="spring" />
        {children}
      </div>
      {above}
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">{one}</th>
              {columns.map((column) => (
                <th key={column.name} scope="col">
                  {column.name}
                </th>
              ))}
              {removable && (
                <th scope="col">
                  <span className="unseen">remove</span>
                </th>
              )}
            </tr>
          </thead>
          <tbody>
            {items.map((item) => (
              <tr key={item.id}>
                <th scope="row">
                  <TextField
                    inTable
                    needed
                    label={`name of the ${one}`}
                    value={item.name}
                    most={120}
                    commit={(name) => set(item, { name } as Partial<T>)}
                  />
                </th>
                {columns.map((column) => (
                  <td key={column.name}>{column.cell(item, (part) => set(item, part))}</td>
                ))}
                {removable && (
                  <td>
                    <button
                      type="button"
                      className="button bare"
                      aria-label={`Remove ${item.name}`}
                      onClick={() => put(items.filter((other) => other.id !== item.id))}
                    >
                      Remove
                    </button>
                  </td>
                )}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
