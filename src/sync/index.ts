/** The door of the sync room: a setup or a kit in a shared document, and back. */

export { docToKit, kitToDoc, writeKit } from "./kit-doc.ts";
export { orderAfter, orderBetween } from "./order.ts";
export { docToSetup, readingsLost, setupToDoc, writeSetup } from "./setup-doc.ts";
export { kitUndo, setupUndo } from "./undo.ts";
export { watchKit, watchSetup } from "./watch.ts";
