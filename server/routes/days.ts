import express, { Router, type Response } from 'express';
import type { DayRequest, ErrorReply, SetupReply } from '../../shared/api.ts';
import { parseSetup } from '../../shared/setup-file.ts';
import { UsageError } from '../../src/index.ts';
import type { AppParts } from '../app.ts';
import type { DayWorker } from '../day-worker.ts';

const SMALL_JSON = express.json({ limit: '2mb', strict: true });
const MOST_COLUMNS = 8000;

/** Days: open, follow, close; samples, evidence, findings; judging again with another setup. */
export function dayRoutes(parts: AppParts): Router {
  const { days, uploads } = parts;
  const router = Router();

  router.get('/days', (_request, response) => void response.json(days.list()));

  router.post('/days', SMALL_JSON, (request, response) => {
    const asked = dayRequest(request.body);
    const files = asked.uploads.map((upload) => {
      const file = uploads.find(upload);
      if (file === undefined) throw new UsageError('no-upload', 'One of the files is no longer on the server.', 'Add the files again.');
      return file;
    });
    if (files.length === 0) throw new UsageError('no-log', 'No log was named.', 'Add at least one log file.');
    const { setup, signals, columns, zone } = asked;
    const id = days.open({
      files,
      units: 'metric',
      ...(setup === undefined ? {} : { setup }),
      ...(signals === undefined ? {} : { signals }),
      ...(columns === undefined ? {} : { columns }),
      ...(zone === undefined ? {} : { zone }),
    });
    response.status(202).json({ id });
  });

  router.post('/sample', (_request, response) => void response.status(202).json({ id: parts.sample() }));

  router.get('/days/:id', (request, response) => {
    const state = days.state(request.params.id);
    if (state === undefined) return notFound(response);
    response.json(state);
  });

  router.delete('/days/:id', async (request, response) => {
    if (await days.close(request.params.id)) response.status(204).end();
    else notFound(response);
  });

  router.get('/days/:id/channels/:channel', async (request, response) => {
    const worker = days.worker(request.params.id);
    const columns = Math.min(MOST_COLUMNS, Math.max(1, Math.round(Number(request.query['columns'] ?? 1000))));
    const from = Number(request.query['from']);
    const to = Number(request.query['to']);
    if (!Number.isFinite(from) || !Number.isFinite(to) || !Number.isFinite(columns)) throw new UsageError('bad-range', 'from, to and columns must be numbers.', 'Reload the page.');
    const blocks = await worker?.ask({ kind: 'blocks', channel: Number(request.params.channel), from, to, columns });
    if (blocks === undefined) return notFound(response);
    response.type('application/octet-stream').send(Buffer.from(blocks));
  });

  router.get('/days/:id/evidence/:finding', async (request, response) => {
    const evidence = await days.worker(request.params.id)?.ask({ kind: 'evidence', finding: request.params.finding });
    if (evidence === undefined) return notFound(response);
    response.json(evidence);
  });

  router.get('/days/:id/findings.json', async (request, response) => {
    const document = await days.worker(request.params.id)?.ask({ kind: 'document' });
    if (document === undefined) return notFound(response);
    response.attachment('findings.json').type('application/json').send(document);
  });

  router.post('/days/:id/setup', SMALL_JSON, async (request, response) => {
    const worker: DayWorker | undefined = days.worker(request.params.id);
    const { setup } = request.body as { setup?: unknown };
    if (worker === undefined) return notFound(response);
    if (typeof setup !== 'string') throw new UsageError('bad-setup', 'The setup must be sent as text.', 'Reload the page.');
    const answer = await worker.ask({ kind: 'judge', setup });
    if ('error' in answer) {
      response.status(422).json(answer.error);
      return;
    }
    days.replaceView(request.params.id, answer.view);
    response.json(answer.view);
  });

  router.post('/setup/problems', SMALL_JSON, (request, response) => {
    const reply: SetupReply = { problems: parseSetup(request.body).problems };
    response.json(reply);
  });

  return router;
}

function dayRequest(body: unknown): DayRequest {
  const record = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  const text = (key: string): string | undefined => (typeof record[key] === 'string' ? record[key] : undefined);
  const list = Array.isArray(record['uploads']) ? record['uploads'].filter((entry): entry is string => typeof entry === 'string') : [];
  const [setup, signals, columns, zone] = ['setup', 'signals', 'columns', 'zone'].map(text);
  return {
    uploads: list,
    ...(setup === undefined ? {} : { setup }),
    ...(signals === undefined ? {} : { signals }),
    ...(columns === undefined ? {} : { columns }),
    ...(zone === undefined ? {} : { zone }),
  };
}

function notFound(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This day is no longer open.', whatToDo: 'Open its logs again.' };
  response.status(404).json(reply);
}
