/**
 * The library's second door, `stopwise/node`: the rooms that need a machine under them, each under its own name.
 */

export * as files from "./files/node.ts";
export * as pdf from "./pdf/index.ts";
export * as server from "./server/index.ts";
export * as store from "./store/index.ts";
