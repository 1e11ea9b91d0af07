/** Small marks drawn by hand: the name's mark, the four weights of a caution, arrows and ticks. */

import type { ReactNode } from "react";
import type { CautionLevel } from "../../care/index.ts";

export function NameMark({ size = 24 }: { size?: number }): ReactNode {
  return (
    <svg width={size} height={size} viewBox="0 0 24 24" aria-hidden="true">
      <path d="M1 6.5H23" stroke="var(--ink)" strokeWidth="3" />
      <path d="M1 12.2H23M1 17.2H23M1 22.2H23" stroke="var(--ink)" strokeWidth="1" opacity=".55" />
      <path
        d="M5.5,14.7L9.98,10.7H14.02L18.5,14.7L14.02,18.7H9.98Z"
        fill="var(--ink)"
        stroke="var(--panel)"
        strokeWidth="1.5"
      />
    </svg>
  );
}

const LEVEL_WORDS: Record<CautionLevel, string> = {
  stop: "Stops the job",
  care: "Look before you go on",
  note: "Good to know",
  done: "Checked and clear",
};

/** The shape says the weight; nothing is told by colour. */
export function CautionMark({ level, size = 18 }: { level: CautionLevel; size?: number }): ReactNode {
  return (
    <svg width={size} height={size} viewBox="0 0 18 18" role="img" aria-label={LEVEL_WORDS[level]}>
      {level === "stop" && (
        <>
          <rect x="1" y="1" width="16" height="16" fill="var(--inv)" />
          <path d="M4.5 9H13.5" stroke="var(--oninv)" strokeWidth="2.6" />
        </>
      )}
      {level === "care" && (
        <>
          <path d="M9 1.6L17.2 16.4H.8Z" fill="none" stroke="var(--ink)" strokeWidth="1.7" strokeLinejoin="round" />
          <path d="M9 6.6V11.4M9 13V14.8" stroke="var(--ink)" strokeWidth="1.9" />
        </>
      )}
      {level === "note" && (
        <>
          <circle cx="9" cy="9" r="7.4" fill="none" stroke="var(--ink2)" strokeWidth="1.5" />
          <path d="M9 8V13M9 4.7V6.5" stroke="var(--ink2)" strokeWidth="1.9" />
        </>
      )}
      {level === "done" && <path d="M2.5 9.6L7 14L15.6 4.2" fill="none" stroke="var(--ink)" strokeWidth="2.4" />}
    </svg>
  );
}

export function Tick({ size = 18 }: { size?: number }): ReactNode {
  return (
    <svg width={size} height={size} viewBox="0 0 18 18" aria-hidden="true">
      <path d="M2.5 9.6L7 14L15.6 4.2" fill="none" stroke="currentColor" strokeWidth="2.6" />
    </svg>
  );
}

export function Arrow({ up, size = 22 }: { up: boolean; size?: number }): ReactNode {
  return (
    <svg
      width={size * 0.77}
      height={size}
      viewBox="0 0 20 26"
      aria-hidden="true"
      fill="none"
      stroke="currentColor"
      strokeWidth="3.4"
    >
      {up ? <path d="M10 25V3M2.5 10.5L10 3l7.5 7.5" /> : <path d="M10 1V23M2.5 15.5L10 23l7.5-7.5" />}
    </svg>
  );
}

export function BackMark(): ReactNode {
  return (
    <svg
      width="20"
      height="20"
      viewBox="0 0 20 20"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.9"
      aria-hidden="true"
    >
      <path d="M4 8.2H12a4.4 4.4 0 0 1 0 8.8H8M7.6 4L3.6 8.2L7.6 12.4" />
    </svg>
  );
}

export function ForthMark(): ReactNode {
  return (
    <svg
      width="20"
      height="20"
      viewBox="0 0 20 20"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.9"
      aria-hidden="true"
    >
      <path d="M16 8.2H8a4.4 4.4 0 0 0 0 8.8h4M12.4 4l4 4.2-4 4.2" />
    </svg>
  );
}

export function OfflineMark(): ReactNode {
  return (
    <svg
      width="20"
      height="20"
      viewBox="0 0 20 20"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.8"
      aria-hidden="true"
    >
      <path d="M3 8.5a10 10 0 0 1 14 0M6 11.8a5.6 5.6 0 0 1 8 0" opacity=".45" />
      <circle cx="10" cy="15.3" r="1.3" fill="currentColor" stroke="none" />
      <path d="M3 17L17 3" />
    </svg>
  );
}

/** A phone with its waves: letting a device in. */
export function PhoneMark(): ReactNode {
  return (
    <svg
      width="18"
      height="18"
      viewBox="0 0 18 18"
      aria-hidden="true"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.6"
    >
      <rect x="1.8" y="1.8" width="8.4" height="14.4" rx="1.4" />
      <path d="M4.6 13.4H7.4" />
      <path d="M12.6 6.2a4 4 0 0 1 0 5.6M14.8 4a7.2 7.2 0 0 1 0 10" />
    </svg>
  );
}
