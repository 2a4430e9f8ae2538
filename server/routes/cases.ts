import { Router, type Response } from 'express';
import type { KeptDays } from '../../shared/case.ts';
import type { ErrorReply } from '../../shared/api.ts';
import { isMendable, type Store } from '../../src/index.ts';
import type { Days } from '../days.ts';
import { logsKey } from '../marks.ts';

/** Days that are kept: listed, opened, kept, removed and restored. */
export function caseRoutes({ days, store }: { readonly days: Days; readonly store?: Store }): Router {
  const router = Router();
  if (store === undefined) {
    const none: KeptDays = { cases: [], damaged: [], removed: [] };
    return router.get('/cases', (_request, response) => void response.json(none));
  }

  router.get('/cases', async (_request, response) => {
    const reply: KeptDays = { store: store.root, ...(await store.list()), removed: await store.removed() };
    response.json(reply);
  });

  router.post('/cases/:id/open', async (request, response) => {
    const name = await nameOf(store, request.params.id);
    if (name === undefined) return notFound(response, 'This day is not kept, or damaged.', 'Reload the list.');
    response.status(202).json({ id: days.open({ files: [], units: 'metric', kept: { store: store.root, id: request.params.id, name } }) });
  });

  router.post('/days/:id/keep', async (request, response) => {
    const worker = days.worker(request.params.id);
    const state = days.state(request.params.id);
    if (worker === undefined || state?.status !== 'ready') return notFound(response, 'This day is no longer open.', 'Open its logs again.');
    const answer = await worker.ask({ kind: 'keep', store: store.root });
    if ('error' in answer) {
      response.status(answer.error.kind === 'internal' ? 500 : 422).json(answer.error);
      return;
    }
    await store.marks.keep(logsKey(state.view));
    response.status(201).json(answer.saved);
  });

  router.delete('/cases/:id', async (request, response) => {
    await store.remove(request.params.id);
    response.status(204).end();
  });

  router.post('/cases/:id/restore', async (request, response) => void response.json(await store.restore(request.params.id)));

  return router;
}

/** Of one day: a list of all would read every day of the store first. */
async function nameOf(store: Store, id: string): Promise<string | undefined> {
  try {
    return (await store.readings(id)).listing.name;
  } catch (error) {
    if (isMendable(error)) return undefined;
    throw error;
  }
}

function notFound(response: Response, message: string, whatToDo: string): void {
  const reply: ErrorReply = { kind: 'not-found', message, whatToDo };
  response.status(404).json(reply);
}
