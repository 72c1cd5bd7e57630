import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { Unit } from '../parts/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { forbidden, only, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { readUpload } from '../platform/http/upload.ts';
import { found, WrongField } from '../platform/refusal.ts';
import { claimJob, handBack, renewPromise } from './claim-job.ts';
import { ButtonForm, ClaimForm, CorrectionForm, HandBackForm, PromiseForm, ReportForm } from './forms.ts';
import { PHOTO_LIMIT_BYTES, photosOf } from './photos.ts';
import { correctReport, reportWork, startWork } from './report-work.ts';
import type { ShowJob } from './routes.ts';
import { say, typedQuantity, typedQuantityOrNone } from './say.ts';
import { readClaim, readJob } from './store.ts';

interface OfClaim {
  Params: { id: string };
}
interface FoundClaim {
  id: number;
  jobId: number;
}

/** What makers do: claim, promise, begin, report, correct, hand back. The lead may do it for them. */
export function claimRoutes(app: FastifyInstance, context: Context, showJob: ShowJob): void {
  app.post<{ Params: { number: string } }>(
    '/jobs/:number/claims',
    { preHandler: only('maker', 'lead') },
    (request, reply) => {
      const jobId = rowId(request.params.number);
      const person = request.person!;
      return formAct(context, request, reply, {
        schema: ClaimForm,
        async act(act, { quantity, personId, ...input }) {
          const { unit } = await readJob(act.tx, jobId);
          if (person.role === 'lead' && personId === null)
            throw new WrongField('personId', 'Choose a maker.');
          const maker = person.role === 'lead' && personId !== null ? personId : person.id;
          const milli = typedQuantity(quantity, unit);
          return claimJob(act, { ...input, jobId, personId: maker, milli });
        },
        to: (claimId) => `/jobs/${jobId}#claim-${claimId}`,
        done: 'Claimed. The promise counts from today.',
        again: (form, again) => showJob(request, again, jobId, { claim: form }),
      });
    },
  );

  /** The claim of an address, if this person may act on it; else the answer has been sent. */
  const claimFor = async (
    request: FastifyRequest<OfClaim>,
    reply: FastifyReply,
  ): Promise<FoundClaim | null> => {
    const claim = found(
      await context.db.read.claim.findUnique({
        where: { id: rowId(request.params.id) },
        select: { id: true, jobId: true, personId: true },
      }),
      'There is no such claim.',
    );
    const { id, role } = request.person!;
    if (role === 'lead' || claim.personId === id) return claim;
    forbidden(reply, 'This claim is another maker’s: only they or the lead may do that.');
    return null;
  };

  /** A form on a claim: `name` is the last word of its address and the name of the form on the page. */
  const onClaim = <S extends z.ZodType>(
    name: string,
    schema: S,
    work: (act: Act, claimId: number, input: z.output<S>, unit: Unit) => Promise<string>,
  ) =>
    app.post<OfClaim>(`/claims/:id/${name}`, { preHandler: signedIn }, async (request, reply) => {
      const claim = await claimFor(request, reply);
      if (!claim) return reply;
      return formAct(context, request, reply, {
        schema,
        async act(act, input) {
          const { unit } = await readClaim(act.tx, claim.id);
          return work(act, claim.id, input, unit);
        },
        to: `/jobs/${claim.jobId}#claim-${claim.id}`,
        done: (words) => words,
        again: (form, again) => showJob(request, again, claim.jobId, { [`${name}-${claim.id}`]: form }),
      });
    });

  onClaim('promise', PromiseForm, async (act, claimId, promise) => {
    await renewPromise(act, { claimId, ...promise });
    return 'Promised anew, from today.';
  });
  onClaim('start', ButtonForm, async (act, claimId) => {
    await startWork(act, claimId);
    return 'Work has begun.';
  });
  onClaim('hand-back', HandBackForm, async (act, claimId, { quantity, words }, unit) => {
    const milli = typedQuantity(quantity, unit);
    await handBack(act, { claimId, milli, words });
    return `${say(milli, unit)} handed back.`;
  });
  onClaim('correct', CorrectionForm, async (act, claimId, { quantity, words }, unit) => {
    await correctReport(act, { claimId, milli: typedQuantity(quantity, unit), words });
    return 'Corrected.';
  });

  app.post<OfClaim>('/claims/:id/report', { preHandler: signedIn }, async (request, reply) => {
    const claim = await claimFor(request, reply);
    if (!claim) return reply;
    const upload = await readUpload(request, context.files, PHOTO_LIMIT_BYTES);
    try {
      const name = `report-${claim.id}`;
      const { photos, error } = await photosOf(upload);
      if (error) {
        const read = readForm(ReportForm, upload.fields);
        const typed = read.fits ? { values: upload.fields, errors: {} } : read.form;
        const form = { ...typed, errors: { ...typed.errors, photos: error } };
        return await showJob(request, reply.code(422), claim.jobId, { [name]: form });
      }
      return await formAct(context, request, reply, {
        schema: ReportForm,
        body: upload.fields,
        async act(act, { quantity, words, hours }) {
          const { unit } = await readClaim(act.tx, claim.id);
          const milli = typedQuantityOrNone(quantity, unit);
          await reportWork(act, context.files, { claimId: claim.id, milli, words, hours, photos });
        },
        to: `/jobs/${claim.jobId}#claim-${claim.id}`,
        done: 'Thank you: the report is kept.',
        again: (form, again) => showJob(request, again, claim.jobId, { [name]: form }),
      });
    } finally {
      await upload.discard();
    }
  });
}
