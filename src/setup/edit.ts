/**
 * Edits as data: what changed, not how. The page, the mends of a caution and the command line all speak
 * in edits; `applyEdits` is the one place that carries them out. A nested value (place, aim, target, rig,
 * dial) is replaced whole, so that two peers never mix halves of one position.
 */

import type {
  AsShot,
  Backdrop,
  Camera,
  Exposure,
  Id,
  Light,
  Meter,
  Panel,
  Reading,
  Room,
  Setup,
  Sitter,
  Subject,
} from "./types.ts";

export type Edit =
  | { readonly kind: "setup"; readonly set: Partial<Pick<Setup, "title" | "notes" | "tags">> }
  | { readonly kind: "exposure"; readonly set: Partial<Exposure> }
  | { readonly kind: "camera"; readonly set: Partial<Camera> }
  | { readonly kind: "meter"; readonly set: Partial<Meter> }
  | { readonly kind: "room"; readonly set: Partial<Room> }
  | { readonly kind: "backdrop"; readonly set: Partial<Backdrop> | null }
  | { readonly kind: "subject"; readonly set: Partial<Subject> }
  | { readonly kind: "light"; readonly id: Id; readonly set: Partial<Omit<Light, "id">> }
  | { readonly kind: "add-light"; readonly light: Light }
  | { readonly kind: "remove-light"; readonly id: Id }
  | { readonly kind: "panel"; readonly id: Id; readonly set: Partial<Omit<Panel, "id">> }
  | { readonly kind: "add-panel"; readonly panel: Panel }
  | { readonly kind: "remove-panel"; readonly id: Id }
  | { readonly kind: "sitter"; readonly id: Id; readonly set: Partial<Omit<Sitter, "id">> }
  | { readonly kind: "add-sitter"; readonly sitter: Sitter }
  | { readonly kind: "remove-sitter"; readonly id: Id }
  | { readonly kind: "add-reading"; readonly reading: Reading }
  | { readonly kind: "undo-reading"; readonly id: Id; readonly undone: boolean }
  | { readonly kind: "add-as-shot"; readonly asShot: AsShot };
