/** What the store keeps beside the documents so that a book is found and listed without opening them. */

import type { Assignment, Basis, FrameExposure, FrameImage, LinearFrame, NoiseModel } from "../frames/index.ts";
import type { Id, Instant, Role, Setup } from "../setup/index.ts";
import type { Fault } from "../units/index.ts";

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

/** A test frame as the page lists it: everything but its pixels. */
export interface FrameCard {
  readonly id: Id;
  readonly setupId: Id;
  /** File name without its folder. */
  readonly name: string;
  /** Of the bytes as they came, lower-case hexadecimal. */
  readonly sha256: string;
  /** Of the file as it came. */
  readonly bytes: number;
  /** Upright, full size, pixels. */
  readonly width: number;
  readonly height: number;
  readonly bits: number;
  readonly source: FrameImage["source"];
  readonly basis: Basis;
  readonly exposure: FrameExposure;
  readonly addedAt: Instant;
  /** Place among the setup's frames, from 0, in the order in which they came. */
  readonly order: number;
  /** Null until something is known. */
  readonly assignment: FrameAssignment | null;
  /** What is odd about the file but did not stop the reading. */
  readonly notes: readonly Fault[];
  readonly proxy: ProxyCard;
}

export type FrameAssignment = Pick<Assignment, "shows" | "confidence" | "by" | "why">;

/** What is needed to make a linear frame of a proxy's bytes. */
export interface ProxyCard extends Pick<LinearFrame, "width" | "height" | "reduction" | "balance" | "toSrgb"> {
  /** `steps` is left out: null. */
  readonly noise: NoiseModel;
}

/** A setup's hot folder: off, being watched, or not there. */
export interface FrameFolder {
  readonly path: string | null;
  readonly state: "off" | "watching" | "gone";
  /** What was said of it and its files since it was switched on, newest last. */
  readonly faults: readonly Fault[];
}

/** What `GET /api/setups/ID/frames` answers. */
export interface FrameList {
  readonly frames: readonly FrameCard[];
  readonly folder: FrameFolder;
}
