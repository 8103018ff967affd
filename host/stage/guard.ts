/**
 * Who may speak to the stage's server: pages of its own, on this computer. A name that was bound anew to 127.0.0.1 shows in Host,
 * another site's page in Origin, and a program of another user does not know the token.
 */
import { randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage } from 'node:http';

/** What a page may load and run: its own files, nothing written into the page, nothing from elsewhere. */
export const POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob: data:",
  "media-src 'self' blob:",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

export const HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy': POLICY,
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Cache-Control': 'no-store',
};

export const newToken = (): string => randomBytes(18).toString('base64url');

/** Where a request comes from, as far as it says. */
type Asked = Pick<IncomingMessage, 'headers' | 'method' | 'url'>;

/** Why a request is not answered, in words; null: it is. `port` is the server's own. */
export function refusal({ headers, method, url }: Asked, port: number, token: string, upgrade = false): string | null {
  const names = ['127.0.0.1', 'localhost'].map((name) => `${name}:${String(port)}`);
  if (!names.includes(headers.host ?? '')) return 'this name is not this computer’s own';
  const { origin } = headers;
  const isOwn = names.some((name) => origin === `http://${name}`);
  if (origin !== undefined && !isOwn) return 'another site’s page may not ask';
  if ((upgrade || (method !== 'GET' && method !== 'HEAD')) && !isOwn) return 'only the stage’s own page may do this';
  return sameText(tokenOf(url ?? ''), token) ? null : 'the address lacks its token: open the one that was printed';
}

/** The first part of the path: every address begins with the token. */
const tokenOf = (url: string): string => /^\/([^/?#]+)\//.exec(url)?.[1] ?? '';

function sameText(a: string, b: string): boolean {
  const [x, y] = [Buffer.from(a), Buffer.from(b)];
  return x.length === y.length && timingSafeEqual(x, y);
}
