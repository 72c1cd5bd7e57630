import { describe, expect, it } from 'vitest';
import { countryName } from '../../src/platform/country.ts';

describe('countryName', () => {
  it('names what ISO 3166-1 names, and nothing else', () => {
    expect(['NZ', 'NO', '', 'nz', 'N'].map(countryName)).toEqual(['New Zealand', 'Norway', '', '', '']);
  });
});
