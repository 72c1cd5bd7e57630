import { z } from 'zod';
import { dayNumber, isDay } from '../day.ts';

// The kinds of field that forms are made of. Each takes what a browser sends (text, or nothing) and says in one
// sentence what it wants when that does not fit.

// Control and bidirectional characters can hide or forge text; line breaks and tabs are checked apart.
const hidden =
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/;

const blank = (value: unknown) => (value === undefined || value === null ? '' : value);
const text = z.preprocess(blank, z.string('Send this as text.'));

/** One line of text, trimmed. */
export const line = (max: number, required?: string) =>
  text
    .transform((value) => value.trim())
    .superRefine((value, check) => {
      if (hidden.test(value) || /[\r\n\t]/.test(value)) {
        check.addIssue('This holds characters that cannot be seen; type it again.');
      } else if (value.length > max) check.addIssue(`At most ${max} characters; this has ${value.length}.`);
      else if (required && !value) check.addIssue(required);
    });

/** Text of several lines, trimmed, with line breaks as \n. */
export const words = (max: number, required?: string) =>
  text
    .transform((value) => value.replace(/\r\n?/g, '\n').trim())
    .superRefine((value, check) => {
      if (hidden.test(value)) check.addIssue('This holds characters that cannot be seen; type it again.');
      else if (value.length > max) check.addIssue(`At most ${max} characters; this has ${value.length}.`);
      else if (required && !value) check.addIssue(required);
    });

/** One of a few words. */
export const choice = <const T extends readonly [string, ...string[]]>(
  of: T,
  sentence = 'Choose one of the list.',
) => z.preprocess(blank, z.enum(of, sentence));

/** A tick box: there or not. */
export const tick = z.preprocess(
  (value) => value === 'yes' || value === 'on' || value === 'true' || value === '1',
  z.boolean(),
);

function numberOf(value: string): number {
  return /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(value) ? Number(value.replace(',', '.')) : Number.NaN;
}

interface NumberRule {
  min: number;
  max: number;
  /** unit for the sentences, with its blank: ' days' */
  unit?: string;
  whole?: boolean;
}

function numberIssue(value: number, { min, max, unit = '', whole }: NumberRule): string | null {
  if (Number.isNaN(value)) return whole ? 'Type a whole number.' : 'Type a number.';
  if (whole && !Number.isInteger(value)) return 'Type a whole number.';
  if (value < min) return `At least ${min}${unit}; this is ${value}.`;
  if (value > max) return `At most ${max}${unit}; this is ${value}.`;
  return null;
}

const trimmed = text.transform((value) => value.trim());

/** A number that must be given; comma or point. */
export const number = (rule: NumberRule) =>
  trimmed.transform((value, check) => {
    const parsed = numberOf(value);
    const issue = value === '' ? 'Type a number.' : numberIssue(parsed, rule);
    if (issue) check.addIssue(issue);
    return parsed;
  });

/** A number that may be left empty: null. */
export const optionalNumber = (rule: NumberRule) =>
  trimmed.transform((value, check) => {
    if (value === '') return null;
    const parsed = numberOf(value);
    const issue = numberIssue(parsed, rule);
    if (issue) check.addIssue(issue);
    return parsed;
  });

/** The id of a row, chosen from a list. */
export const id = (sentence = 'Choose one of the list.') =>
  trimmed.transform((value, check) => {
    if (!/^[1-9]\d{0,8}$/.test(value)) check.addIssue(sentence);
    return Number(value);
  });

/** The id of a row or nothing: null. */
export const optionalId = (sentence = 'Choose one of the list.') =>
  trimmed.transform((value, check) => {
    if (value === '') return null;
    if (!/^[1-9]\d{0,8}$/.test(value)) check.addIssue(sentence);
    return Number(value);
  });

function dayIssue(value: string): string | null {
  if (!isDay(value)) return 'Type a day as year-month-day, like 2026-03-09.';
  const years = (dayNumber(value) - dayNumber('2000-01-01')) / 365.25;
  return years < 0 || years > 100 ? 'Type a day between 2000 and 2099.' : null;
}

/** A calendar day that must be given. */
export const day = trimmed.superRefine((value, check) => {
  const issue = dayIssue(value);
  if (issue) check.addIssue(issue);
});

/** A calendar day or nothing: null. */
export const optionalDay = trimmed.transform((value, check) => {
  if (value === '') return null;
  const issue = dayIssue(value);
  if (issue) check.addIssue(issue);
  return value;
});

/** A mail address or nothing: null. Only its shape is checked. */
export const optionalEmail = trimmed.transform((value, check) => {
  if (value === '') return null;
  if (value.length > 200 || hidden.test(value) || !/^[^\s@<>"]+@[^\s@<>"]+\.[^\s@<>"]+$/.test(value)) {
    check.addIssue('Type a mail address, like ada@example.org.');
  }
  return value.toLowerCase();
});

/** Several ticked ids of one name; a single one arrives as text. */
export const ids = z.preprocess(
  (value) => (value === undefined ? [] : Array.isArray(value) ? value : [value]),
  z.array(id('Choose from the list.')).max(500, 'At most 500 at once.'),
);
