import assert from "node:assert/strict";
import { X509Certificate } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { createServer as createHttpsServer } from "node:https";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { connect } from "node:tls";
import { Visitor } from "../../../test/network-visitor.ts";
import { expectOk } from "../../units/index.ts";
import { startServer } from "../index.ts";
import { openAuthority, openServed } from "./authority.ts";
import { makeAuthority, makeServed, type Pair } from "./certificates.ts";

/** Held against OpenSSL's own verification (RFC 5280), as it is built into Node: what a phone's would say too. */

const root = mkdtempSync(join(tmpdir(), "stopwise-certificates-"));
after(() => rmSync(root, { recursive: true, force: true }));
const now = new Date("2026-11-25T12:00:00Z");
const dayMs = 86_400_000;
const later = (days: number): Date => new Date(now.getTime() + days * dayMs);

/** What a client that trusts `ca` alone says of a server with this certificate, under this name: null when content. */
async function verdictOf(served: Pair, ca: string, servername: string): Promise<string | null> {
  const server = createHttpsServer({ cert: served.certificate, key: served.key });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address() as AddressInfo;
  const said = await new Promise<string | null>((resolve) => {
    const isAddress = /^\d+\./.test(servername);
    const socket = connect({
      host: "127.0.0.1",
      port,
      ca,
      ...(isAddress ? { servername: "" } : { servername }),
      checkServerIdentity: (_host, certificate) => {
        const leaf = new X509Certificate(certificate.raw);
        const fits = isAddress ? leaf.checkIP(servername) : leaf.checkHost(servername);
        return fits === undefined ? new Error("other name") : undefined;
      },
    });
    socket.on("secureConnect", () => {
      resolve(null);
      socket.destroy();
    });
    socket.on("error", (error) => resolve(error.message));
  });
  server.close();
  return said;
}

test("the chain holds for the name and for the addresses of private networks, as a phone checks it", async () => {
  const start = new Date();
  const name = "stopwise-abc234.local";
  const authority = await makeAuthority(name, start);
  const addresses = ["10.1.2.3", "172.20.10.2", "192.168.43.1", "100.64.1.1", "169.254.9.9"];
  const served = await makeServed(authority, name, addresses, start);
  assert.equal(await verdictOf(served, authority.certificate, name), null);
  for (const address of addresses) assert.equal(await verdictOf(served, authority.certificate, address), null, address);
  assert.equal(await verdictOf(served, authority.certificate, "other.local"), "other name");
  const stranger = await makeAuthority(name, start);
  assert.notEqual(await verdictOf(served, stranger.certificate, name), null, "another authority's word counts nothing");
});

test("the authority's word counts for no other name and no public address: the constraints refuse them", async () => {
  const start = new Date();
  const authority = await makeAuthority("stopwise-abc234.local", start);
  for (const name of ["bank.test", "stopwise-other2.local", "xstopwise-abc234.local", "local"]) {
    const forged = await makeServed(authority, name, [], start);
    assert.equal(await verdictOf(forged, authority.certificate, name), "permitted subtree violation", name);
  }
  for (const address of ["8.8.8.8", "11.0.0.1", "172.32.0.1", "192.169.0.1", "127.0.0.1", "fd00::2"]) {
    const forged = await makeServed(authority, "stopwise-abc234.local", [address], start);
    const said = await verdictOf(forged, authority.certificate, "stopwise-abc234.local");
    assert.equal(said, "permitted subtree violation", address);
  }
});

test("the certificate that is served cannot vouch for others", async () => {
  const start = new Date();
  const name = "stopwise-abc234.local";
  const authority = await makeAuthority(name, start);
  const served = await makeServed(authority, name, [], start);
  const below = await makeServed(served, name, [], start);
  const chain = { certificate: `${below.certificate}\n${served.certificate}`, key: below.key };
  assert.notEqual(await verdictOf(chain, authority.certificate, name), null);
  const leaf = new X509Certificate(served.certificate);
  assert.equal(leaf.ca, false);
  assert.ok(leaf.validToDate.getTime() - leaf.validFromDate.getTime() <= 92 * dayMs);
});

