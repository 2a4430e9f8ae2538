/**
 * JSON in which every number comes back as it was: NaN, infinities and −0 as `{"$number": …}`, typed arrays as `{"$array": …, "of": […]}`.
 * Other numbers JSON keeps exactly. Members that are undefined are left out.
 */
export function exactJson(value: unknown): string {
  return JSON.stringify(value, (_key, member: unknown) => {
    if (typeof member === 'number') return Number.isFinite(member) && !Object.is(member, -0) ? member : { $number: Object.is(member, -0) ? '-0' : String(member) };
    for (const [name, kind] of Object.entries(ARRAYS)) if (member instanceof kind) return { $array: name, of: Array.from(member) };
    return member;
  });
}

/** Back from `exactJson`. Throws SyntaxError when it is no JSON. */
export function parseExactJson(text: string): unknown {
  /* Most documents hold nothing special, and asking at every member takes time. */
  if (!text.includes('"$')) return JSON.parse(text);
  return JSON.parse(text, (_key, member: unknown) => {
    if (typeof member !== 'object' || member === null) return member;
    if ('$number' in member) return Number(member.$number);
    if ('$array' in member && 'of' in member) return ARRAYS[String(member.$array) as keyof typeof ARRAYS].from(member.of as number[]);
    return member;
  });
}

const ARRAYS = { Float64Array, Float32Array, Int32Array, Uint32Array, Int16Array, Uint16Array, Int8Array, Uint8Array } as const;
