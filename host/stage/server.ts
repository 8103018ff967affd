/**
 * The stage's server: the page's files, the rig, its folder's streams and sounds, and the one socket over which a page drives the board.
 * It listens on this computer only; guard.ts says who is answered.
 */
import { type IncomingMessage, type Server, type ServerResponse, createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import sirv from 'sirv';
import { type WebSocket, WebSocketServer } from 'ws';
import type { NightAnswer } from './about.ts';
import type { Folder, Kind } from './folder.ts';
import { HEADERS, refusal } from './guard.ts';

export interface StageFiles {
  /** The folder of the page's own files: index.html, app.js, … */
  readonly page: string;
  readonly wasm: Uint8Array;
  /** What `rigText` made of the rig, and how the rig is called. */
  readonly rig: string;
  readonly folder: Folder;
  /** The bytes of a mesh that the rig names, by its path in the rig file; null: there is none. */
  readonly mesh: (file: string) => Uint8Array | null;
  /** Packs takes of the folder, by their files' names, as a night of this file's name, and writes it there. */
  readonly night: (file: string, takes: readonly string[]) => Promise<NightAnswer>;
  /** What else the page asks for once, as JSON: where it plays, the streams that were named. */
  readonly about: string;
}

export interface Stage {
  /** The address to open, token and all. */
  readonly url: string;
  close(): Promise<void>;
}

/** Longest message of a page: a hand's pose has a few hundred bytes. */
const MESSAGE_BYTES = 16_384;
/** Longest file that a page may save. */
const BODY_BYTES = 64e6;
/** Longest list of takes. */
const LIST_BYTES = 64e3;

/**
 * Starts it. Rejects with the system's error when the port is taken.
 * @param port 0: any that is free
 * @param connected a page has opened the socket
 */
export async function startStage(
  files: StageFiles,
  token: string,
  port: number,
  connected: (socket: WebSocket) => void,
): Promise<Stage> {
  const pages = sirv(files.page, { dev: true, gzip: true });
  let own = port;
  const server = createServer((request, response) => {
    for (const [name, value] of Object.entries(HEADERS)) response.setHeader(name, value);
    const refused = refusal(request, own, token);
    if (refused !== null) return end(response, 403, refused);
    request.url = (request.url ?? '').slice(token.length + 1);
    answer(files, request, response).then(
      (isDone) => {
        if (!isDone)
          pages(request, response, () => {
            end(response, 404, 'there is no such file');
          });
      },
      () => {
        end(response, 500, 'that did not work');
      },
    );
  });
  const sockets = new WebSocketServer({ noServer: true, maxPayload: MESSAGE_BYTES });
  server.on('upgrade', (request: IncomingMessage, socket, head) => {
    if (refusal(request, own, token, true) !== null || !request.url?.endsWith('/line')) {
      socket.end('HTTP/1.1 403 Forbidden\r\nConnection: close\r\n\r\n');
      return;
    }
    sockets.handleUpgrade(request, socket, head, (opened) => {
      // Whatever a page sends, it is that page's line that ends.
      opened.on('error', () => {
        opened.terminate();
      });
      connected(opened);
    });
  });
  own = await listening(server, port);
  return {
    url: `http://127.0.0.1:${String(own)}/${token}/`,
    close: () => {
      for (const socket of sockets.clients) socket.terminate();
      server.closeAllConnections();
      return new Promise((resolve) =>
        server.close(() => {
          resolve();
        }),
      );
    },
  };
}

function listening(server: Server, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => {
      server.off('error', reject);
      resolve((server.address() as AddressInfo).port);
    });
  });
}

function end(response: ServerResponse, status: number, words: string, type = 'text/plain; charset=utf-8'): void {
  response.writeHead(status, { 'Content-Type': type });
  response.end(words);
}

/** Answers what is no file of the page's. Resolves false: it is one. */
async function answer(files: StageFiles, request: IncomingMessage, response: ServerResponse): Promise<boolean> {
  const path = decodedPath(request.url ?? '');
  if (path === null) return said(response, 400, 'this is no address');
  if (path === '/rig') return told(response, 200, files.rig);
  if (path === '/about') return told(response, 200, files.about);
  if (path === '/newest') return told(response, 200, JSON.stringify(files.folder.newest()));
  if (path === '/controller.wasm') {
    response.writeHead(200, { 'Content-Type': 'application/wasm' });
    response.end(files.wasm);
    return true;
  }
  const [, mesh] = /^\/meshes\/(.+)/.exec(path) ?? [];
  if (mesh !== undefined) return sentMesh(files.mesh(mesh), response);
  const [, night] = /^\/nights\/(.+)/.exec(path) ?? [];
  if (night !== undefined && request.method === 'PUT') return madeNight(files, night, request, response);
  const [, rooms, name] = /^\/(streams|sounds)(?:\/(.*))?$/.exec(path) ?? [];
  if (rooms === undefined) return false;
  const kind: Kind = rooms === 'streams' ? 'stream' : 'sound';
  if (name === undefined || name === '') return told(response, 200, JSON.stringify(files.folder.list(kind)));
  return request.method === 'PUT'
    ? put(files.folder, kind, name, request, response)
    : get(files.folder, kind, name, response);
}

function decodedPath(url: string): string | null {
  try {
    return decodeURIComponent(url.replace(/[?#].*$/, ''));
  } catch {
    return null;
  }
}

function said(response: ServerResponse, status: number, words: string): true {
  end(response, status, words);
  return true;
}

function told(response: ServerResponse, status: number, json: string): true {
  end(response, status, json, 'application/json');
  return true;
}

function sentMesh(bytes: Uint8Array | null, response: ServerResponse): true {
  if (!bytes) return said(response, 404, 'the rig names no such mesh');
  response.writeHead(200, { 'Content-Type': 'model/stl' });
  response.end(bytes);
  return true;
}

function get(folder: Folder, kind: Kind, name: string, response: ServerResponse): true {
  const bytes = folder.read(name, kind);
  if (!bytes) return said(response, 404, 'there is no such file in the rig’s folder');
  response.writeHead(200, {
    'Content-Type': kind === 'stream' ? 'text/csv; charset=utf-8' : 'application/octet-stream',
  });
  response.end(bytes);
  return true;
}

/** All that a request sends; null: it is too much, and that is said. */
async function bodyOf(request: IncomingMessage, response: ServerResponse, most: number): Promise<Buffer | null> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of request as AsyncIterable<Buffer>) {
    size += chunk.length;
    if (size > most) {
      response.setHeader('Connection', 'close');
      said(response, 413, `more than ${String(most / 1e6)} MB: nothing was written`);
      return null;
    }
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

async function put(
  folder: Folder,
  kind: Kind,
  name: string,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<true> {
  const body = await bodyOf(request, response, BODY_BYTES);
  if (!body) return true;
  const fault = folder.write(name, kind, body);
  return fault === null ? said(response, 200, 'saved') : said(response, 422, fault);
}

async function madeNight(
  { night }: StageFiles,
  file: string,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<true> {
  const body = await bodyOf(request, response, LIST_BYTES);
  if (!body) return true;
  const takes = namesIn(body.toString('utf8'));
  const made = takes ? await night(file, takes) : { refused: ['this is no list of takes'] };
  return told(response, 'refused' in made ? 422 : 200, JSON.stringify(made));
}

/** A list of at least one name; null: the text is none. */
function namesIn(text: string): string[] | null {
  try {
    const list: unknown = JSON.parse(text);
    const isList = Array.isArray(list) && list.length > 0 && list.every((name) => typeof name === 'string');
    return isList ? list : null;
  } catch {
    return null;
  }
}
