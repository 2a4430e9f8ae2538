/** Two series of one step against each other at every lag. */
export interface LagScores {
  /** Lag of element 0 in steps; element k is lag `first` + k: b's cell i + lag stands beside a's cell i. */
  readonly first: number;
  /** Correlation over the cells both have; NaN where fewer than asked for, or where one of them stands still. */
  readonly correlation: Float64Array;
  /** Cells both have. */
  readonly overlap: Float64Array;
}

/** Mean square below which a stretch counts as still: what the transform's rounding leaves of zeros is less. */
const LEAST_POWER = 1e-9;

/**
 * Correlation of two series (NaN = unknown cell, means taken off by the caller) at all lags at which at least `leastOverlap`
 * cells meet, each lag normalised over its own overlap. By fast Fourier transform: some milliseconds for a day of 5-s cells.
 */
export function correlationAtAllLags(a: Float64Array, b: Float64Array, leastOverlap: number): LagScores {
  const size = 2 ** Math.ceil(Math.log2(a.length + b.length));
  const transform = createTransform(size);
  const spectrumOf = (series: Float64Array, valueOf: (x: number) => number): Complex => {
    const spectrum = { re: new Float64Array(size), im: new Float64Array(size) };
    for (let i = 0; i < series.length; i += 1) if (!Number.isNaN(series[i])) spectrum.re[i] = valueOf(series[i] as number);
    transform(spectrum);
    return spectrum;
  };
  const [valuesA, squaresA, knownA] = [(x: number) => x, (x: number) => x * x, () => 1].map((f) => spectrumOf(a, f)) as [Complex, Complex, Complex];
  const [valuesB, squaresB, knownB] = [(x: number) => x, (x: number) => x * x, () => 1].map((f) => spectrumOf(b, f)) as [Complex, Complex, Complex];
  const { re: products, im: overlap } = twoCross([valuesA, valuesB], [knownA, knownB], transform);
  const { re: powerA, im: powerB } = twoCross([squaresA, knownB], [knownA, squaresB], transform);
  const first = 1 - a.length;
  const lags = a.length + b.length - 1;
  const scores = { first, correlation: new Float64Array(lags).fill(Number.NaN), overlap: new Float64Array(lags) };
  for (let k = 0; k < lags; k += 1) {
    const place = (first + k + size) % size;
    const cells = Math.max(0, Math.round(overlap[place] as number));
    scores.overlap[k] = cells;
    const [squareA, squareB] = [powerA[place] as number, powerB[place] as number];
    if (cells >= Math.max(1, leastOverlap) && Math.min(squareA, squareB) > LEAST_POWER * cells) scores.correlation[k] = (products[place] as number) / Math.sqrt(squareA * squareB);
  }
  return scores;
}

interface Complex {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/**
 * Σ a[i] · b[i + lag] of two pairs of real series at once, element `lag` modulo the size: one as real part, one as imaginary.
 * The spectra are conjugated, so that the forward transform brings them back.
 */
function twoCross([a, b]: readonly [Complex, Complex], [c, d]: readonly [Complex, Complex], transform: (data: Complex) => void): Complex {
  const size = a.re.length;
  const product = { re: new Float64Array(size), im: new Float64Array(size) };
  for (let k = 0; k < size; k += 1) {
    const re = real(a, b, k);
    const im = imaginary(a, b, k);
    product.re[k] = (re - imaginary(c, d, k)) / size;
    product.im[k] = (im + real(c, d, k)) / size;
  }
  transform(product);
  return product;
}

const real = (a: Complex, b: Complex, k: number): number => (a.re[k] as number) * (b.re[k] as number) + (a.im[k] as number) * (b.im[k] as number);
const imaginary = (a: Complex, b: Complex, k: number): number => (a.im[k] as number) * (b.re[k] as number) - (a.re[k] as number) * (b.im[k] as number);

/** Forward discrete Fourier transform in place, radix 2 (Cooley and Tukey 1965); the size is a power of two. */
function createTransform(n: number): (data: Complex) => void {
  const cosines = Float64Array.from({ length: n / 2 }, (_, k) => Math.cos((2 * Math.PI * k) / n));
  const sines = Float64Array.from({ length: n / 2 }, (_, k) => -Math.sin((2 * Math.PI * k) / n));
  return ({ re, im }) => {
    for (let i = 1, j = 0; i < n; i += 1) {
      let bit = n >> 1;
      for (; (j & bit) !== 0; bit >>= 1) j ^= bit;
      j ^= bit;
      if (i >= j) continue;
      const x = re[i] as number;
      const y = im[i] as number;
      re[i] = re[j] as number;
      im[i] = im[j] as number;
      re[j] = x;
      im[j] = y;
    }
    for (let half = 1; half < n; half *= 2) {
      const stride = n / (2 * half);
      for (let start = 0; start < n; start += 2 * half) {
        for (let k = 0; k < half; k += 1) {
          const low = start + k;
          const high = low + half;
          const c = cosines[k * stride] as number;
          const s = sines[k * stride] as number;
          const x = re[high] as number;
          const y = im[high] as number;
          const turnedRe = x * c - y * s;
          const turnedIm = x * s + y * c;
          re[high] = (re[low] as number) - turnedRe;
          im[high] = (im[low] as number) - turnedIm;
          re[low] = (re[low] as number) + turnedRe;
          im[low] = (im[low] as number) + turnedIm;
        }
      }
    }
  };
}
