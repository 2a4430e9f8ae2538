import { defaultStoreRoot } from '../index.ts';
import type { Option, Request, Terminal } from './command.ts';

/** Option of every command that looks at kept days. */
export const storeOption: Readonly<Record<string, Option>> = {
  store: { value: 'FOLDER', help: 'where days are kept (default: SOWTRACE_STORE, else sowtrace-cases in the home folder)' },
};

export const storeRoot = (request: Request, terminal: Terminal): string => request.value('store') ?? defaultStoreRoot(terminal.environment);
