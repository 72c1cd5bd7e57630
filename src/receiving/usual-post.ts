/** A parcel that came: from where, and after how many calendar days. */
export interface PostTime {
  country: string;
  days: number;
}

/** What earlier parcels say of the post. */
export interface UsualPost {
  /** the middle one of the days they took; of two in the middle the longer */
  days: number;
  count: number;
  /** the country they came from; null when they came from anywhere */
  country: string | null;
}

/** From fewer parcels than this nothing is foretold. */
const FEWEST = 3;

/**
 * How long the post from a country usually takes: by the parcels from there, or where they are few, by all of them.
 *
 * @returns  null while too few parcels have come
 *
 * Example: 6, 9 and 14 days from NZ -> { days: 9, count: 3, country: 'NZ' }
 */
export function usualPost(times: readonly PostTime[], country: string): UsualPost | null {
  const own = country === '' ? [] : times.filter((time) => time.country === country);
  const known = own.length >= FEWEST ? own : times;
  if (known.length < FEWEST) return null;
  const days = known.map((time) => time.days).sort((a, b) => a - b);
  return {
    days: days[Math.floor(days.length / 2)] ?? 0,
    count: days.length,
    country: known === own ? country : null,
  };
}

/** Where a foretold day is from, in small print. */
export function usualPostWords({ days, count, country }: UsualPost): string {
  const from = country ?? 'anywhere';
  return `half of ${count} earlier parcels from ${from} took ${days} ${days === 1 ? 'day' : 'days'} or less`;
}
