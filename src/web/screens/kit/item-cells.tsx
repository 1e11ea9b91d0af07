/** Cells of the kit's tables: a plain number with its unit, a length, a name. */

import type { ReactNode } from "react";
import type { Kit } from "../../../setup/index.ts";
import { failure, fault, parseLength, type Result, success } from "../../../units/index.ts";
import { useLength } from "../../data/use-length.ts";
import { NumberEntry } from "../../parts/number-entry.tsx";

export type Change = (edit: (kit: Kit) => Kit) => void;

export interface TableProps {
  readonly kit: Kit;
  readonly change: Change;
}

interface PlainProps {
  readonly label: string;
  readonly value: number | null;
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly commit: (value: number) => void;
}

export function PlainNumber({ label, value, unit, least, most, commit }: PlainProps): ReactNode {
  return (
    <NumberEntry
      hideLabel
      label={label}
      value={value === null ? "" : `${Number(value.toPrecision(5))}${unit === "" ? "" : ` ${unit}`}`}
      parse={(text) => parsePlain(text, unit, label, least, most)}
      commit={(n) => {
        commit(n);
        return undefined;
      }}
    />
  );
}

export function LengthCell({
  label,
  value,
  commit,
}: {
  label: string;
  value: number;
  commit: (m: number) => void;
}): ReactNode {
  const length = useLength();
  return (
    <NumberEntry
      hideLabel
      label={label}
      value={length(value)}
      parse={(text) => parseLength(text, { where: label })}
      commit={(m) => {
        commit(m);
        return undefined;
      }}
    />
  );
}

export function NameCell({
  label,
  value,
  commit,
}: {
  label: string;
  value: string;
  commit: (name: string) => void;
}): ReactNode {
  return (
    <label className="entry">
      <span className="unseen">{label}</span>
      <input
        key={value}
        defaultValue={value}
        maxLength={120}
        onBlur={(event) => {
          const name = event.target.value.trim();
          if (name !== "" && name !== value) commit(name);
        }}
      />
    </label>
  );
}

function parsePlain(text: string, unit: string, where: string, least: number, most: number): Result<number> {
  const bare = text.replace(unit, "").replace(",", ".").trim();
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
