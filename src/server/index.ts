/** The door of the server room. */

export { documentName, parseDocumentName } from "./names.ts";
export {
  defaultNetworkPort,
  type ListedRoute,
  type Mode,
  type NetworkOptions,
  type NetworkState,
} from "./network/network.ts";
export { closeOnSignals, defaultPort, type RunningServer, type ServerOptions, startServer } from "./start.ts";
