/** The one way in for a measured file of either format: looks at the text, not only at the name. */

import { failure, fault, type Result } from "../../units/index.ts";
import { parseIes } from "./ies.ts";
import { looksLikeIes } from "./ies-header.ts";
import { looksLikeLdt, parseLdt } from "./ldt.ts";
import type { PhotometricWeb } from "./web.ts";

/**
 * Read a .ies or .ldt file.
 * @param where names the file in messages; its ending decides when the text does not.
 */
export function parsePhotometricFile(text: string, where = "the photometric file"): Result<PhotometricWeb> {
  if (looksLikeIes(text)) return parseIes(text, where);
  if (looksLikeLdt(text) || /\.ldt$/i.test(where)) return parseLdt(text, where);
  if (/\.ies$/i.test(where)) return parseIes(text, where);
  return failure(
    fault(
      "photometric-unknown",
      "This is neither an LM-63 (.ies) nor an EULUMDAT (.ldt) file",
      where,
      "Give a measured file of a light, from its maker or a laboratory.",
    ),
  );
}
