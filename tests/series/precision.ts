/** Log relative error: the number of correct digits, as NIST counts them for the StRD sets. */
export function correctDigits(calculated: number, certified: number): number {
  if (calculated === certified) return 17;
  const error = certified === 0 ? Math.abs(calculated) : Math.abs((calculated - certified) / certified);
  return -Math.log10(error);
}
