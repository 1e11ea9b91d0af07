/**
 * Fields of the details and cells of the kit's tables: a length, a plain number, an angle, a tick, a choice, a
 * text. Each commits one value; in a table the label is there for those who listen only (`inTable`).
 */

import type { ReactNode } from "react";
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
} from "../../../units/index.ts";
import { useLength } from "../../data/use-length.ts";
import { NumberEntry } from "../number-entry.tsx";

interface Named {
  readonly label: string;
  /** The column's heading is seen, the label is read out. */
  readonly inTable?: boolean;
}

interface Valued extends Named {
  readonly value: number;
  readonly commit: (value: number) => Result<unknown> | undefined;
}

export function LengthField({
  value,
  min,
  label,
  inTable = false,
  commit,
}: Valued & { readonly min?: number }): ReactNode {
  const length = useLength();
  return (
    <NumberEntry
      label={label}
      hideLabel={inTable}
      value={length(value)}
      parse={(text) => parseLength(text, { where: label, ...(min === undefined ? {} : { min }) })}
      commit={commit}
      step={{ current: value, by: 0.01 }}
    />
  );
}

interface NumberFieldProps extends Valued {
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly step?: number;
}

export function NumberField(props: NumberFieldProps): ReactNode {
  const { label, value, unit, least, most, commit, step = 1, inTable = false } = props;
  return (
    <NumberEntry
      label={label}
      hideLabel={inTable}
      value={`${Number(value.toPrecision(5))}${unit === "" ? "" : ` ${unit}`}`}
      parse={(text) => parseNumber(text, unit, label, least, most)}
      commit={commit}
      step={{ current: value, by: step }}
    />
  );
}

/** A share of one, typed in per cent. */
export function PercentField({
  value,
  commit,
  least = 0,
  most = 98,
  ...named
}: Valued & { readonly least?: number; readonly most?: number }): ReactNode {
  return (
    <NumberField
      {...named}
      value={Math.round(value * 1000) / 10}
      unit="%"
      least={least}
      most={most}
      commit={(percent) => commit(percent / 100)}
    />
  );
}

export function AzimuthField({ label, value, commit }: Valued): ReactNode {
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

export function ElevationField({ label, value, commit }: Valued): ReactNode {
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

interface TickProps extends Named {
  readonly value: boolean;
  readonly commit: (on: boolean) => unknown;
  /** Seen beside the box instead of the label. */
  readonly words?: string;
}

export function TickField({ label, value, commit, words }: TickProps): ReactNode {
  return (
    <label className="tick-entry">
      <input type="checkbox" checked={value} onChange={(event) => commit(event.target.checked)} />{" "}
      {words === undefined ? (
        label
      ) : (
        <>
          <span className="unseen">{label},</span> {words}
        </>
      )}
    </label>
  );
}

interface ChoiceProps<T extends string> extends Named {
  readonly value: T;
  readonly options: readonly (readonly [value: T, words: string])[];
  readonly commit: (value: T) => unknown;
}

export function ChoiceField<T extends string>({
  label,
  value,
  options,
  commit,
  inTable = false,
}: ChoiceProps<T>): ReactNode {
  return (
    <label className="entry">
      <span className={inTable ? "unseen" : ""}>{label}</span>
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

interface TextProps extends Named {
  readonly value: string;
  readonly most: number;
  /** An empty text is not taken. */
  readonly needed?: boolean;
  readonly commit: (text: string) => unknown;
}

export function TextField({ label, value, most, commit, needed = false, inTable = false }: TextProps): ReactNode {
  return (
    <label className="entry">
      <span className={inTable ? "unseen" : ""}>{label}</span>
      <input
        key={value}
        defaultValue={value}
        maxLength={most}
        onBlur={(event) => {
          const text = event.target.value.trim();
          if (text !== value && (text !== "" || !needed)) commit(text);
        }}
      />
    </label>
  );
}

export function parseNumber(text: string, unit: string, where: string, least: number, most: number): Result<number> {
  const bare = (unit === "" ? text : text.replace(unit, "")).replace(",", ".").replace("−", "-").trim();
  const value = bare === "" ? Number.NaN : Number(bare);
  if (!Number.isFinite(value)) {
    const mend = `Write a number${unit === "" ? "" : ` in ${unit}`}.`;
    return failure(fault("bad-number", `"${text}" is not a number`, where, mend));
  }
  if (value < least || value > most)
    return failure(
      fault("number-range", `${value} is outside ${least} to ${most}`, where, `Write ${least} to ${most}.`),
    );
  return success(value);
}
