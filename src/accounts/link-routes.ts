import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { Refused } from '../platform/refusal.ts';
import { AcceptForm, PlainForm } from './forms.ts';
import { hashPassword } from './password.ts';
import { acceptInvitation, followSignInLink } from './people-acts.ts';
import { openSession } from './routes.ts';
import { isOpenTicket, SPENT_LINK, type TicketKind, ticketHash } from './tickets.ts';

/** The pages at the other end of a single-use link. A link is used by its form, so that a mail scanner can't use it up. */
export function linkRoutes(app: FastifyInstance, context: Context): void {
  const { db, clock } = context;

  async function openTicket(secret: string, kind: TicketKind) {
    const ticket = await db.read.ticket.findUnique({ where: { hash: ticketHash(secret) } });
    if (!ticket || ticket.kind !== kind || !isOpenTicket(ticket, clock.now())) {
      throw new Refused({ code: 'link-spent', sentence: SPENT_LINK });
    }
    return ticket;
  }

  async function invitationPage(secret: string, form: FormState, reply: FastifyReply) {
    const ticket = await openTicket(secret, 'invitation');
    const build = await db.read.build.findUnique({ where: { id: 1 } });
    return reply.page('accounts/invitation.njk', {
      page: { title: 'You are invited' },
      secret,
      role: ticket.role,
      about: build?.about ?? '',
      form,
    });
  }

  const limits = { config: { rateLimit: { max: 30, timeWindow: '1 minute' } } };

  app.get<{ Params: { secret: string } }>('/invitation/:secret', limits, (request, reply) =>
    invitationPage(request.params.secret, freshForm(), reply),
  );

  app.post<{ Params: { secret: string } }>('/invitation/:secret', limits, async (request, reply) => {
    const { secret } = request.params;
    const read = readForm(AcceptForm, request.body);
    const passwordHash = read.fits ? await hashPassword(read.input.password) : '';
    return formAct(context, request, reply, {
      schema: AcceptForm,
      act: (act, { password: _, ...input }) => acceptInvitation(act, secret, input, passwordHash),
      after: (personId) => openSession(request, personId),
      to: '/me',
      done: 'Welcome. Say here how you can be reached and how you want to be thanked.',
      again: (form, again) => invitationPage(secret, form, again),
    });
  });

  async function signInLinkPage(secret: string, form: FormState, reply: FastifyReply) {
    const ticket = await openTicket(secret, 'sign-in');
    const person = await db.read.person.findUnique({ where: { id: ticket.personId ?? 0 } });
    return reply.page('accounts/sign-in-link.njk', {
      page: { title: 'Sign in' },
      secret,
      name: person?.name,
      form,
    });
  }

  app.get<{ Params: { secret: string } }>('/sign-in-link/:secret', limits, (request, reply) =>
    signInLinkPage(request.params.secret, freshForm(), reply),
  );

  app.post<{ Params: { secret: string } }>('/sign-in-link/:secret', limits, (request, reply) =>
    formAct(context, request, reply, {
      schema: PlainForm,
      act: (act) => followSignInLink(act, request.params.secret),
      after: (personId) => openSession(request, personId),
      to: '/',
      done: 'You are signed in. Set a password on your page if you want to come back without a link.',
      again: (form, again) => signInLinkPage(request.params.secret, form, again),
    }),
  );
}
