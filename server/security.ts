import type { NextFunction, Request, Response } from 'express';
import type { ErrorReply } from '../shared/api.ts';

/** Sent by the viewer with everything that changes something; other sites cannot send it without asking first. */
export const OWN_HEADER = 'x-sowtrace';

const PAGE_POLICY = [
  "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data: blob:", "connect-src 'self'", "font-src 'self'", "worker-src 'self'",
  "manifest-src 'self'", "object-src 'none'", "base-uri 'none'", "form-action 'self'", "frame-ancestors 'none'", "require-trusted-types-for 'script'", "trusted-types 'none'",
].join('; ');
const DATA_POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox";

/** The headers of every answer, errors included. */
export function setHeaders(request: Request, response: Response, next: NextFunction): void {
  const isData = request.path.startsWith('/api/');
  response.set({
    'Content-Security-Policy': isData ? DATA_POLICY : PAGE_POLICY,
    'X-Content-Type-Options': 'nosniff',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Embedder-Policy': 'require-corp',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'X-Frame-Options': 'DENY',
    'Permissions-Policy': 'camera=(), microphone=(), geolocation=(), usb=(), serial=(), payment=()',
    'Cache-Control': 'no-store',
    'Vary': 'Sec-Fetch-Site, Origin',
  });
  next();
}

/**
 * Refuses what does not come from the viewer itself: another host name (DNS rebinding) is answered 421, a request of
 * another site 403. `hosts` are the names with port this server answers to.
 */
export function guard(hosts: () => readonly string[]): (request: Request, response: Response, next: NextFunction) => void {
  return (request, response, next) => {
    const refuse = (status: number, message: string): void => {
      const reply: ErrorReply = { kind: 'refused', message, whatToDo: 'Open the address that sowtrace view printed.' };
      response.status(status).json(reply);
    };
    const { host } = request.headers;
    const count = request.rawHeaders.filter((name, index) => index % 2 === 0 && name.toLowerCase() === 'host').length;
    if (host === undefined || count !== 1 || !hosts().includes(host)) {
      refuse(421, 'This server does not answer to that name.');
      return;
    }
    if (request.method === 'GET' || request.method === 'HEAD') {
      next();
      return;
    }
    const { origin, 'sec-fetch-site': site } = request.headers;
    const isOwnOrigin = origin === undefined ? site === undefined || site === 'same-origin' : hosts().some((name) => origin === `http://${name}`);
    const isOwnSite = site === undefined || site === 'same-origin';
    if (!isOwnOrigin || !isOwnSite || request.headers[OWN_HEADER] !== '1') {
      refuse(403, 'Only the viewer itself may change something here.');
      return;
    }
    next();
  };
}
