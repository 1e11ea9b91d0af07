/**
 * The checker behind floors.test.ts: reads every source file under src/ with a real parser and reports each import
 * that leaves its room by another way than down and through a door, and each use of a clock, dice, I/O, the DOM or
 * Node on floors 0 to 2. The table is docs/architecture.md's. Tests may look anywhere and are not judged.
 */

import { globSync, readFileSync } from "node:fs";
import { join, posix } from "node:path";
import { parseSync } from "oxc-parser";

/** The table: each room's floor. */
export const FLOORS: Readonly<Record<string, number>> = {
  units: 0,
  photometry: 1,
  colour: 1,
  setup: 1,
  solve: 2,
  care: 2,
  scene: 2,
  picture: 2,
  frames: 2,
  drawing: 2,
  sync: 2,
  work: 3,
  gpu: 3,
  store: 3,
  files: 3,
  pdf: 3,
  server: 4,
  cli: 4,
  web: 4,
};

/** The only arrows within a floor. */
export const SAME_FLOOR: Readonly<Record<string, readonly string[]>> = {
  setup: ["photometry", "colour"],
  picture: ["scene"],
  frames: ["picture"],
  drawing: ["solve", "care"],
  cli: ["server"],
};

/**
 * A second door, for `import type` alone: the page shares the shapes that travel over HTTP, while the store's own door
 * would draw Node's types into the page's project.
 */
const TYPE_DOORS: Readonly<Record<string, readonly string[]>> = { web: ["store/types.ts"] };

/** A door for machines beside a room's own: what a page must not load, such as fonts and pictures read from the disc. */
const MACHINE_DOORS: Readonly<Record<string, readonly string[]>> = {
  cli: ["pdf/fonts-node.ts", "files/node.ts"],
  server: ["files/node.ts"],
  "node.ts": ["files/node.ts"],
};

/** The package's own doors, which re-export rooms: the highest floor each may reach. */
const PACKAGE_DOORS: Readonly<Record<string, number>> = { "index.ts": 2, "node.ts": 4 };

/** Floors 0 to 2 are pure; these packages are too, and nothing else from npm enters there. */
const TOP_PURE_FLOOR = 2;
const PURE_PACKAGES: Readonly<Record<string, readonly string[]>> = {
  setup: ["fractional-indexing"],
  sync: ["yjs", "y-protocols", "fractional-indexing"],
};

/** Names from outside the language: clocks, timers, I/O, the DOM, Node. */
const OUTSIDE_NAMES: ReadonlySet<string> = new Set(
  (
    "window document self globalThis navigator location history screen localStorage sessionStorage indexedDB caches " +
    "fetch XMLHttpRequest WebSocket EventSource Worker SharedWorker BroadcastChannel MessageChannel Notification " +
    "setTimeout setInterval setImmediate clearTimeout clearInterval queueMicrotask requestAnimationFrame " +
    "requestIdleCallback performance crypto console alert confirm prompt process Buffer require module __dirname " +
    "__filename global Temporal eval Function DOMParser Image Audio Element Event"
  ).split(" "),
);

/** One broken rule, at one place. */
export interface Breach {
  readonly file: string;
  readonly line: number;
  /** The rule's short name, for tests. */
  readonly rule: "no-files" | "syntax" | "room" | "arrow" | "door" | "node" | "package" | "impure";
  readonly text: string;
}

/** Any node of the syntax tree. */
interface Node {
  readonly type: string;
  readonly start: number;
  readonly [key: string]: unknown;
}

interface Source {
  readonly file: string;
  readonly text: string;
  /** First folder under src/, or the file's own name when it stands at the top. */
  readonly room: string;
  readonly floor: number;
  readonly program: Node;
}

/** All breaches in the tree `src/` under `root`; finding no files is itself one. */
export function findBreaches(root: string): Breach[] {
  const files = globSync("src/**/*.{ts,tsx,mts,js,mjs}", { cwd: root })
    .map((file) => file.replaceAll("\\", "/"))
    .filter((file) => !/\.test\.tsx?$/.test(file))
    .sort();
  if (files.length === 0) return [{ file: "src", line: 0, rule: "no-files", text: "No source files were found." }];
  const dependencies = readDependencies(root);
  return files.flatMap((file) => judge(file, readFileSync(join(root, file), "utf8"), dependencies));
}

