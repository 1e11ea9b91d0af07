/** Types of page-stamp.mjs, which the launcher shares with the build. */

/** Where the digest of the page's sources is kept. */
export function stampPath(root: string): string;
/** True when dist/web was built from exactly the present sources. */
export function pageIsFresh(root: string): boolean;
/** Digest of the page's sources: each file's path and content, tests apart. */
export function pageDigest(root: string): string;
