import { Router, type Request, type Response } from 'express';
import type { ErrorReply } from '../../shared/api.ts';
import type { ValuesAt } from '../../shared/day-views.ts';
import { UsageError } from '../../src/index.ts';
import type { AppParts } from '../app.ts';

const MOST_COLUMNS = 8000;
const MOST_CHANNELS = 300;

/** The pictures of a day: lanes, values at an instant, runs, field map, rates. */
export function viewRoutes({ days }: Pick<AppParts, 'days'>): Router {
  const router = Router();

  router.get('/days/:id/lanes', async (request, response) => {
    const worker = days.worker(request.params.id);
    const asked = { channels: channelsOf(request), runs: request.query['runs'] === '1', ...stretchOf(request) };
    sendBinary(response, await worker?.ask({ kind: 'lanes', ...asked }));
  });

  router.get('/days/:id/values', async (request, response) => {
    const worker = days.worker(request.params.id);
    const channels = channelsOf(request);
    const at = numberOf(request, 'at');
    const values = await worker?.ask({ kind: 'values', channels, at });
    if (values === undefined) return notOpen(response);
    const reply: ValuesAt = { at, values };
    response.json(reply);
  });

  router.get('/days/:id/map', async (request, response) => {
    const worker = days.worker(request.params.id);
    if (worker === undefined) return notOpen(response);
    const map = await worker.ask({ kind: 'map' });
    if (map === undefined) response.status(204).end();
    else sendBinary(response, map);
  });

  router.get('/days/:id/map/colour', async (request, response) => {
    const worker = days.worker(request.params.id);
    const by = request.query['by'] === 'rate' ? 'rate' : 'channel';
    sendBinary(response, await worker?.ask({ kind: 'map-colour', by, of: String(request.query['of'] ?? '') }));
  });

  router.get('/days/:id/rates', async (request, response) => {
    const rates = await days.worker(request.params.id)?.ask({ kind: 'rates' });
    if (rates === undefined) return notOpen(response);
    response.json(rates);
  });

  return router;
}

function numberOf(request: Request, name: string): number {
  const value = Number(request.query[name]);
  if (request.query[name] === undefined || !Number.isFinite(value)) throw new UsageError('bad-range', `${name} must be a number.`, 'Reload the page.');
  return value;
}

function stretchOf(request: Request): { readonly from: number; readonly to: number; readonly columns: number } {
  const [from, to] = [numberOf(request, 'from'), numberOf(request, 'to')];
  if (!(to > from)) throw new UsageError('bad-range', 'to must be later than from.', 'Reload the page.');
  return { from, to, columns: Math.min(MOST_COLUMNS, Math.max(1, Math.round(numberOf(request, 'columns')))) };
}

function channelsOf(request: Request): readonly number[] {
  const text = request.query['channels'];
  const channels = typeof text === 'string' && text !== '' ? text.split(',').map(Number) : [];
  if (channels.length > MOST_CHANNELS || channels.some((each) => !Number.isInteger(each) || each < 0)) throw new UsageError('bad-channels', `channels must be a list of at most ${MOST_CHANNELS} numbers.`, 'Reload the page.');
  return channels;
}

function sendBinary(response: Response, bytes: ArrayBuffer | undefined): void {
  if (bytes === undefined) notOpen(response);
  else response.type('application/octet-stream').send(Buffer.from(bytes));
}

function notOpen(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This day is no longer open, or has nothing to show here.', whatToDo: 'Open its logs again.' };
  response.status(404).json(reply);
}
