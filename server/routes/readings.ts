import express, { Router, type Response } from 'express';
import type { ErrorReply } from '../../shared/api.ts';
import type { ColumnsReply } from '../../shared/glance.ts';
import { UsageError, glanceAt, parseColumns } from '../../src/index.ts';
import type { AppParts } from '../app.ts';

const COLUMNS_JSON = express.json({ limit: '2mb', strict: true });

/** A day read once more: with the meaning of its headings, or with further files. */
export function readingRoutes({ days, uploads }: Pick<AppParts, 'days' | 'uploads'>): Router {
  const router = Router();

  router.get('/days/:id/columns', async (request, response) => {
    const job = days.job(request.params.id);
    if (job === undefined) return notOpen(response);
    const named = job.columns === undefined ? undefined : parseColumns(job.columns, job.columnsName ?? 'columns.json');
    const glances = await Promise.all(job.files.map(async (file) => ({ file: file.name, columns: (await glanceAt(file.path, file.name, named)).columns })));
    const reply: ColumnsReply = {
      logs: glances.flatMap(({ file, columns }) => (columns === undefined ? [] : [{ file, columns }])),
      ...(job.columns === undefined ? {} : { columnsFile: job.columns }),
    };
    response.json(reply);
  });

  router.post('/days/:id/columns', COLUMNS_JSON, (request, response) => {
    const { columns } = request.body as { columns?: unknown };
    if (typeof columns !== 'string') throw new UsageError('bad-columns', 'The columns must be sent as text.', 'Reload the page.');
    parseColumns(columns, 'columns.json');
    if (days.job(request.params.id)?.kept !== undefined) throw keptDay();
    if (!days.reread(request.params.id, { columns })) return notOpen(response);
    response.status(202).json({ id: request.params.id });
  });

  router.post('/days/:id/files', COLUMNS_JSON, (request, response) => {
    const asked = (request.body as { uploads?: unknown }).uploads;
    const job = days.job(request.params.id);
    if (job === undefined) return notOpen(response);
    const files = (Array.isArray(asked) ? asked : []).map((upload) => {
      const file = typeof upload === 'string' ? uploads.find(upload) : undefined;
      if (file === undefined) throw new UsageError('no-upload', 'One of the files is no longer on the server.', 'Add the files again.');
      return file;
    });
    if (files.length === 0) throw new UsageError('no-log', 'No log was named.', 'Add at least one log file.');
    if (job.kept !== undefined) throw keptDay();
    days.reread(request.params.id, { files: [...job.files, ...files] });
    response.status(202).json({ id: request.params.id });
  });

  return router;
}

function keptDay(): UsageError {
  return new UsageError('kept-day', 'This day was opened as it was kept, without its logs.', 'Open its logs together with these files to read them anew.');
}

function notOpen(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This day is no longer open.', whatToDo: 'Open its logs again.' };
  response.status(404).json(reply);
}
