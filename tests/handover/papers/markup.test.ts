import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { html } from '../../../src/handover/papers/markup.ts';
import { textOf, treeOf } from './paper-tree.ts';

/** Any code points at all, lone surrogates and controls among them. */
const anyText = fc.array(fc.oneof(fc.integer({ min: 0, max: 0x2ff }), fc.integer({ min: 0, max: 0x10_ffff }))).map((points) => String.fromCodePoint(...points));

describe('markup', () => {
  test('what is put in is text, whatever it holds', () => {
    expect(html`<p title="${'"><script>'}">${"<b>&'"}</p>`.markup).toBe('<p title="&quot;&gt;&lt;script&gt;">&lt;b&gt;&amp;&#39;</p>');
  });

  test('pieces go in as they are, lists one after the other, nothing for undefined and false', () => {
    expect(html`<ul>${[1, 2].map((n) => html`<li>${n}</li>`)}${undefined}${false}</ul>`.markup).toBe('<ul><li>1</li><li>2</li></ul>');
  });

  test('numbers that are none leave a dash', () => {
    expect(html`${Number.NaN} ${Infinity} ${-0.5}`.markup).toBe('– – -0.5');
  });

  test('controls and marks that turn the direction of text are made seen; lines stay', () => {
    expect(html`${'a\u202Eb\u0000c\nd'}`.markup).toBe('a\uFFFDb\uFFFDc\nd');
  });

  test('any text stays itself through a parser, but for what cannot be seen', () => {
    fc.assert(fc.property(anyText, (text) => {
      const back = textOf(treeOf(html`<p>${text}</p>`.markup));
      expect(back).toBe(text.replaceAll('\r\n', '\n').replaceAll(/[^\P{Cc}\n\t]|\p{Cf}|[\p{Cs}\uFFFE\uFFFF]/gu, '\uFFFD'));
    }), { numRuns: 300 });
  });
});
