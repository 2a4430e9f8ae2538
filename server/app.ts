import express, { type Express, type NextFunction, type Request, type Response } from 'express';
import { fileURLToPath } from 'node:url';
import type { ErrorReply } from '../shared/api.ts';
import { isMendable, type Store } from '../src/index.ts';
import type { Days } from './days.ts';
import { refuseOtherMethods } from './known-paths.ts';
import type { Marks } from '../shared/marks.ts';
import { createMarksInMemory } from './marks.ts';
import { caseRoutes } from './routes/cases.ts';
import { dayRoutes } from './routes/days.ts';
import { markRoutes } from './routes/marks.ts';
import { paperRoutes } from './routes/papers.ts';
import { readingRoutes } from './routes/readings.ts';
import { seasonRoutes } from './routes/season.ts';
import { uploadRoutes } from './routes/uploads.ts';
import { viewRoutes } from './routes/views.ts';
import { guard, setHeaders } from './security.ts';
import { UploadTooLarge, UploadWithoutRoom, type Uploads } from './uploads.ts';

export interface AppParts {
  readonly days: Days;
  readonly uploads: Uploads;
  /** Names with port this server answers to. */
  readonly hosts: () => readonly string[];
  /** Where the built viewer lies. */
  readonly pages?: string;
  readonly sample: () => string;
  /** What people found at the machine; in memory when left out. */
  readonly marks?: Marks;
  /** Days that are kept; none when left out. Marks are kept with them. */
  readonly store?: Store;
}

/** The server's routes, not yet listening. */
export function createApp(parts: AppParts): Express {
  const app = express();
  app.disable('x-powered-by');
  app.set('trust proxy', false);
  /* Nothing is cached, so that a hash of every answer would be for nothing. */
  app.set('etag', false);
  app.set('query parser', 'simple');
  app.use(setHeaders, guard(parts.hosts));
  const kept = { days: parts.days, marks: parts.marks ?? parts.store?.marks ?? createMarksInMemory() };
  const routers = [uploadRoutes(parts.uploads), dayRoutes(parts), viewRoutes(parts), readingRoutes(parts), markRoutes(kept), paperRoutes(kept), caseRoutes(parts), seasonRoutes(parts)];
  app.use('/api', ...routers, refuseOtherMethods(routers));
  app.use('/api', (_request: Request, response: Response) => {
    sendError(response, 404, { kind: 'not-found', message: 'There is nothing at this address.', whatToDo: 'Open the start page.' });
  });
  const pages = parts.pages ?? fileURLToPath(new URL('../web/', import.meta.url));
  app.use(express.static(pages, { dotfiles: 'deny', index: 'index.html', redirect: false, cacheControl: false }));
  app.use((request: Request, response: Response) => {
    if (request.method !== 'GET' && request.method !== 'HEAD') {
      sendError(response.set('Allow', 'GET, HEAD'), 405, { kind: 'usage', message: 'Pages can only be fetched.', whatToDo: 'Open the start page.' });
      return;
    }
    sendError(response, 404, { kind: 'not-found', message: 'There is no such page.', whatToDo: 'Open the start page.' });
  });
  app.use((error: unknown, _request: Request, response: Response, _next: NextFunction) => answerError(error, response));
  return app;
}

function answerError(error: unknown, response: Response): void {
  if (response.headersSent) {
    response.destroy();
    return;
  }
  if (isMendable(error)) sendError(response, error.kind === 'usage' ? 400 : 422, { kind: error.kind, message: error.message, whatToDo: error.whatToDo });
  else if (error instanceof UploadTooLarge) sendError(response, 413, { kind: 'input', message: `The file is too large: ${error.message}.`, whatToDo: 'Compress it with gzip, or run sowtrace check on it.' });
  else if (error instanceof UploadWithoutRoom) sendError(response, 507, { kind: 'input', message: `There is no room for the file: ${error.message}.`, whatToDo: 'Make room on the disk, compress the file with gzip, or run sowtrace check on it.' });
  else if (isHttpError(error)) sendError(response, error.status, { kind: 'usage', message: 'The request could not be read.', whatToDo: 'Reload the page and try again.' });
  else sendError(response, 500, { kind: 'internal', message: 'This is our mistake, not yours.', whatToDo: 'Please report what you did just before.' });
}

function isHttpError(error: unknown): error is { readonly status: number } {
  return typeof error === 'object' && error !== null && 'status' in error && typeof error.status === 'number' && error.status >= 400 && error.status < 500;
}

function sendError(response: Response, status: number, reply: ErrorReply): void {
  response.status(status).json(reply);
}