function judge(file: string, text: string, dependencies: ReadonlySet<string>): Breach[] {
  const parsed = parseSync(file, text);
  if (parsed.errors.length > 0) return [{ file, line: 1, rule: "syntax", text: parsed.errors[0]?.message ?? "" }];
  const room = file.split("/")[1] ?? "";
  const floor = Object.hasOwn(FLOORS, room) ? FLOORS[room] : PACKAGE_DOORS[room];
  if (floor === undefined) return [{ file, line: 1, rule: "room", text: `${room} is not a room of the table.` }];
  const source: Source = { file, text, room, floor, program: parsed.program as unknown as Node };
  const breaches = importsOf(source.program).flatMap((found) => judgeImport(source, found, dependencies));
  if (floor > TOP_PURE_FLOOR) return breaches;
  const comments = parsed.comments.filter((comment) => /^\/\s*<reference\s/.test(comment.value));
  const references = comments.map((comment) => breach(source, comment.start, "impure", "a reference to outside types"));
  return [...breaches, ...references, ...findImpurities(source)];
}

/** One import, whatever its form: static, type-only, re-export, dynamic, `import("...")` as a type. */
interface Import {
  /** Null for a dynamic import whose address is not a plain string. */
  readonly address: string | null;
  readonly start: number;
  /** True for `import type` and `export type`, which leave nothing behind at run time. */
  readonly isType: boolean;
}

function importsOf(program: Node): Import[] {
  const found: Import[] = [];
  walk(program, (node) => {
    const isStatic = /^(ImportDeclaration|ExportNamedDeclaration|ExportAllDeclaration|TSImportType)$/.test(node.type);
    if (isStatic || node.type === "ImportExpression") {
      const literal = (node.source ?? null) as Node | null;
      const isType = node.importKind === "type" || node.exportKind === "type";
      if (literal !== null) found.push({ address: stringOf(literal), start: node.start, isType });
    }
    if (node.type === "TSExternalModuleReference") {
      found.push({ address: stringOf(node.expression as Node), start: node.start, isType: false });
    }
  });
  return found;
}

function judgeImport(source: Source, found: Import, dependencies: ReadonlySet<string>): Breach[] {
  const { address, start } = found;
  const isPure = source.floor <= TOP_PURE_FLOOR;
  if (address === null) {
    return isPure ? [breach(source, start, "impure", "an import whose address is computed")] : [];
  }
  if (address.startsWith(".")) return judgeRelative(source, address, found);
  if (address.startsWith("node:")) {
    const allowed = !isPure && source.room !== "web";
    return allowed ? [] : [breach(source, start, "node", `${address} in ${source.room}`)];
  }
  const name = address
    .split("/")
    .slice(0, address.startsWith("@") ? 2 : 1)
    .join("/");
  const allowed = isPure ? (PURE_PACKAGES[source.room] ?? []).includes(name) : dependencies.has(name);
  return allowed ? [] : [breach(source, start, "package", `package ${name} in ${source.room}`)];
}

function judgeRelative(source: Source, address: string, { start, isType }: Import): Breach[] {
  const target = posix.normalize(posix.join(posix.dirname(source.file), address.split("?")[0] ?? ""));
  const [top, room = "", ...rest] = target.split("/");
  if (top !== "src") return [breach(source, start, "arrow", `${address} leaves src`)];
  if (room === source.room) return [];
  const floor = Object.hasOwn(FLOORS, room) ? FLOORS[room] : undefined;
  if (floor === undefined) return [breach(source, start, "room", `${address} leads to no room of the table`)];
  const breaches: Breach[] = [];
  const isPackageDoor = Object.hasOwn(PACKAGE_DOORS, source.room);
  const down = isPackageDoor ? floor <= source.floor && room !== "web" : floor < source.floor;
  if (!down && !(SAME_FLOOR[source.room] ?? []).includes(room)) {
    breaches.push(breach(source, start, "arrow", `${source.room} may not import ${room}`));
  }
  const inside = rest.join("/");
  const isTypeDoor = isType && (TYPE_DOORS[source.room] ?? []).includes(`${room}/${inside}`);
  const isMachineDoor = (MACHINE_DOORS[source.room] ?? []).includes(`${room}/${inside}`);
  if (inside !== "index.ts" && !isTypeDoor && !isMachineDoor)
    breaches.push(breach(source, start, "door", `${address} is not the room's door`));
  return breaches;
}

/** Uses of names from outside the language, and of its own clock and dice. */
function findImpurities(source: Source): Breach[] {
  const declared = declaredNames(source.program);
  const breaches: Breach[] = [];
  walkReferences(source.program, (node, parent) => {
    if (node.type === "MetaProperty" && (node.meta as Node).name === "import") {
      breaches.push(breach(source, node.start, "impure", "import.meta"));
    }
    if (node.type !== "Identifier") return;
    const name = String(node.name);
    // A name the file declares itself is its own; the compiler's pure project catches what hides behind one.
    if (declared.has(name)) return;
    if (OUTSIDE_NAMES.has(name)) breaches.push(breach(source, node.start, "impure", name));
    else if (name === "Date" && !isMember(node, parent, ["UTC", "parse"])) {
      breaches.push(breach(source, node.start, "impure", "Date, a clock"));
    } else if (name === "Math" && takesRandom(node, parent)) {
      breaches.push(breach(source, node.start, "impure", "Math.random"));
    }
  });
  return breaches;
}

