/** The people of the test build. Ids are in this order from 1. */
export const cast = {
  lead: { role: 'lead', name: 'Ottilie Brandt', email: 'lead@example.org', country: 'NO' },
  crew: { role: 'crew', name: 'Tor Eide', email: 'crew@example.org', country: 'NO' },
  imre: {
    role: 'maker',
    name: 'Imre Kovacs',
    email: 'imre@example.org',
    country: 'NZ',
    address: '1 Hill Road, Wellington',
  },
  sunniva: {
    role: 'maker',
    name: 'Sunniva Dahl',
    email: 'sunniva@example.org',
    country: 'SE',
    address: '2 Lake Street, Uppsala',
  },
  farid: {
    role: 'maker',
    name: 'Farid Amiri',
    email: 'farid@example.org',
    country: 'DE',
    address: '3 Mill Lane, Kassel',
  },
} as const;

export type CastName = keyof typeof cast;

export const castId: Record<CastName, number> = { lead: 1, crew: 2, imre: 3, sunniva: 4, farid: 5 };

export const CAST_PASSWORD = 'correct horse battery';

/** A Monday morning. */
export const START = new Date('2026-03-02T08:00:00Z');
