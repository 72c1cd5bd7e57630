import type { Workers } from '../platform/workers.ts';
import type { Calculator } from './calculator.ts';
import { answerJson, type JsonAnswer, type JsonQuestion, moduleAddress } from './json-answer.ts';
import { type Run, riskInThreads } from './risk-in-threads.ts';

/** Answers one request; a signal that aborts gives it up. */
export type Compute = (calculator: Calculator, body: Uint8Array, signal?: AbortSignal) => Promise<JsonAnswer>;

/** Calculators that can be shared out between threads, with the way it is done. */
const sharedOut = new Map<string, (run: Run, question: JsonQuestion) => Promise<JsonAnswer>>([
  ['risk', riskInThreads],
]);

/**
 * Small requests are answered at once, large ones in threads, so that no page waits for somebody's computation.
 *
 * @throws WorkersBusy, TooMuchWork  and what `answerJson` throws when it is at fault
 */
export function computing(workers: Workers): Compute {
  return async ({ name, bounds }, body, signal) => {
    const question = { name, body };
    if (body.length < bounds.threadFrom) return answerJson(question);
    // a part that fails takes the other parts with it
    const parts = new AbortController();
    const given = signal ? AbortSignal.any([signal, parts.signal]) : parts.signal;
    const run: Run = (work) => workers.run({ ...work, seconds: bounds.seconds, signal: given });
    const inThreads = sharedOut.get(name);
    try {
      return inThreads
        ? await inThreads(run, question)
        : await run<JsonAnswer>({ module: moduleAddress, name: answerJson.name, input: question });
    } catch (fault) {
      parts.abort(fault);
      throw fault;
    }
  };
}
