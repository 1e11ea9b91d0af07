/** Fields of the details: a length, a plain number, an angle, a tick, a choice, each one edit of the setup. */

import type { ReactNode } from "react";
import type { Setup } from "../../../../setup/index.ts";
import {
  degrees,
  failure,
  fault,
  parseAzimuth,
  parseElevation,
  parseLength,
  printAzimuth,
  printElevation,
  type Result,
  success,
} from "../../../../units/index.ts";
import type { SetupSession } from "../../../data/setup-session.ts";
import { useLength } from "../../../data/use-length.ts";
import { NumberEntry } from "../../../parts/number-entry.tsx";

export interface GroupProps {
  readonly session: SetupSession;
  readonly setup: Setup;
}

type Commit = (value: number) => Result<unknown> | undefined;

/** A group that folds; what is chosen now stands open. */
export function Group({
  name,
  open = false,
  children,
}: {
  name: ReactNode;
  open?: boolean;
  children: ReactNode;
}): ReactNode {
  return (
    <details className="details-group" open={open}>
      <summary>{name}</summary>
      <div className="details-fields">{children}</div>
    </details>
  );
}

export function LengthField({
  label,
  value,
  commit,
  min,
}: {
  label: string;
  value: number;
  commit: Commit;
  min?: number;
}): ReactNode {
  const length = useLength();
  return (
    <NumberEntry
      label={label}
      value={length(value)}
      parse={(text) => parseLength(text, { where: label, ...(min === undefined ? {} : { min }) })}
      commit={commit}
      step={{ current: value, by: 0.01 }}
    />
  );
}

interface NumberFieldProps {
  readonly label: string;
  readonly value: number;
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly commit: Commit;
  readonly step?: number;
}

export function NumberField({ label, value, unit, least, most, commit, step = 1 }: NumberFieldProps): ReactNode {
  return (
    <NumberEntry
      label={label}
      value={`${Number(value.toPrecision(5))}${unit === "" ? "" : ` ${unit}`}`}
      parse={(text) => parseNumber(text, unit, label, least, most)}
      commit={commit}
      step={{ current: value, by: step }}
    />
  );
}

export function AzimuthField({ label, value, commit }: { label: string; value: number; commit: Commit }): ReactNode {
  return (
    <NumberEntry
      label={label}
      value={printAzimuth(degrees(value))}
      parse={(text) => parseAzimuth(text, label)}
      commit={commit}
      step={{ current: value, by: 1 }}
    />
  );
}

export function ElevationField({ label, value, commit }: { label: string; value: number; commit: Commit }): ReactNode {
  return (
    <NumberEntry
      label={label}
      value={printElevation(degrees(value))}
      parse={(text) => parseElevation(text, label)}
      commit={commit}
      step={{ current: value, by: 1 }}
    />
  );
}

export function TickField({
  label,
  value,
  commit,
}: {
  label: string;
  value: boolean;
  commit: (on: boolean) => unknown;
}): ReactNode {
  return (
    <label className="tick-entry">
      <input type="checkbox" checked={value} onChange={(event) => commit(event.target.checked)} /> {label}
    </label>
  );
}

interface ChoiceProps<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly options: readonly (readonly [value: T, words: string])[];
  readonly commit: (value: T) => unknown;
}

export function ChoiceField<T extends string>({ label, value, options, commit }: ChoiceProps<T>): ReactNode {
  return (
    <label className="entry">
      {label}
      <select value={value} onChange={(event) => commit(event.target.value as T)}>
        {options.map(([one, words]) => (
          <option key={one} value={one}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

export function TextField({
  label,
  value,
  most,
  commit,
}: {
  label: string;
  value: string;
  most: number;
  commit: (text: string) => unknown;
}): ReactNode {
  return (
    <label className="entry">
      {label}
      <input
        key={value}
        defaultValue={value}
        maxLength={most}
        onBlur={(event) => {
          if (event.target.value !== value) commit(event.target.value);
        }}
      />
    </label>
  );
}

export function parseNumber(text: string, unit: string, where: string, least: number, most: number): Result<number> {
  const bare = (unit === "" ? text : text.replace(unit, "")).replace(",", ".").replace("−", "-").trim();
  const value = bare === "" ? Number.NaN : Number(bare);
  if (!Number.isFinite(value))
    return failure(
      fault("bad-number", `"${text}" is not a number`, where, `Write a number${unit === "" ? "" : ` in ${unit}`}.`),
    );
  if (value < least || value > most)
    return failure(
      fault("number-range", `${value} is outside ${least} to ${most}`, where, `Write ${least} to ${most}.`),
    );
  return success(value);
}
