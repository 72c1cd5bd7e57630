import type { z } from 'zod';

/** A form as a page shows it: what was typed (or what is stored), and a sentence for each field that does not fit. */
export interface FormState {
  values: Record<string, unknown>;
  errors: Record<string, string>;
}

export type ReadForm<T> = { fits: true; input: T } | { fits: false; form: FormState };

/** An empty form, or one filled from what is stored. */
export function freshForm(values: Record<string, unknown> = {}): FormState {
  return { values, errors: {} };
}

/** What was sent, without the hidden fields that every form carries. */
export function typedValues(body: unknown): Record<string, unknown> {
  if (typeof body !== 'object' || body === null) return {};
  const { _csrf, _once, _back, ...typed } = body as Record<string, unknown>;
  return typed;
}

/** Reads what a browser sent by a zod object; when it does not fit, gives the form to show again. */
export function readForm<S extends z.ZodType>(schema: S, body: unknown): ReadForm<z.output<S>> {
  const typed = typedValues(body);
  const read = schema.safeParse(typed);
  if (read.success) return { fits: true, input: read.data };
  const errors: Record<string, string> = {};
  for (const issue of read.error.issues) {
    const field = issue.path.length ? String(issue.path[0]) : '_form';
    errors[field] ??= issue.message;
  }
  return { fits: false, form: { values: typed, errors } };
}
