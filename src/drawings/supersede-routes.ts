import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { ButtonForm, OldUnitsForm } from './forms.ts';
import { finishOldRevision, takeUpRevision } from './notices.ts';
import { decideOldUnits, type FollowJob } from './old-units.ts';
import { revisionPage } from './revision-routes.ts';

interface Named {
  Params: { id: string };
}

/** What follows when a drawing changes under work: notices to makers, and units made to the old one. */
export function supersedeRoutes(app: FastifyInstance, context: Context, followJob: FollowJob): void {
  const refused = (reply: FastifyReply, text: string | undefined, back: string) =>
    reply.page('shared/error.njk', {
      page: { title: 'Not done' },
      status: reply.statusCode,
      title: 'Not done',
      text,
      back,
    });

  const settling = (
    path: 'take-up' | 'finish-old',
    guard: typeof signedIn,
    work: (act: Act, input: { noticeId: number }) => Promise<{ jobId: number; letter: string }>,
    done: (letter: string) => string,
  ) =>
    app.post<Named>(`/notices/:id/${path}`, { preHandler: guard }, (request, reply) =>
      formAct(context, request, reply, {
        schema: ButtonForm,
        act: (act) => work(act, { noticeId: rowId(request.params.id) }),
        to: ({ jobId }) => `/jobs/${jobId}`,
        done: ({ letter }) => done(letter),
        again: (form) => refused(reply, form.errors._form, '/'),
      }),
    );
  settling('take-up', signedIn, takeUpRevision, (letter) => `Revision ${letter} is taken up.`);
  settling(
    'finish-old',
    leadOnly,
    finishOldRevision,
    (letter) => `They finish what was begun before revision ${letter}.`,
  );

  app.post<Named>('/old-units/:id', { preHandler: leadOnly }, async (request, reply) => {
    const units = found(
      await context.db.read.oldUnits.findUnique({ where: { id: rowId(request.params.id) } }),
      'There are no such old units.',
    );
    return formAct(context, request, reply, {
      schema: OldUnitsForm,
      act: (act, { decision }) => decideOldUnits(act, { oldUnitsId: units.id, decision }, followJob),
      to: `/revisions/${units.revisionId}#old-units`,
      done: ({ followJobId }, { decision }) =>
        followJobId === null
          ? 'They are used as they are.'
          : `Decided: ${decision}. Job ${followJobId} follows.`,
      again: (form, again) => {
        const sentence = form.errors._form ?? form.errors.decision;
        return revisionPage(context, request, again, units.revisionId, {
          button: { ...form, errors: { ...form.errors, ...(sentence ? { _form: sentence } : {}) } },
        });
      },
    });
  });
}
