const countries = new Intl.DisplayNames('en', { type: 'region', fallback: 'code' });

/** A country by its name, where its two letters (ISO 3166-1) are known; '' for anything else. */
export function countryName(code: string): string {
  return /^[A-Z]{2}$/.test(code) ? (countries.of(code) ?? code) : '';
}
