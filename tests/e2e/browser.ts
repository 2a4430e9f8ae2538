import { existsSync } from 'node:fs';
import { chromium, type Browser } from 'playwright-core';

const CHROMIUM = process.env['CHROMIUM'] ?? '/usr/bin/chromium';

/** Debian's Chromium, quiet: it looks nothing up by itself. */
export async function launchBrowser(): Promise<Browser> {
  if (!existsSync(CHROMIUM)) throw new Error(`${CHROMIUM} is missing: apt-get install chromium`);
  return chromium.launch({
    executablePath: CHROMIUM,
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
}
