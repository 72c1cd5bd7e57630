import type { FastifyInstance } from 'fastify';
import type { Context } from '../platform/context.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found } from '../platform/refusal.ts';
import { answerQuery, askQuery } from './ask-query.ts';
import { AnswerForm, QueryForm } from './forms.ts';
import type { ShowJob } from './routes.ts';

/** Questions about a job, and their answers. */
export function queryRoutes(app: FastifyInstance, context: Context, showJob: ShowJob): void {
  app.post<{ Params: { number: string } }>(
    '/jobs/:number/queries',
    { preHandler: signedIn },
    (request, reply) => {
      const jobId = rowId(request.params.number);
      return formAct(context, request, reply, {
        schema: QueryForm,
        act: (act, { question }) => askQuery(act, { jobId, question }),
        to: (queryId) => `/jobs/${jobId}#query-${queryId}`,
        done: 'Asked. The answer will stand here.',
        again: (form, again) => showJob(request, again, jobId, { query: form }),
      });
    },
  );

  app.post<{ Params: { id: string } }>(
    '/queries/:id/answer',
    { preHandler: shop },
    async (request, reply) => {
      const query = found(
        await context.db.read.query.findUnique({
          where: { id: rowId(request.params.id) },
          select: { id: true, jobId: true },
        }),
        'There is no such query.',
      );
      return formAct(context, request, reply, {
        schema: AnswerForm,
        act: (act, { answer }) => answerQuery(act, { queryId: query.id, answer }),
        to: `/jobs/${query.jobId}#query-${query.id}`,
        done: 'Answered.',
        again: (form, again) => showJob(request, again, query.jobId, { [`answer-${query.id}`]: form }),
      });
    },
  );
}
