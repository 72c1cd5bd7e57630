import type { FastifyInstance } from 'fastify';
import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { formAct } from '../platform/http/form-act.ts';
import { forbidden, leadOnly, shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { approveFirstPiece } from './approve-first-piece.ts';
import { finishJob, startJob } from './finish-job.ts';
import {
  ApproveFirstForm,
  ArrivalForm,
  ButtonForm,
  DropForm,
  FinishForm,
  HoldForm,
  LinkForm,
  OfferForm,
  OrderForm,
} from './forms.ts';
import { dropJob, holdJob, resumeJob } from './hold-job.ts';
import { mayWorkOn } from './job-rules.ts';
import { linkJobs, unlinkJobs } from './link-jobs.ts';
import { offerJob, withdrawOffer } from './offer-job.ts';
import { orderPurchase, receivePurchase } from './purchase-job.ts';
import type { JobPorts, ShowJob } from './routes.ts';
import { typedQuantityOrNone } from './say.ts';
import { readJob } from './store.ts';

interface OfJob {
  Params: { number: string };
}

/** What the shop does with a job as a whole; work that names a person is theirs too. */
export function jobActRoutes(
  app: FastifyInstance,
  context: Context,
  { times, loopThrough }: JobPorts,
  showJob: ShowJob,
): void {
  /** A form on a job: `name` is the last word of its address and the name of the form on the page. */
  const onJob = <S extends z.ZodType>(
    name: string,
    schema: S,
    work: (act: Act, jobId: number, input: z.output<S>) => Promise<string>,
    guard = shop,
    anchor = '',
  ) =>
    app.post<OfJob>(`/jobs/:number/${name}`, { preHandler: guard }, async (request, reply) => {
      const jobId = rowId(request.params.number);
      if (guard === signedIn) {
        const job = found(
          await context.db.read.job.findUnique({ where: { id: jobId }, select: { personId: true } }),
          `There is no job ${jobId}.`,
        );
        const { id, role } = request.person!;
        const barred = mayWorkOn(job, { personId: id, role });
        if (barred) return forbidden(reply, barred.sentence);
      }
      return formAct(context, request, reply, {
        schema,
        act: (act, input) => work(act, jobId, input),
        to: `/jobs/${jobId}${anchor}`,
        done: (words) => words,
        again: (form, again) => showJob(request, again, jobId, { [name]: form }),
      });
    });

  onJob('offer', OfferForm, async (act, jobId, { strangers, asked }) => {
    await offerJob(act, jobId, asked ? strangers : undefined);
    return 'Offered: makers can claim it now.';
  });
  onJob('withdraw', ButtonForm, async (act, jobId) => {
    await withdrawOffer(act, jobId);
    return 'The offer is taken back.';
  });
  onJob('hold', HoldForm, async (act, jobId, { reason }) => {
    await holdJob(act, { jobId, reason });
    return 'On hold.';
  });
  onJob('resume', ButtonForm, async (act, jobId) => {
    await resumeJob(act, jobId);
    return 'It goes on.';
  });
  onJob('drop', DropForm, async (act, jobId, { reason }) => {
    await dropJob(act, { jobId, reason });
    return 'Dropped. Its history stays.';
  });
  onJob(
    'approve-first',
    ApproveFirstForm,
    async (act, jobId, { words }) => {
      await approveFirstPiece(act, jobId, words);
      return 'Approved: the rest may be made and posted.';
    },
    leadOnly,
  );
  onJob(
    'start',
    ButtonForm,
    async (act, jobId) => {
      await startJob(act, jobId);
      return 'Work has begun.';
    },
    signedIn,
  );
  onJob(
    'finish',
    FinishForm,
    async (act, jobId, { result, atBench }) => {
      await finishJob(act, { jobId, result, atBench, ready: times.of(jobId)?.ready ?? true });
      return 'Finished.';
    },
    signedIn,
  );
  onJob('order', OrderForm, async (act, jobId, order) => {
    await orderPurchase(act, { jobId, ...order });
    return 'Ordered.';
  });
  onJob('receive', ArrivalForm, async (act, jobId, { quantity, noMore }) => {
    const { unit } = await readJob(act.tx, jobId);
    await receivePurchase(act, { jobId, milli: typedQuantityOrNone(quantity, unit), noMore });
    return 'Taken in.';
  });
  onJob(
    'link',
    LinkForm,
    async (act, jobId, { other, direction, type, lag }) => {
      const [fromId, toId] = direction === 'waits' ? [other, jobId] : [jobId, other];
      await linkJobs(act, { fromId, toId, type, lag }, loopThrough);
      return 'Linked.';
    },
    shop,
    '#links',
  );

  app.post<{ Params: { number: string; id: string } }>(
    '/jobs/:number/links/:id/remove',
    { preHandler: shop },
    (request, reply) => {
      const jobId = rowId(request.params.number);
      return formAct(context, request, reply, {
        schema: ButtonForm,
        act: (act) => unlinkJobs(act, rowId(request.params.id)),
        to: `/jobs/${jobId}#links`,
        done: 'The link is taken away.',
        again: (form, again) => showJob(request, again, jobId, { link: form }),
      });
    },
  );
}
