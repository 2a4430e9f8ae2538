import { Router } from 'express';
import type { Uploads } from '../uploads.ts';

/** `POST /api/uploads`: one file as the body, its name percent-encoded in `x-file-name`. */
export function uploadRoutes(uploads: Uploads): Router {
  const router = Router();
  router.post('/uploads', async (request, response) => {
    const header = request.headers['x-file-name'];
    response.status(201).json(await uploads.keep(decodeName(typeof header === 'string' ? header : 'log'), request));
  });
  return router;
}

function decodeName(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
