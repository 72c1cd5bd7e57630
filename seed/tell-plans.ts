import { addClosures, keepBaseline, planOf } from '../src/schedule/index.ts';
import type { Book } from './book.ts';
import { closures, keptPlans } from './telling.ts';
import { HOURS } from './timeline.ts';

/** Closures are written down, and plans are kept, each on its day. */
export function tellPlans(book: Book): void {
  for (const { on, from, until, name } of closures) {
    const { timeline } = book;
    const closure = { fromOn: timeline.day(from), untilOn: timeline.day(until), name };
    book.act(on, HOURS.plan, 'jerica', (act) => addClosures(act, [closure]));
  }
  for (const { on, name, note } of keptPlans) {
    book.act(on, HOURS.late + 1, 'jerica', (act) => {
      const { schedule } = book.schedule.snapshot();
      return keepBaseline(act, { name, note }, schedule && planOf(schedule));
    });
  }
}
