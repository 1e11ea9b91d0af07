/** The door of the server room. */

export { documentName, parseDocumentName } from "./names.ts";
export { closeOnSignals, defaultPort, type RunningServer, type ServerOptions, startServer } from "./start.ts";
