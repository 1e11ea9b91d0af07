/** What the store keeps beside the documents so that a book is found and listed without opening them. */

import type { Id, Instant, Role, Setup } from "../setup/index.ts";

/** A setup as the Book lists it. */
export interface BookCard {
  readonly id: Id;
  readonly title: string;
  readonly tags: readonly string[];
  readonly invented: boolean;
  readonly medium: Setup["exposure"]["medium"];
  readonly apertureAv: number;
  readonly iso: number;
  readonly roles: readonly Role[];
  /** In the order of the ladder. */
  readonly lights: readonly CardLight[];
  /** How far the first fill lies under the main, by their targets; null when one of them is missing. */
  readonly mainToFillStops: number | null;
  /** The box that the set fills: lights with their stands and booms, camera, sitter, backdrop, panels. */
  readonly space: SetSpace;
  readonly lastMeteredAt: Instant | null;
  /** Every light's newest reading lies within its tolerance. */
  readonly met: boolean;
  readonly createdAt: Instant;
  /** When the last change reached the disc. */
  readonly changedAt: Instant;
}

export interface CardLight {
  readonly tag: string;
  readonly hue: number;
  readonly role: Role;
  /** Its target; negative is over. */
  readonly stopsUnder: number;
  /** Its newest reading against the working aperture, stops under; null when it was not metered. */
  readonly readStopsUnder: number | null;
}

export interface SetSpace {
  readonly widthM: number;
  readonly depthM: number;
  readonly heightM: number;
}

/** Filters of a search; those that are given must all hold. */
export interface CardFilter {
  /** Words in title, notes, tags, roles or kit; the last one may be unfinished. */
  readonly text?: string;
  readonly lights?: number;
  /** Stops, met within 0.05. */
  readonly mainToFill?: number;
  /** Each of these roles is there. */
  readonly roles?: readonly Role[];
  readonly tag?: string;
  readonly medium?: Setup["exposure"]["medium"];
  readonly met?: boolean;
  /** The kit of the book can build it. */
  readonly kitHere?: boolean;
  /** Its box fits the kit's room; in a book without a room, nothing does. */
  readonly fitsHere?: boolean;
  readonly trashed?: boolean;
  readonly offset?: number;
  readonly limit?: number;
}

export interface CardPage {
  readonly total: number;
  readonly cards: readonly BookCard[];
}

export interface BookInfo {
  readonly id: string;
  readonly generation: number;
  readonly version: number;
  readonly counts: { readonly setups: number; readonly trashed: number };
}

/** What a device that was let in may do: look; also meter (readings and turned dials); also edit setups and kit. */
export type Permission = "look" | "meter" | "edit";

/** A device that was let in over the network. */
export interface Device {
  readonly id: string;
  readonly name: string;
  readonly permission: Permission;
  /** Let in over plain HTTP, where anybody on the network can listen. */
  readonly plain: boolean;
  readonly createdAt: Instant;
  /** Its last visit, to the minute. */
  readonly seenAt: Instant;
}
