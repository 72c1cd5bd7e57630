import type { Act, Actor, ActsContext, Role } from '../src/platform/acts.ts';
import type { FileStore } from '../src/platform/files.ts';
import type { ScheduleService } from '../src/schedule/index.ts';
import { people } from './people.ts';
import { done, type Timeline } from './timeline.ts';
import type { PersonKey } from './types.ts';

/** What the story calls things by, and their numbers once they are there. */
class Names {
  readonly #ids = new Map<string, number>();
  readonly #what: string;

  constructor(what: string) {
    this.#what = what;
  }

  set(name: string, id: number): void {
    if (this.#ids.has(name)) throw new Error(`${this.#what} ${name} is there twice`);
    this.#ids.set(name, id);
  }

  get(name: string): number {
    const id = this.#ids.get(name);
    if (id === undefined) throw new Error(`${this.#what} ${name} is not there yet`);
    return id;
  }
}

/** What every teller of the story needs: where acts go, when, by whom, on what. */
export class Book {
  readonly people = new Names('the person');
  readonly parts = new Names('the part');
  readonly materials = new Names('the material');
  readonly processes = new Names('the process');
  readonly jobs = new Names('the job');
  readonly problems = new Names('the problem');
  readonly redesigns = new Names('the redesign');
  readonly trials = new Names('the trial');
  readonly decisions = new Names('the decision');
  readonly gatherings = new Names('the gathering');

  constructor(
    readonly context: ActsContext & { files: FileStore },
    readonly timeline: Timeline,
    readonly schedule: ScheduleService,
  ) {}

  actor(who: PersonKey): Actor {
    const { role } = people.find(({ key }) => key === who)!;
    return { personId: this.people.get(who), role: role as Role };
  }

  /** Adds an act of a person to the story. */
  act(day: number, hour: number, who: PersonKey, work: (act: Act) => Promise<unknown>): void {
    this.timeline.add(day, hour, async () => {
      await done(this.context, this.actor(who), work);
    });
  }
}
