import type { Work } from '../platform/workers.ts';
import {
  blockCount,
  mergeBlocks,
  type RiskBlocks,
  type RiskModel,
  type RiskRequest,
  rankCorrelations,
  risk,
  riskModel,
  riskReply,
  simulateBlocks,
} from '../schedule/pure/index.ts';
import { calculatorNamed } from './calculators.ts';
import { answered, answerFitting, type JsonAnswer, type JsonQuestion } from './json-answer.ts';

/** Runs a function of a module in a thread of the pool. */
export type Run = <T>(work: Pick<Work, 'module' | 'name' | 'input' | 'goesOn'>) => Promise<T>;

/** From how many durations on, activities times runs, a simulation is worth more than one thread. */
const worthSharing = 1_000_000;
const shares = 2;
const moduleAddress = import.meta.url;

/** What there is to share out. */
interface Shareable {
  request: RiskRequest;
  model: RiskModel;
}

interface Part {
  model: RiskModel;
  from: number;
  to: number;
}

/**
 * Answers `risk` with the simulation and the rank correlations shared out between threads; the reply is the same as
 * from one thread. Small simulations stay in one.
 *
 * @param run  a part that fails, or a signal, ends the others
 */
export async function riskInThreads(run: Run, question: JsonQuestion): Promise<JsonAnswer> {
  const read = await run<JsonAnswer | Shareable>({
    module: moduleAddress,
    name: readRisk.name,
    input: question,
  });
  if ('status' in read) return read;
  const { request, model } = read;
  const part = <T>(name: string, input: object) =>
    run<T>({ module: moduleAddress, name, input: { model, ...input }, goesOn: true });
  const simulated = mergeBlocks(
    model,
    await Promise.all(
      portions(blockCount(model)).map((portion) => part<RiskBlocks>(simulatePart.name, portion)),
    ),
  );
  const { finishes } = simulated;
  const correlations = await Promise.all(
    portions(model.graph.count).map((portion) =>
      part<Float64Array>(correlatePart.name, { ...portion, finishes }),
    ),
  );
  const all = new Float64Array(model.graph.count);
  let filled = 0;
  for (const some of correlations) {
    all.set(some, filled);
    filled += some.length;
  }
  return answered(calculatorNamed(question.name)!.sourced(riskReply(request, model, simulated, all)));
}

/** In a thread: answers a small question or one that does not fit; gives the model of a large one. */
export function readRisk(question: JsonQuestion): JsonAnswer | Shareable {
  return answerFitting<JsonAnswer | Shareable>(question, ({ calculator, request }) => {
    const asked = request as RiskRequest;
    const model = riskModel(asked);
    if (model.graph.count * model.runs < worthSharing) return answered(calculator.sourced(risk(asked)));
    return { request: asked, model };
  });
}

/** In a thread: simulates some blocks of runs. */
export function simulatePart({ model, from, to }: Part): RiskBlocks {
  return simulateBlocks(model, from, to);
}

/** In a thread: correlates some activities. */
export function correlatePart({
  model,
  from,
  to,
  finishes,
}: Part & { finishes: Float64Array }): Float64Array {
  return rankCorrelations(model, finishes, from, to);
}

/** 0 .. count - 1 in runs of about the same length, one for each thread. */
function portions(count: number): { from: number; to: number }[] {
  return Array.from({ length: shares }, (_, at) => ({
    from: Math.floor((count * at) / shares),
    to: Math.floor((count * (at + 1)) / shares),
  }));
}
