import { Router, type Request, type Response } from 'express';
import type { CaseListing } from '../../shared/case.ts';
import type { ErrorReply } from '../../shared/api.ts';
import { UsageError, compareDays, comparedCase, comparisonView, history, historyPage, seasonDay, type Store } from '../../src/index.ts';
import { PAPER_POLICY } from './papers.ts';

/** What only several kept days tell: two side by side, `?before=CASE&after=CASE`, and a machine over its season, `?units=us`. */
export function seasonRoutes({ store }: { readonly store?: Store }): Router {
  const router = Router();

  router.get('/compare', async (request, response) => {
    const [before, after] = [caseOf(request, 'before'), caseOf(request, 'after')];
    if (before === after) throw new UsageError('same-day', 'Before and after are the same day.', 'Choose two different days.');
    const { cases } = (await store?.list()) ?? { cases: [] };
    const missing = [before, after].find((id) => !cases.some((listing) => listing.id === id));
    if (store === undefined || missing !== undefined) return notFound(response, `The day ${missing === after ? 'after' : 'before'} is not kept, or damaged.`, 'Reload the page and choose again.');
    const comparison = compareDays(comparedCase(await store.readings(before)), comparedCase(await store.readings(after)));
    response.json(comparisonView(comparison));
  });

  router.get('/machines/:machine/history', async (request, response) => {
    const { machine } = request.params;
    const isWanted = (listing: CaseListing): boolean => listing.machine === machine && listing.date !== 'undated';
    const { cases } = (await store?.manyReadings(isWanted)) ?? { cases: [] };
    if (cases.length === 0) return notFound(response, 'No day with a date is kept of this machine.', 'Keep days of it first.');
    response.set('Content-Security-Policy', PAPER_POLICY);
    response.type('text/html').send(historyPage(history(machine, cases.map(seasonDay)), request.query['units'] === 'us' ? 'us' : 'metric'));
  });

  return router;
}

function caseOf(request: Request, side: 'before' | 'after'): string {
  const id = request.query[side];
  if (typeof id === 'string' && id !== '') return id;
  throw new UsageError('no-day', `Which day is ${side}?`, 'Name two kept days, before and after.');
}

function notFound(response: Response, message: string, whatToDo: string): void {
  const reply: ErrorReply = { kind: 'not-found', message, whatToDo };
  response.status(404).json(reply);
}
