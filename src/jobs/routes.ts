import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { forbidden, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import type { SignedIn } from '../platform/http/types.ts';
import { found } from '../platform/refusal.ts';
import { cardNamesReader, momentReader } from './card-reader.ts';
import { claimRoutes } from './claim-routes.ts';
import type { JobFacts } from './facts.ts';
import { factsReader } from './facts-reader.ts';
import { jobActRoutes } from './job-act-routes.ts';
import { type JobPage, readJobPage } from './job-page.ts';
import type { LoopThrough } from './link-jobs.ts';
import { newJobRoutes } from './new-job-routes.ts';
import { queryRoutes } from './query-routes.ts';
import type { JobTimes } from './times.ts';

/** A part of the route card that another domain writes: its view gets `section.data` beside the page's own. */
export interface JobSection {
  view: string;
  data: unknown;
}

export interface JobPorts {
  times: JobTimes;
  /** the loop a link by hand would close in the network that the schedule derives */
  loopThrough?: LoopThrough;
  /** what other domains add to a job's page for this person: parcels, inspections */
  sections?: (job: JobFacts, person: SignedIn) => Promise<JobSection[]>;
  /** whether a person may see the photos of a problem */
  mayOpenPhotosOf?: (person: SignedIn, problemId: number) => Promise<boolean>;
}

/** The forms on a job's page that came back wrong, by name: 'claim', 'report-12'. */
export type JobForms = Record<string, FormState>;

/** Shows a job's page; with forms that came back, as they were typed. */
export type ShowJob = (
  request: FastifyRequest,
  reply: FastifyReply,
  jobId: number,
  forms?: JobForms,
) => Promise<FastifyReply>;

/** What the forms of a job's page hold before anything is typed. */
function freshForms(job: JobPage): JobForms {
  const forms: JobForms = {
    claim: freshForm({ quantity: job.openQuantity }),
    order: freshForm({ supplier: job.supplier, promisedOn: job.ordered?.promisedOn ?? '' }),
    receive: freshForm({ quantity: job.toCome }),
    offer: freshForm({ strangers: job.strangers }),
    link: freshForm({ direction: 'waits', type: 'FS', lag: '0' }),
  };
  for (const claim of job.claims) forms[`hand-back-${claim.id}`] = freshForm({ quantity: claim.unfinished });
  return forms;
}

/** Forms that came back stay unfolded; what is said of the whole form is told at the top of the page. */
function openForms(forms: JobForms): Record<string, FormState & { open: true }> {
  return Object.fromEntries(
    Object.entries(forms).map(
      ([
        name,
        {
          values,
          errors: { _form, ...errors },
        },
      ]) => [name, { values, errors, open: true as const }],
    ),
  );
}

/** Which of a person's permissions on a claim shows which form. */
const CLAIM_FORMS = {
  report: 'report',
  promise: 'renew',
  correct: 'correct',
  'hand-back': 'handBack',
} as const;

/** Whether the form of this name stands on the page, so that what is said of its fields can be seen there. */
function isShown({ may, claims }: JobPage, name: string): boolean {
  const match = /^(report|promise|correct|hand-back)-(\d+)$/.exec(name);
  if (match) {
    const claim = claims.find(({ id }) => id === Number(match[2]));
    return claim?.may[CLAIM_FORMS[match[1] as keyof typeof CLAIM_FORMS]] ?? false;
  }
  if (name === 'query') return may.ask;
  return name.startsWith('answer-') ? may.answer : (may[name as keyof typeof may] ?? false);
}

/** What is told above everything: why an act was refused, and what is wrong with a form that is not there any more. */
function toldAbove(job: JobPage, forms: JobForms): string[] {
  return Object.entries(forms).flatMap(([name, { errors }]) => {
    if (!isShown(job, name)) return Object.values(errors);
    return errors._form ?? [];
  });
}

function cardShower(context: Context, { times, sections }: JobPorts): ShowJob {
  const { db, clock } = context;
  const facts = factsReader(db);
  const names = cardNamesReader(db);
  const momentAt = momentReader(db);
  const sources = { db, times, names, facts: facts.one, moment: () => momentAt(clock.now()) };
  return async (request, reply, jobId, forms = {}) => {
    const person = found(request.person, 'Sign in to see jobs.');
    const job = await readJobPage(sources, jobId, person);
    const known = facts.one(jobId);
    const makers =
      job.may.claim && person.role === 'lead'
        ? await db.read.person.findMany({
            where: { deactivatedAt: null, forgottenAt: null },
            orderBy: [{ role: 'desc' }, { name: 'asc' }],
            select: { id: true, name: true, role: true },
          })
        : [];
    return reply.page('jobs/job.njk', {
      page: { title: `Job ${jobId}, ${job.title}`, sheet: `Route card ${jobId}`, nav: '/board' },
      job,
      isShop: person.role !== 'maker',
      isLead: person.role === 'lead',
      makers: makers.map(({ id, name, role }) => ({ value: id, label: name, group: role })),
      forms: { ...freshForms(job), ...openForms(forms) },
      refused: toldAbove(job, forms),
      sections: known && sections ? await sections(known, person) : [],
    });
  };
}

/** Jobs: the route card, its forms, making and changing, photos. */
export function jobRoutes(app: FastifyInstance, context: Context, ports: JobPorts): void {
  const showJob = cardShower(context, ports);
  newJobRoutes(app, context);
  app.get<{ Params: { number: string } }>('/jobs/:number', { preHandler: signedIn }, (request, reply) =>
    showJob(request, reply, rowId(request.params.number)),
  );
  claimRoutes(app, context, showJob);
  queryRoutes(app, context, showJob);
  jobActRoutes(app, context, ports, showJob);

  app.get<{ Params: { id: string } }>('/photos/:id', { preHandler: signedIn }, async (request, reply) => {
    const photo = await context.db.read.photo.findFirst({
      where: { id: rowId(request.params.id), removedAt: null },
      select: { sha256: true, bytes: true, problemId: true },
    });
    const { sha256, bytes, problemId } = found(photo, 'There is no such photo.');
    if (problemId !== null && !(await ports.mayOpenPhotosOf?.(request.person!, problemId))) {
      return forbidden(reply, 'This photo is of a problem of a part you have no work on.');
    }
    // Kept by content: what this address gives never changes.
    return reply
      .header('cache-control', 'private, max-age=31536000, immutable')
      .header('content-length', bytes)
      .type('image/jpeg')
      .send(context.files.read(sha256));
  });
}
