import type { NextFunction, Request, Response, Router } from 'express';
import type { ErrorReply } from '../shared/api.ts';

/** A path that exists but not for this method is answered 405 with the methods it has, not 404. Goes behind the routers it speaks for. */
export function refuseOtherMethods(routers: readonly Router[]): (request: Request, response: Response, next: NextFunction) => void {
  const routes = routers.flatMap((router) => router.stack).flatMap((layer) => {
    const { route } = layer;
    if (route === undefined) return [];
    const methods = new Set(route.stack.map(({ method }) => method.toUpperCase()));
    return [{ pattern: patternOf(route.path), methods }];
  });
  return (request, response, next) => {
    const allowed = new Set(routes.filter(({ pattern }) => pattern.test(request.path)).flatMap(({ methods }) => [...methods]));
    if (allowed.size === 0) {
      next();
      return;
    }
    if (allowed.has('GET')) allowed.add('HEAD');
    const reply: ErrorReply = { kind: 'usage', message: `${request.method} does nothing at this address.`, whatToDo: 'Open the start page.' };
    response.status(405).set('Allow', [...allowed].sort().join(', ')).json(reply);
  };
}

/** `/days/:id/marks/:finding` → its regular expression; our paths have named segments and nothing else. */
function patternOf(path: string): RegExp {
  const parts = path.split('/').map((part) => (part.startsWith(':') ? '[^/]+' : part.replaceAll(/[^\w-]/g, (character) => `\\${character}`)));
  return new RegExp(`^${parts.join('/')}/?$`, 'i');
}
