import type { Workers } from '../platform/workers.ts';
import type { Calculator } from './calculator.ts';
import { answerJson, type JsonAnswer, moduleAddress } from './json-answer.ts';

/** Answers one request; a signal that aborts gives it up. */
export type Compute = (calculator: Calculator, body: Uint8Array, signal?: AbortSignal) => Promise<JsonAnswer>;

/**
 * Small requests are answered at once, large ones in a thread, so that no page waits for somebody's computation.
 *
 * @throws WorkersBusy, TooMuchWork  and what `answerJson` throws when it is at fault
 */
export function computing(workers: Workers): Compute {
  return async ({ name, bounds }, body, signal) => {
    const question = { name, body };
    if (body.length < bounds.threadFrom) return answerJson(question);
    const { seconds } = bounds;
    return workers.run<JsonAnswer>({
      module: moduleAddress,
      name: answerJson.name,
      input: question,
      seconds,
      signal,
    });
  };
}
