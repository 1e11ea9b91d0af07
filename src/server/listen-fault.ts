/** Why a port could not be listened on, in words. */

import { type Fault, fault } from "../units/index.ts";

/** `option`: what the command line calls the port. */
export function listenFault(error: unknown, host: string, port: number, option: string): Fault {
  const code = (error as { readonly code?: unknown }).code;
  if (code === "EADDRINUSE") {
    return fault(
      "port-taken",
      `Port ${port} is in use`,
      `${host}:${port}`,
      `Close the other Stopwise or program, or start with -- ${option} and another number.`,
    );
  }
  if (code === "EACCES") {
    return fault(
      "port-refused",
      `The system keeps port ${port} for itself`,
      `${host}:${port}`,
      `Start with -- ${option} and a number above 1024.`,
    );
  }
  return fault(
    "cannot-listen",
    `The network refused (${String(code)})`,
    `${host}:${port}`,
    "Check the network settings of this machine.",
  );
}
