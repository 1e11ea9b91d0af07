/**
 * The pages for whoever was not let in: the form for the code, and how a phone learns to trust this computer. Plain
 * HTML without a script, so that they open on any phone; what visitors send is never shown unescaped.
 */

export interface PageWords {
  readonly name: string;
  readonly fingerprint: string;
  readonly plain: boolean;
  /** Where the page's other kind is: "https://stopwise-k3f9w2.local:47116". */
  readonly origin: string;
}

/** The form. `fault`: why the last try was refused. */
export function pairPage(words: PageWords, code: string, deviceName: string, fault: string | null): string {
  const refused = fault === null ? "" : `<p class="fault" role="alert">${inHtml(fault)}</p>`;
  return page(
    "Let this device in",
    `<h1>Let this device in</h1>
${refused}
<form method="post" action="/pair" autocomplete="off">
<label>The four words on the computer’s screen
<input name="code" value="${inHtml(code)}" required maxlength="80" autocapitalize="none" spellcheck="false" placeholder="word word word word"></label>
<label>What this device is called
<input name="name" value="${inHtml(deviceName)}" required maxlength="60" placeholder="phone at the meter"></label>
<button>Let me in</button>
</form>
<p>The words are on the computer under <b>Let a phone in</b>. They serve once, for two minutes.</p>
${words.plain ? plainWarning : '<p><a href="/trust">How this phone learns to trust the computer</a></p>'}`,
  );
}

const plainWarning = `<p class="fault">This connection is not encrypted. Whoever is on the same network can read what this
device sees and take its place. The page does not open without the network here.</p>`;

/** How to trust the authority, in the words of the phone's own settings. */
export function trustPage({ name, fingerprint, origin }: PageWords): string {
  return page(
    "Trust this computer",
    `<h1>Trust this computer</h1>
<p>Do this once, at home, on a network that you know. It lets the phone keep the page for places without a network,
and tells it your computer from any other.</p>
<ol>
<li><a class="button" href="/authority.crt">Take the certificate</a></li>
<li>Compare its fingerprint (SHA-256), here and in the phone’s own details of the certificate, with the one on the
computer’s screen:<br><code>${inHtml(fingerprint)}</code><br>If they differ, stop: something stands between.</li>
<li>Install it, as your phone does it:
<ul>
<li><b>Settings say “Profile downloaded”</b>: open that line and choose Install. Then Settings, General, About,
Certificate trust settings: switch on “Stopwise on ${inHtml(name)}”. Without this second step it is not trusted.</li>
<li><b>Settings have “Install a certificate”</b> (search the settings for that word; it stands under Security, Encryption
and credentials): choose CA certificate, Install anyway, then the file that was taken. A screen lock must be set.</li>
</ul></li>
<li>Open <a href="${inHtml(origin)}/pair">${inHtml(origin)}</a>. No warning must appear.</li>
</ol>
<h2>What the certificate can do</h2>
<p>It vouches for <b>${inHtml(name)}</b> and for addresses of private networks, and for nothing else: no other site can be
passed off with it. Its key never leaves the computer.</p>
<h2>If you do not trust it</h2>
<p>The phone warns at every new start. If you go on in spite of the warning, the connection is encrypted, but the phone
cannot tell this computer from another, and does not keep the page for times without a network.</p>
<h2>If the name is not found</h2>
<p>Some phones and networks do not know names that end in .local. Use the address on the computer’s screen. A browser keeps
its copies by address: under a new address it begins empty, and the copies stay with the old one.</p>
<h2>If the phone says that the certificate is not valid yet, or no longer</h2>
<p>Look at the clocks of the phone and of the computer, day and year too, and set the wrong one. The computer renews what
it serves by itself a month before its end.</p>
<h2>To take it back</h2>
<p>Remove the profile or certificate in the same place of the phone’s settings.</p>`,
  );
}

function page(title: string, body: string): string {
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title} · Stopwise</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/pair.css">
<main>
${body}
</main>
</html>
`;
}

const entities: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};
const inHtml = (text: string): string => text.replace(/[&<>"']/g, (sign) => entities[sign] ?? "");

/** Greys without a hue, as in the page; the phone's own choice of light or dark. */
export const pairCss = `:root { color-scheme: light dark; --room: #dcdcdc; --panel: #fafafa; --edge: #6f6f6f; --ink: #141414; --quiet: #4a4a4a; }
@media (prefers-color-scheme: dark) { :root { --room: #121212; --panel: #1b1b1b; --edge: #747474; --ink: #f2f2f2; --quiet: #b9b9b9; } }
body { margin: 0; background: var(--room); color: var(--ink); font: 17px/1.5 system-ui, sans-serif; }
main { box-sizing: border-box; max-width: 36rem; margin: 0 auto; padding: 24px 16px 48px; background: var(--panel); min-height: 100vh; }
h1 { font-size: 1.5rem; margin: 0 0 16px; } h2 { font-size: 1.1rem; margin: 28px 0 4px; } p { margin: 8px 0; }
label { display: block; margin: 16px 0; color: var(--quiet); }
input { display: block; box-sizing: border-box; width: 100%; min-height: 48px; margin-top: 4px; padding: 8px 12px; font: inherit; color: var(--ink); background: var(--room); border: 1px solid var(--edge); border-radius: 3px; }
button, .button { display: inline-block; box-sizing: border-box; min-height: 48px; padding: 10px 20px; font: inherit; font-weight: 600; color: var(--panel); background: var(--ink); border: 0; border-radius: 3px; text-decoration: none; }
a { color: inherit; } a:focus-visible, input:focus-visible, button:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
code { overflow-wrap: anywhere; font-size: 0.9rem; } li { margin: 10px 0; } ol, ul { padding-left: 1.3rem; }
.fault { padding: 12px; border: 2px solid var(--ink); border-radius: 3px; }
`;
