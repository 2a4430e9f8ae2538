import { Router, type Request, type Response } from 'express';
import type { DayView, ErrorReply } from '../../shared/api.ts';
import type { Marks } from '../../shared/marks.ts';
import { PAPER_NAMES, UsageError, type PaperName } from '../../src/index.ts';
import type { Days } from '../days.ts';
import { logsKey } from '../marks.ts';

/** A paper carries its own style and nothing else; it may be looked at, printed and saved. */
export const PAPER_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox";
const LARGEST_HECTARES = 100_000;

/** The hand-over papers of a day, with what was found at the machine meanwhile: `?units=us`, `?hectares=60`, `?save=1`. */
export function paperRoutes({ days, marks }: { readonly days: Days; readonly marks: Marks }): Router {
  const router = Router();
  router.get('/days/:id/papers/:paper', async (request, response) => {
    const name = PAPER_NAMES.find((each) => each === request.params.paper);
    const state = days.state(request.params.id);
    const worker = days.worker(request.params.id);
    if (name === undefined) return notFound(response, 'There is no such paper.', `There are ${PAPER_NAMES.join(', ')}.`);
    if (state?.status !== 'ready' || worker === undefined) return notFound(response, 'This day is no longer open.', 'Open its logs again.');
    const area = areaOf(request, name);
    const paper = await worker.ask({
      kind: 'paper', paper: name, units: request.query['units'] === 'us' ? 'us' : 'metric', marks: await marks.list(logsKey(state.view)), ...(area === undefined ? {} : { area }),
    });
    response.set('Content-Security-Policy', PAPER_POLICY);
    if (request.query['save'] === '1') response.attachment(fileName(name, state.view));
    response.type('text/html').send(paper);
  });
  return router;
}

/** m² */
function areaOf(request: Request, name: PaperName): number | undefined {
  const text = request.query['hectares'];
  if (text === undefined || text === '' || name !== 'tomorrow') return undefined;
  const hectares = Number(text);
  if (hectares > 0 && hectares <= LARGEST_HECTARES) return hectares * 1e4;
  throw new UsageError('bad-hectares', 'That is no area to load for.', `Enter a number above 0 and up to ${LARGEST_HECTARES} ha.`);
}

/** `complaint-2031-05-08.html`, the date by the day's own zone. */
function fileName(name: PaperName, { start, zone }: DayView): string {
  return `${name}-${new Intl.DateTimeFormat('sv-SE', { timeZone: zone, dateStyle: 'short' }).format(start * 1000)}.html`;
}

function notFound(response: Response, message: string, whatToDo: string): void {
  const reply: ErrorReply = { kind: 'not-found', message, whatToDo };
  response.status(404).json(reply);
}
