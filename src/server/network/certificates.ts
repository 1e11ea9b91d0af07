/**
 * The certificates (X.509, RFC 5280): one authority per data directory, made once, which may sign for the one
 * `.local` name and for addresses of private networks and for nothing else (critical name constraints, RFC 5280
 * 4.2.1.10), and the short-lived certificate that the network side serves under it. Keys are on the curve P-256.
 */

import "reflect-metadata";
import { webcrypto } from "node:crypto";
import { AsnConvert } from "@peculiar/asn1-schema";
import {
  GeneralName,
  GeneralSubtree,
  GeneralSubtrees,
  id_ce_nameConstraints,
  NameConstraints,
} from "@peculiar/asn1-x509";
import * as x509 from "@peculiar/x509";
import { servedBlocks } from "./addresses.ts";

x509.cryptoProvider.set(webcrypto as Crypto);

/** A certificate and its private key, as PEM. */
export interface Pair {
  readonly certificate: string;
  readonly key: string;
}

const dayMs = 86_400_000;
/** Ten years: an authority that runs out has to be trusted anew on every phone. */
const authorityDays = 3650;
/** Phones take no certificate of a server that is valid for much more than a year; a quarter is plenty. */
export const servedDays = 90;
/** A served certificate is made anew when it has less than this to go. */
export const renewDays = 30;
/** Certificates begin a day early, for phones whose clock is behind. */
const earlyDays = 1;

const algorithm = { name: "ECDSA", namedCurve: "P-256" } as const;
const signing = { name: "ECDSA", hash: "SHA-256" } as const;

/** A new authority for one `.local` name. */
export async function makeAuthority(name: string, now: Date): Promise<Pair> {
  const keys = (await webcrypto.subtle.generateKey(algorithm, true, ["sign", "verify"])) as CryptoKeyPair;
  const certificate = await x509.X509CertificateGenerator.createSelfSigned({
    serialNumber: serial(),
    name: `CN=Stopwise on ${name}`,
    notBefore: later(now, -earlyDays),
    notAfter: later(now, authorityDays),
    signingAlgorithm: signing,
    keys,
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign, true),
      // For servers alone: not for mail, programs or people.
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      new x509.Extension(id_ce_nameConstraints, true, nameConstraints(name)),
    ],
  });
  return { certificate: certificate.toString("pem"), key: await keyText(keys.privateKey) };
}

/** The certificate that is served: for the name, and for the addresses that the machine has now. */
export async function makeServed(
  authority: Pair,
  name: string,
  addresses: readonly string[],
  now: Date,
): Promise<Pair> {
  const issuer = new x509.X509Certificate(authority.certificate);
  const keys = (await webcrypto.subtle.generateKey(algorithm, true, ["sign", "verify"])) as CryptoKeyPair;
  const end = Math.min(later(now, servedDays).getTime(), issuer.notAfter.getTime());
  const certificate = await x509.X509CertificateGenerator.create({
    serialNumber: serial(),
    subject: `CN=${name}`,
    issuer: issuer.subject,
    notBefore: later(now, -earlyDays),
    notAfter: new Date(end),
    signingAlgorithm: signing,
    publicKey: keys.publicKey,
    signingKey: await readKey(authority.key),
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      new x509.SubjectAlternativeNameExtension([
        { type: "dns", value: name },
        ...addresses.map((value) => ({ type: "ip", value }) as const),
      ]),
      await x509.AuthorityKeyIdentifierExtension.create(issuer.publicKey),
    ],
  });
  return { certificate: certificate.toString("pem"), key: await keyText(keys.privateKey) };
}

/** Only this name and names below it, and only addresses of the blocks; an IPv6 address fits none of them. */
function nameConstraints(name: string): ArrayBuffer {
  const bases = [
    new GeneralName({ dNSName: name }),
    ...servedBlocks.map(([network, bits]) => new GeneralName({ iPAddress: `${network}/${bits}` })),
  ];
  const permittedSubtrees = new GeneralSubtrees(bases.map((base) => new GeneralSubtree({ base })));
  return AsnConvert.serialize(new NameConstraints({ permittedSubtrees }));
}

/** 127 random bits; the first byte's highest stays clear, so that the number is positive. */
function serial(): string {
  const bytes = webcrypto.getRandomValues(new Uint8Array(16));
  bytes[0] = ((bytes[0] ?? 0) & 0x7f) | 0x40;
  return Buffer.from(bytes).toString("hex");
}

const later = (from: Date, days: number): Date => new Date(from.getTime() + days * dayMs);

async function keyText(key: CryptoKey): Promise<string> {
  return x509.PemConverter.encode(await webcrypto.subtle.exportKey("pkcs8", key), "PRIVATE KEY");
}

async function readKey(pem: string): Promise<CryptoKey> {
  const [bytes] = x509.PemConverter.decode(pem);
  return (await webcrypto.subtle.importKey("pkcs8", bytes as ArrayBuffer, algorithm, false, ["sign"])) as CryptoKey;
}
