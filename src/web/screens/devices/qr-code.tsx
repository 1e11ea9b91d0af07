/** A QR code from its rows: dark on white in both themes, with the quiet zone of four modules that readers need. */

import type { ReactNode } from "react";

const QUIET = 4;

export function QrCode({ rows, label }: { rows: readonly string[]; label: string }): ReactNode {
  const size = rows.length + 2 * QUIET;
  const dark = rows.flatMap((row, y) =>
    [...row.matchAll(/1+/g)].map((run) => `M${run.index + QUIET} ${y + QUIET}h${run[0].length}v1h-${run[0].length}z`),
  );
  return (
    <svg className="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label} shapeRendering="crispEdges">
      <rect width={size} height={size} fill="#fff" />
      <path d={dark.join("")} fill="#000" />
    </svg>
  );
}
