import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { found } from '../platform/refusal.ts';
import { BuildForm } from './forms.ts';
import { changeBuild } from './people-acts.ts';

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'].map(
  (label, at) => ({
    value: String(at + 1),
    label,
  }),
);

/** The build's own settings. */
export function settingsRoutes(app: FastifyInstance, context: Context): void {
  const settingsPage = (form: FormState, reply: FastifyReply) =>
    reply.page('accounts/settings.njk', {
      page: { title: 'Settings', nav: '/settings' },
      form,
      weekdays: WEEKDAYS,
    });

  app.get('/settings', { preHandler: leadOnly }, async (_request, reply) => {
    const build = found(
      await context.db.read.build.findUnique({ where: { id: 1 } }),
      'The build is not set up.',
    );
    const values = {
      ...build,
      weekdays: build.weekdays.split(','),
      bulletinWeekday: String(build.bulletinWeekday),
      bulletinMinutes: build.bulletinMinutes ?? '',
    };
    return settingsPage(freshForm(values), reply);
  });

  app.post('/settings', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: BuildForm,
      act: changeBuild,
      to: '/settings',
      done: 'Kept.',
      again: settingsPage,
    }),
  );
}