/** True for `node.name` and `node["name"]` with one of the names. */
function isMember(node: Node, parent: Node | null, names: readonly string[]): boolean {
  const property = memberName(node, parent);
  return property !== null && names.includes(property);
}

/** Math may be used member by member, or taken apart by plain names; anything else could hand out its dice. */
function takesRandom(node: Node, parent: Node | null): boolean {
  const property = memberName(node, parent);
  if (property !== null) return property === "random";
  if (parent?.type !== "VariableDeclarator" || (parent.id as Node).type !== "ObjectPattern") return true;
  const properties = (parent.id as Node).properties as Node[];
  return properties.some((entry) => entry.type !== "Property" || (entry.key as Node).name === "random");
}

/** The member asked of `node` by its parent; null when it is no member access or the name is computed. */
function memberName(node: Node, parent: Node | null): string | null {
  if (parent?.type !== "MemberExpression" || parent.object !== node) return null;
  const property = parent.property as Node;
  return parent.computed === true ? stringOf(property) : String(property.name);
}

/** Every name the file declares: imports, variables, parameters, functions, classes. */
function declaredNames(program: Node): ReadonlySet<string> {
  const names = new Set<string>();
  walk(program, (node) => {
    if (/^Import(Default|Namespace)?Specifier$/.test(node.type)) addPattern(node.local, names);
    if (node.type === "VariableDeclarator") addPattern(node.id, names);
    if (node.type === "CatchClause") addPattern(node.param, names);
    if (/^(Function|ArrowFunction|Class)/.test(node.type)) {
      addPattern(node.id, names);
      const params = node.params;
      if (Array.isArray(params)) for (const param of params) addPattern(param, names);
    }
  });
  return names;
}

function addPattern(pattern: unknown, names: Set<string>): void {
  if (!isNode(pattern)) return;
  if (pattern.type === "Identifier") names.add(String(pattern.name));
  else if (pattern.type === "AssignmentPattern") addPattern(pattern.left, names);
  else if (pattern.type === "RestElement") addPattern(pattern.argument, names);
  else if (pattern.type === "ArrayPattern") for (const part of pattern.elements as unknown[]) addPattern(part, names);
  else if (pattern.type === "ObjectPattern") {
    for (const part of pattern.properties as Node[]) {
      addPattern(part.type === "Property" ? part.value : part, names);
    }
  }
}

/** TypeScript's wrappers around expressions; every other TS node holds types, which do nothing at run time. */
const TYPED_EXPRESSIONS = /^TS(As|Satisfies|NonNull|Instantiation)Expression$|^TSTypeAssertion$/;

/** Visits what runs: identifiers that stand for a value, not keys, labels, members or types. */
function walkReferences(
  node: Node,
  visit: (node: Node, parent: Node | null) => void,
  parent: Node | null = null,
): void {
  if (node.type.startsWith("TS") && !TYPED_EXPRESSIONS.test(node.type)) return;
  visit(node, parent);
  for (const [key, value] of Object.entries(node)) {
    const isName = (key === "property" || key === "key") && node.computed !== true;
    const isLabel = key === "label" || /^(Import|Export).*Specifier$|^ImportAttribute$|^MetaProperty$/.test(node.type);
    if (isName || isLabel) continue;
    for (const child of childrenOf(value)) walkReferences(child, visit, node);
  }
}

function walk(node: Node, visit: (node: Node) => void): void {
  visit(node);
  for (const value of Object.values(node)) for (const child of childrenOf(value)) walk(child, visit);
}

function childrenOf(value: unknown): Node[] {
  return (Array.isArray(value) ? value : [value]).filter(isNode);
}

function isNode(value: unknown): value is Node {
  return typeof value === "object" && value !== null && "type" in value && typeof value.type === "string";
}

/** The text of a string literal (or of a template without holes), else null. */
function stringOf(node: Node): string | null {
  if (node.type === "TSLiteralType") return stringOf(node.literal as Node);
  if (node.type === "Literal" && typeof node.value === "string") return node.value;
  if (node.type !== "TemplateLiteral" || (node.expressions as Node[]).length > 0) return null;
  const [part] = node.quasis as { value: { cooked: string } }[];
  return part?.value.cooked ?? null;
}

function breach(source: Source, start: number, rule: Breach["rule"], text: string): Breach {
  return { file: source.file, line: source.text.slice(0, start).split("\n").length, rule, text };
}

function readDependencies(root: string): ReadonlySet<string> {
  const manifest = JSON.parse(readFileSync(join(root, "package.json"), "utf8")) as { dependencies?: object };
  return new Set(Object.keys(manifest.dependencies ?? {}));
}
