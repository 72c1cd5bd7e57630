import type { FastifyReply, FastifyRequest } from 'fastify';
import { partByNumber, structureGraph } from '../parts/index.ts';
import type { Context } from '../platform/context.ts';
import type { Day } from '../platform/day.ts';
import type { FormState } from '../platform/http/form.ts';
import { readMoment } from './moment.ts';
import { isAtMachine, peopleChoices } from './problem-people.ts';
import { type Place, placeOfPart } from './problem-pick.ts';
import { problemLines } from './problem-reader.ts';
import { rankChoices } from './problem-scales.ts';
import { worksOn } from './works-on.ts';

const NAV = '/problems';
const MOST_KNOWN = 6;

/** A problem whose form is open to be changed. */
export interface EditedProblem {
  id: number;
  title: string;
  seenBy: string;
  photos: { id: number; href: string }[];
  seen: number;
}

export type ShowForm = (
  request: FastifyRequest,
  reply: FastifyReply,
  form: FormState,
  editing: EditedProblem | null,
) => Promise<FastifyReply>;

/** The form that a problem is written down on, or changed. */
export function problemFormPage(context: Context): ShowForm {
  const { db } = context;
  return async (request, reply, form, editing) => {
    const person = request.person!;
    const isMaker = person.role === 'maker';
    const moment = readMoment(context);
    const typed = typeof form.values.part === 'string' ? form.values.part : '';
    const part = typed ? await partByNumber(db.read, typed) : null;
    return reply.page('problems/problem-form.njk', {
      page: {
        title: editing ? `Change problem ${editing.id}` : 'Write a problem down',
        nav: isMaker ? '/board' : NAV,
      },
      form,
      editing,
      severities: rankChoices('severity'),
      occurrences: rankChoices('occurrence'),
      detections: rankChoices('detection'),
      ownJobs: isMaker ? await jobsOf(context, person.id) : null,
      people: isMaker
        ? null
        : // of a new one an empty choice is oneself
          (await peopleChoices(db.read)).filter(({ value }) => editing || value !== person.id),
      place: part && placeWords(placeOfPart(structureGraph(db.hot), part.id)),
      known: part && !editing ? await knownOf(context, part.id) : [],
      barred: part && isMaker && !editing && !(await mayWriteOf(context, person.id, part.id, moment.today)),
      moreOpen: moreOpen(form),
      today: moment.today,
      back: editing ? `/problems/${editing.id}` : isMaker ? '/board' : NAV,
    });
  };
}

/** Fields that stand behind a fold: open when one of them was filled in, or does not fit. */
const FOLDED = ['words', 'often', 'occurrence', 'detection', 'job', 'seenById', 'seenOn'] as const;

function moreOpen({ values, errors }: FormState): boolean {
  return FOLDED.some((name) => errors[name] || (values[name] && name !== 'job' && name !== 'seenOn'));
}

/** The way down to a part in words; empty for one that is not in the structure. */
export function placeWords(place: Place | null): string {
  if (!place) return '';
  const others = place.elsewhere
    ? `, and in ${place.elsewhere} other ${place.elsewhere === 1 ? 'assembly' : 'assemblies'}`
    : '';
  return place.path.map(({ number, name }) => `${number} ${name}`).join(' › ') + others;
}

/** What is known to be wrong with a part: whoever is about to write it down a second time sees it first. */
async function knownOf(context: Context, partId: number) {
  const open = { partId, acceptedAt: null, curedAt: null, sameAsId: null };
  const lines = await problemLines(context.db.read, open, readMoment(context));
  return lines.slice(0, MOST_KNOWN).map(({ id, title, href }) => ({ id, title, href }));
}

/** Whether a maker may write down what is wrong with a part: the code on it is read by whoever stands before it. */
async function mayWriteOf({ db }: Context, personId: number, partId: number, today: Day): Promise<boolean> {
  return (await worksOn(db.read, personId, { partId })) || (await isAtMachine(db.read, personId, today));
}

/** A maker's own jobs, for the list of a form. */
async function jobsOf({ db }: Context, personId: number) {
  const jobs = await db.read.job.findMany({
    where: { droppedAt: null, OR: [{ personId }, { claims: { some: { personId } } }] },
    orderBy: { id: 'desc' },
    take: 100,
    select: { id: true, title: true, personId: true, claims: { where: { personId } } },
  });
  return jobs
    .filter(
      (job) => job.personId === personId || job.claims.some(({ milli, backMilli }) => milli > backMilli),
    )
    .map(({ id, title }) => ({ value: id, label: `${id} ${title}` }));
}
