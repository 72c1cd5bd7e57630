import { NotComputable } from '../platform/not-computable.ts';
import type { Calculator } from './calculator.ts';
import { calculatorNamed } from './calculators.ts';
import { type Fault, problemDocument } from './problem.ts';

/** This module, for a thread to load. */
export const moduleAddress = import.meta.url;

/** A request to a calculator as it came in. */
export interface JsonQuestion {
  name: string;
  body: Uint8Array;
}

/** The reply with status 200, or a problem document with another; JSON text as UTF-8. */
export interface JsonAnswer {
  status: number;
  body: Uint8Array;
}

/** A request that fits, and the calculator it is for. */
export interface FittingQuestion {
  calculator: Calculator;
  request: unknown;
}

/**
 * Answers a request to a calculator: reads the JSON, checks it, computes. It needs nothing but its input and may run
 * in any thread.
 */
export function answerJson(question: JsonQuestion): JsonAnswer {
  return answerFitting(question, ({ calculator, request }) => answered(calculator.answer(request)));
}

/** Reads a request and hands it on; what does not fit or makes no sense is answered with a problem document. */
export function answerFitting<T>(
  { name, body }: JsonQuestion,
  answer: (question: FittingQuestion) => T,
): T | JsonAnswer {
  const calculator = calculatorNamed(name);
  if (!calculator) return problem(problemDocument('no-such-calculator', `There is no calculator "${name}".`));
  let sent: unknown;
  try {
    sent = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(body));
  } catch (fault) {
    return misfit([{ path: '', message: notJson(body, fault) }], 1);
  }
  const read = calculator.read(sent);
  if (!read.fits) return misfit(read.faults, read.count);
  try {
    return answer({ calculator, request: read.request });
  } catch (fault) {
    if (!(fault instanceof NotComputable)) throw fault;
    return problem(problemDocument('makes-no-sense', fault.message, fault.detail));
  }
}

/** A reply as it goes out. */
export function answered(reply: object): JsonAnswer {
  return { status: 200, body: bytes(reply) };
}

function notJson(body: Uint8Array, fault: unknown): string {
  if (body.length === 0) return 'the body is empty; send a JSON object';
  if (fault instanceof SyntaxError) return `the body is not JSON: ${fault.message}`;
  return 'the body is not UTF-8 text';
}

function misfit(errors: Fault[], count: number): JsonAnswer {
  const [first] = errors;
  const detail =
    count === 1
      ? `${first?.path ? `${first.path}: ` : ''}${first?.message}`
      : `${count.toLocaleString('en')} things do not fit${count > errors.length ? `; the first ${errors.length} are listed` : ''}.`;
  return problem(problemDocument('does-not-fit', detail, { errors }));
}

function problem(document: { status: number }): JsonAnswer {
  return { status: document.status, body: bytes(document) };
}

const bytes = (value: object) => new TextEncoder().encode(JSON.stringify(value));
