import type { Measurement } from '../../shared/finding.ts';
import type { Product, Setup } from '../../shared/setup.ts';
import { quantity } from '../../shared/text.ts';

/**
 * What has to be the same before two days' numbers tell of the machine, in words, e.g. `wheat`: delays go by what is
 * carried, kg per turn by what is metered, a fan's margin by its floor. Empty when nothing matters or nothing is known.
 */
export function conditionOf({ name, subject }: Pick<Measurement, 'name' | 'subject'>, setup: Setup | undefined): string {
  const products = setup?.job.products ?? [];
  if (name.startsWith('section.')) return named(products.filter((product) => product.counted === true));
  const [kind, id] = subject.split('.');
  if (kind === 'fan') return products.filter((product) => product.fan === id).map((product) => [named([product]), ...(product.fanFloor === undefined ? [] : [`floor ${quantity.rotation(product.fanFloor)}`])].join(', ')).join(' and ');
  /* A scale weighs whatever lies in the tank. */
  return kind === 'tank' && name !== 'scale.span' ? named(products.filter((product) => product.tank === id)) : '';
}

const named = (products: readonly Product[]): string => products.map((product) => product.name ?? `product of tank ${product.tank}`).join(' and ');
