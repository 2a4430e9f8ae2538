import { Router, type Response } from 'express';
import type { ErrorReply } from '../../shared/api.ts';
import { glanceAt } from '../../src/index.ts';
import type { Uploads } from '../uploads.ts';

/** `POST /api/uploads`: one file as the body, its name percent-encoded in `x-file-name`; then what it is, and putting it away again. */
export function uploadRoutes(uploads: Uploads): Router {
  const router = Router();

  router.get('/uploads', async (_request, response) => void response.json({ room: await uploads.room() }));

  router.post('/uploads', async (request, response) => {
    const header = request.headers['x-file-name'];
    const announced = Number(request.headers['content-length']);
    response.status(201).json(await uploads.keep(decodeName(typeof header === 'string' ? header : 'log'), request, Number.isFinite(announced) ? announced : undefined));
  });

  router.get('/uploads/:upload/glance', async (request, response) => {
    const file = uploads.find(request.params.upload);
    if (file === undefined) notKept(response);
    else response.json(await glanceAt(file.path, file.name));
  });

  router.delete('/uploads/:upload', async (request, response) => {
    if (await uploads.drop(request.params.upload)) response.status(204).end();
    else notKept(response);
  });

  return router;
}

function notKept(response: Response): void {
  const reply: ErrorReply = { kind: 'not-found', message: 'This file is no longer on the server.', whatToDo: 'Add it again.' };
  response.status(404).json(reply);
}

function decodeName(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