test("keys are readable by their owner alone, the same authority is there after a new start", async () => {
  const dir = join(root, "kept");
  const first = expectOk(await openAuthority(dir, now));
  const served = expectOk(await openServed(dir, first, ["192.168.1.2"], now));
  assert.match(first.name, /^stopwise-[a-z0-9]{6}\.local$/);
  assert.doesNotMatch(first.download.toString("latin1"), /PRIVATE KEY/);
  for (const file of readdirSync(join(dir, "network"))) {
    const mode = statSync(join(dir, "network", file)).mode & 0o777;
    if (process.platform !== "win32") assert.equal(mode, 0o600, file);
  }
  assert.equal(expectOk(await openAuthority(dir, later(1))).certificate, first.certificate);
  const again = expectOk(await openServed(dir, first, ["192.168.1.2"], later(1)));
  assert.equal(again.certificate, served.certificate);
});

test("the served certificate is renewed a month before its end, and for a new address", async () => {
  const dir = join(root, "renewed");
  const authority = expectOk(await openAuthority(dir, now));
  const open = async (addresses: readonly string[], days: number): Promise<X509Certificate> =>
    new X509Certificate(expectOk(await openServed(dir, authority, addresses, later(days))).certificate);
  const first = await open(["192.168.1.2"], 0);
  assert.equal((await open(["192.168.1.2"], 59)).serialNumber, first.serialNumber);
  const second = await open(["192.168.1.2"], 61);
  assert.notEqual(second.serialNumber, first.serialNumber);
  assert.ok(second.validToDate > later(150));
  const third = await open(["192.168.1.2", "10.0.0.9"], 61);
  assert.notEqual(third.serialNumber, second.serialNumber);
  assert.equal(third.checkIP("10.0.0.9"), "10.0.0.9");
  const last = await open(["10.0.0.9"], 3649);
  assert.ok(last.validToDate <= new X509Certificate(authority.certificate).validToDate, "never beyond its authority");
  assert.equal((await open(["10.0.0.9"], 3649)).serialNumber, last.serialNumber, "nor made anew at every look");
});

test("a clock before the authority's beginning, or past its end, is said in words", async () => {
  const dir = join(root, "clock");
  expectOk(await openAuthority(dir, now));
  for (const [days, code] of [
    [-2, "clock-wrong"],
    [3651, "certificate-expired"],
  ] as const) {
    const opened = await openAuthority(dir, later(days));
    assert.equal(opened.ok ? null : opened.faults[0]?.code, code);
  }
  assert.equal((await openAuthority(dir, later(-0.5))).ok, true, "half a day behind is forgiven");
});

test("a torn file is said, never silently replaced; a torn served certificate is made anew", async () => {
  const dir = join(root, "torn");
  const authority = expectOk(await openAuthority(dir, now));
  expectOk(await openServed(dir, authority, [], now));
  writeFileSync(join(dir, "network", "served.pem"), "");
  assert.equal((await openServed(dir, authority, [], now)).ok, true);
  const file = join(dir, "network", "authority.pem");
  const whole = readFileSync(file);
  const other = await makeAuthority(authority.name, now);
  for (const torn of [whole.subarray(0, 200), Buffer.alloc(whole.length), `${authority.certificate}\n${other.key}`]) {
    writeFileSync(file, torn);
    const opened = await openAuthority(dir, now);
    assert.equal(opened.ok ? null : opened.faults[0]?.code, "authority-damaged");
  }
  truncateSync(file, 0);
  assert.equal((await openAuthority(dir, now)).ok, false);
});

test("a phone that trusts the downloaded certificate reaches the server by its name without a warning", async (t) => {
  const server = expectOk(
    await startServer({
      ...{ dataDir: join(root, "book"), port: 0, webDir: join(root, "none"), seedDemo: false },
      ...{ now: () => new Date(), newId: () => `c${performance.now()}` },
      network: { port: 0, addresses: () => ["127.0.0.2"], mdnsPort: null },
    }),
  );
  t.after(() => server.close());
  // The address is no private one, so the certificate is asked for by the name alone.
  expectOk(await server.network.switchOn("secure"));
  const careless = new Visitor(server, "127.0.0.2");
  const given = await careless.ask("/authority.crt");
  assert.equal(given.headers["content-type"], "application/x-x509-ca-cert");
  const { fingerprint, name } = server.network.state();
  const file = readFileSync(join(root, "book", "network", "authority.pem"), "utf8");
  const ca = new X509Certificate(file);
  assert.equal(ca.fingerprint256, fingerprint);
  assert.ok(careless.origin.includes(String(name)));
  const trusting = new Visitor(server, "127.0.0.2", { ca: ca.toString() });
  assert.equal((await trusting.ask("/pair")).status, 200);
  const other = await makeAuthority(String(name), new Date());
  await assert.rejects(new Visitor(server, "127.0.0.2", { ca: other.certificate }).ask("/pair"));
});
