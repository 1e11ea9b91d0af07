/** What a device may do, in words. The server holds each to it (src/server/metering.ts, door.ts). */

import type { Permission } from "../../data/network.ts";

export const PERMISSIONS: Readonly<Record<Permission, { readonly short: string; readonly long: string }>> = {
  look: { short: "Look", long: "Sees setups, sheets and calls; changes nothing." },
  meter: { short: "Meter", long: "Also takes readings, sets the dials that were turned, and takes its own back." },
  edit: {
    short: "Edit",
    long: "Also plans, makes and deletes setups, and changes the kit. Backups stay with the computer.",
  },
};
