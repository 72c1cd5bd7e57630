import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { perform } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { localPath, signedIn } from '../platform/http/guards.ts';
import { SET_UP_PATH, SIGN_IN_PATH } from '../platform/http/paths.ts';
import { SetUpForm, SignInForm } from './forms.ts';
import { hashPassword } from './password.ts';
import { buildReader } from './people.ts';
import { endSessions } from './session-store.ts';
import { setUpBuild } from './set-up.ts';
import { personBySecret, SignInThrottle } from './sign-in.ts';

/** Opens a session for a person under a new secret, so that one planted before sign-in is worth nothing. */
export async function openSession(request: FastifyRequest, personId: number): Promise<void> {
  await request.session.regenerate();
  request.session.personId = personId;
}

/** Set-up of an empty build, sign-in and sign-out. */
export function signInRoutes(app: FastifyInstance, context: Context): void {
  const readBuild = buildReader(context.db);
  const throttle = new SignInThrottle(context.clock);

  const setUpPage = (form: FormState, reply: FastifyReply) =>
    reply.page('accounts/set-up.njk', { page: { title: 'Set up the build' }, form });

  app.get(SET_UP_PATH, (_request, reply) => {
    if (readBuild()) return reply.redirect('/', 303);
    return setUpPage(
      freshForm({ timeZone: Intl.DateTimeFormat().resolvedOptions().timeZone, leadWeeklyHours: 10 }),
      reply,
    );
  });

  app.post(SET_UP_PATH, async (request, reply) => {
    if (readBuild()) return reply.redirect('/', 303);
    const read = readForm(SetUpForm, request.body);
    const passwordHash = read.fits ? await hashPassword(read.input.password) : '';
    return formAct(context, request, reply, {
      schema: SetUpForm,
      act: (act, { password: _, ...input }) => setUpBuild(act, input, passwordHash),
      after: (leadId) => openSession(request, leadId),
      to: '/',
      done: 'The build is set up, and you are its lead.',
      again: setUpPage,
    });
  });

  const signInPage = (form: FormState, reply: FastifyReply, back: string | null) =>
    reply.page('accounts/sign-in.njk', { page: { title: 'Sign in' }, form, back });

  app.get<{ Querystring: { back?: string } }>(SIGN_IN_PATH, (request, reply) => {
    const back = localPath(request.query.back);
    return request.person ? reply.redirect(back ?? '/', 303) : signInPage(freshForm(), reply, back);
  });

  const fewTries = { config: { rateLimit: { max: 30, timeWindow: '1 minute' } } };

  app.post<{ Body: { back?: string } }>(SIGN_IN_PATH, fewTries, async (request, reply) => {
    const back = localPath(request.body?.back);
    const read = readForm(SignInForm, request.body);
    if (!read.fits) return signInPage(read.form, reply.code(422), back);
    const { email, password } = read.input;
    const form = freshForm({ email });
    const minutes = throttle.wait(email);
    if (minutes > 0) {
      form.errors._form = `Too many wrong passwords for this address. Wait ${minutes} minutes, or ask the lead for a sign-in link.`;
      return signInPage(form, reply.code(429), back);
    }
    const person = await personBySecret(context.db, email, password);
    if (!person) {
      throttle.wrong(email);
      form.errors._form = 'No account has this address and password.';
      return signInPage(form, reply.code(422), back);
    }
    throttle.right(email);
    await openSession(request, person.id);
    return reply.redirect(back ?? '/', 303);
  });

  app.post('/sign-out', async (request, reply) => {
    await request.session.destroy();
    return reply.redirect('/', 303);
  });

  app.post('/sign-out-everywhere', { preHandler: signedIn }, async (request, reply) => {
    const { id } = request.person!;
    await perform(context, { actor: { personId: id, role: request.person!.role } }, async (act) => {
      await endSessions(act.tx, id);
      await act.log({ kind: 'sign-out-everywhere', aboutId: id });
    });
    return reply.redirect(SIGN_IN_PATH, 303);
  });
}
