import express, { Router, type Response } from 'express';
import type { DayView, ErrorReply } from '../../shared/api.ts';
import { LONGEST_NOTE, MARK_STATES, type MarkRequest, type Marks, type Pulse } from '../../shared/marks.ts';
import { UsageError } from '../../src/index.ts';
import type { Days } from '../days.ts';
import { logsKey } from '../marks.ts';

const NOTE_JSON = express.json({ limit: '64kb', strict: true });

/** What was found at the machine, per finding; and the pulse of a day, so that two browsers stay together. */
export function markRoutes({ days, marks }: { readonly days: Days; readonly marks: Marks }): Router {
  const router = Router();
  const viewOf = (id: string): DayView | undefined => {
    const state = days.state(id);
    return state?.status === 'ready' ? state.view : undefined;
  };

  router.get('/days/:id/pulse', (request, response) => {
    const state = days.state(request.params.id);
    if (state === undefined) return notOpen(response);
    const pulse: Pulse = { status: state.status, revision: days.revision(request.params.id), marks: state.status === 'ready' ? marks.revision(logsKey(state.view)) : 0 };
    response.json(pulse);
  });

  router.get('/days/:id/marks', async (request, response) => {
    const view = viewOf(request.params.id);
    if (view === undefined) return notOpen(response);
    response.json(await marks.list(logsKey(view)));
  });

  router.put('/days/:id/marks/:finding', NOTE_JSON, async (request, response) => {
    const view = viewOf(request.params.id);
    const { finding } = request.params;
    if (view === undefined) return notOpen(response);
    if (!view.findings.some((each) => each.id === finding)) return unknownFinding(response);
    const mark = await marks.put(logsKey(view), finding, markRequest(request.body));
    if (mark !== undefined) {
      response.json(mark);
      return;
    }
    const reply: ErrorReply = { kind: 'refused', message: 'Somebody marked this finding meanwhile, in another window.', whatToDo: 'Read what they wrote; save again to put yours in its place.' };
    response.status(409).json(reply);
  });

  router.delete('/days/:id/marks/:finding', async (request, response) => {
    const view = viewOf(request.params.id);
    if (view === undefined) return notOpen(response);
    await marks.remove(logsKey(view), request.params.finding);
    response.status(204).end();
  });

  return router;
}

function markRequest(body: unknown): MarkRequest {
  const { state: asked, note, seen } = (typeof body === 'object' && body !== null ? body : {}) as Record<string, unknown>;
  const state = MARK_STATES.find((known) => known === asked);
  if (state === undefined || typeof note !== 'string' || (seen !== null && typeof seen !== 'number')) throw new UsageError('bad-mark', 'The mark could not be read.', 'Reload the page and try again.');
  if (note.length > LONGEST_NOTE) throw new UsageError('long-note', `The note has ${note.length} characters, ${LONGEST_NOTE} is the most.`, 'Shorten it.');
  return { state, note, seen };
}

function notOpen(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This day is no longer open.', whatToDo: 'Open its logs again.' };
  response.status(404).json(reply);
}

function unknownFinding(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This day has no such finding any more.', whatToDo: 'It may have gone with another setup; choose one from the list.' };
  response.status(404).json(reply);
}
