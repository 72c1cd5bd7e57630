import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Context } from '../platform/context.ts';
import { emptyJournal } from '../platform/database.ts';
import { type FormState, freshForm, readForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly, signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { found, WrongField } from '../platform/refusal.ts';
import { forgetPerson } from './forget-person.ts';
import {
  ForgetForm,
  InvitationForm,
  NewPasswordForm,
  PersonForm,
  PlainForm,
  RoleForm,
  ThanksWordsForm,
} from './forms.ts';
import { mailedWords, mailsInvitations } from './mailed-invitation.ts';
import { hashPassword, passwordFits } from './password.ts';
import { changePerson, changeRole, setOpen, setPassword, takeBackInvitation } from './people-acts.ts';
import { openSession } from './routes.ts';
import { removeThanksWords, sayThanksWords } from './thanks-words.ts';
import { isOpenTicket, makeTicket, type TicketKind, ticketSecret } from './tickets.ts';

const NO_PERSON = 'There is no such person.';

/** Where a link leads, by its kind. */
function ticketPath(kind: string, secret: string): string {
  return kind === 'invitation' ? `/invitation/${secret}` : `/sign-in-link/${secret}`;
}

/** The lead's list of people with invitations and sign-in links; each person's own details. */
export function peopleRoutes(app: FastifyInstance, context: Context, linkKey: string): void {
  const { db, clock, settings } = context;

  async function peoplePage(form: FormState, reply: FastifyReply) {
    const [people, tickets] = await Promise.all([
      db.read.person.findMany({ orderBy: [{ deactivatedAt: 'asc' }, { name: 'asc' }] }),
      db.read.ticket.findMany({ where: { usedAt: null, revokedAt: null }, orderBy: { id: 'desc' } }),
    ]);
    const now = clock.now();
    const names = new Map(people.map(({ id, name }) => [id, name]));
    return reply.page('accounts/people.njk', {
      page: { title: 'People', nav: '/people' },
      people: people.filter(({ forgottenAt }) => !forgottenAt),
      left: people.filter(({ forgottenAt }) => forgottenAt).length,
      mailOn: await mailsInvitations(db.read),
      links: tickets
        .filter((ticket) => isOpenTicket(ticket, now))
        .map((ticket) => ({
          id: ticket.id,
          what:
            ticket.kind === 'invitation'
              ? `invitation as ${ticket.role}${ticket.note ? `: ${ticket.note}` : ''}`
              : `sign-in link of ${names.get(ticket.personId ?? 0) ?? 'someone'}`,
          until: ticket.expiresAt.toISOString().slice(0, 10),
        })),
      form,
    });
  }

  app.get('/people', { preHandler: leadOnly }, (_request, reply) =>
    peoplePage(freshForm({ role: 'maker' }), reply),
  );

  app.post('/people/invitations', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: InvitationForm,
      act: async (act, { role, note, email }) => {
        const id = await makeTicket(act, linkKey, { kind: 'invitation', role, note, email });
        await act.log({ kind: 'invite', thing: { type: 'ticket', id }, after: { role } });
        return id;
      },
      to: (id) => `/people/links/${id}`,
      again: peoplePage,
    }),
  );

  app.get<{ Params: { id: string } }>(
    '/people/links/:id',
    { preHandler: leadOnly },
    async (request, reply) => {
      const ticket = found(
        await db.read.ticket.findUnique({ where: { id: rowId(request.params.id) } }),
        'There is no such link.',
      );
      const person = ticket.personId
        ? await db.read.person.findUnique({ where: { id: ticket.personId } })
        : null;
      return reply.page('accounts/link.njk', {
        page: { title: 'A link to hand over', nav: '/people' },
        ticket,
        kind: ticket.kind as TicketKind,
        mailed: await mailedWords(db.read, ticket),
        name: person?.name ?? null,
        open: isOpenTicket(ticket, clock.now()),
        until: ticket.expiresAt.toISOString().slice(0, 10),
        address:
          settings.baseUrl + ticketPath(ticket.kind, ticketSecret(linkKey, ticket.id, ticket.createdAt)),
      });
    },
  );

  app.post<{ Params: { id: string } }>(
    '/people/links/:id/take-back',
    { preHandler: leadOnly },
    (request, reply) =>
      formAct(context, request, reply, {
        schema: PlainForm,
        act: (act) => takeBackInvitation(act, rowId(request.params.id)),
        to: '/people',
        done: 'The link opens nothing any more.',
        again: peoplePage,
      }),
  );

  async function personPage(
    personId: number,
    forms: { details?: FormState; other?: FormState; thanks?: FormState },
    reply: FastifyReply,
  ) {
    const { person: viewer } = reply.request;
    const person = found(await db.read.person.findUnique({ where: { id: personId } }), NO_PERSON);
    const own = viewer?.id === personId;
    return reply.page('accounts/person.njk', {
      page: { title: own ? 'Your page' : person.name, nav: own ? '/me' : '/people' },
      person,
      own,
      base: own ? '/me' : `/people/${personId}`,
      hasPassword: person.passwordHash !== null,
      form: forms.details ?? freshForm({ ...person }),
      other: forms.other ?? freshForm(),
      thanks: forms.thanks ?? freshForm({ thanksWords: person.thanksWords }),
    });
  }

  // One's own page and the lead's page of a person are the same, at two addresses.
  const own = (request: FastifyRequest) => request.person!.id;
  const named = (request: FastifyRequest) => rowId((request.params as { id: string }).id);
  for (const { base, guard, whose } of [
    { base: '/me', guard: signedIn, whose: own },
    { base: '/people/:id', guard: leadOnly, whose: named },
  ]) {
    const back = (request: FastifyRequest) => (base === '/me' ? '/me' : `/people/${whose(request)}`);
    app.get(base, { preHandler: guard }, (request, reply) => personPage(whose(request), {}, reply));

    app.post(base, { preHandler: guard }, (request, reply) =>
      formAct(context, request, reply, {
        schema: PersonForm,
        act: (act, input) => changePerson(act, whose(request), input),
        to: back(request),
        done: 'Kept.',
        again: (details, again) => personPage(whose(request), { details }, again),
      }),
    );

    app.post(
      `${base}/forget`,
      { preHandler: guard, config: { rateLimit: { max: 20, timeWindow: '1 minute' } } },
      async (request, reply) => {
        const read = readForm(ForgetForm, request.body);
        // An open browser alone takes nobody's account away: whoever leaves and has a password types it.
        const leaving =
          base === '/me' ? await db.read.person.findUnique({ where: { id: own(request) } }) : null;
        const right =
          !leaving?.passwordHash ||
          (read.fits && (await passwordFits(read.input.presentPassword, leaving.passwordHash)));
        return formAct(context, request, reply, {
          schema: ForgetForm,
          act: async (act) => {
            if (!right) throw new WrongField('presentPassword', 'This is not your password.');
            await forgetPerson(act, whose(request));
          },
          after: async () => {
            if (whose(request) === request.person?.id) await request.session.destroy();
            await emptyJournal(db);
          },
          to: base === '/me' ? '/sign-in' : '/people',
          done: 'Name, addresses and everything personal are gone. What was built stays.',
          again: (other, again) => personPage(whose(request), { other }, again),
        });
      },
    );
  }

  app.post('/me/thanks-words', { preHandler: signedIn }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ThanksWordsForm,
      act: (act, input) => sayThanksWords(act, own(request), input),
      to: '/me#thanks',
      done: 'Kept. It stands on the thanks page, unless you are not named there.',
      again: (thanks, again) => personPage(own(request), { thanks }, again),
    }),
  );

  app.post<{ Params: { id: string } }>(
    '/people/:id/thanks-words/remove',
    { preHandler: leadOnly },
    (request, reply) =>
      formAct(context, request, reply, {
        schema: PlainForm,
        act: (act) => removeThanksWords(act, named(request)),
        to: `/people/${named(request)}`,
        done: 'Their words are off the thanks page.',
        again: (other, again) => personPage(named(request), { other }, again),
      }),
  );

  app.post('/me/password', { preHandler: signedIn }, async (request, reply) => {
    const read = readForm(NewPasswordForm, request.body);
    const passwordHash = read.fits ? await hashPassword(read.input.password) : '';
    const personId = own(request);
    return formAct(context, request, reply, {
      schema: NewPasswordForm,
      act: (act) => setPassword(act, personId, passwordHash),
      after: () => openSession(request, personId),
      to: '/me',
      done: 'The password is set. Everywhere else you are signed out.',
      again: (other, again) => personPage(personId, { other }, again),
    });
  });

  app.post<{ Params: { id: string } }>(
    '/people/:id/sign-in-link',
    { preHandler: leadOnly },
    (request, reply) =>
      formAct(context, request, reply, {
        schema: PlainForm,
        act: async (act) => {
          const personId = named(request);
          const person = found(await act.tx.person.findUnique({ where: { id: personId } }), NO_PERSON);
          const id = await makeTicket(act, linkKey, { kind: 'sign-in', personId: person.id });
          await act.log({ kind: 'make-sign-in-link', aboutId: person.id });
          return id;
        },
        to: (id) => `/people/links/${id}`,
        again: (other, again) => personPage(named(request), { other }, again),
      }),
  );

  app.post<{ Params: { id: string } }>('/people/:id/role', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: RoleForm,
      act: (act, { role }) => changeRole(act, named(request), role),
      to: `/people/${named(request)}`,
      done: (_, { role }) => `The role is ${role} now.`,
      again: (other, again) => personPage(named(request), { other }, again),
    }),
  );

  for (const [path, open] of [
    ['close', false],
    ['open', true],
  ] as const) {
    app.post(`/people/:id/${path}`, { preHandler: leadOnly }, (request, reply) =>
      formAct(context, request, reply, {
        schema: PlainForm,
        act: (act) => setOpen(act, named(request), open),
        to: `/people/${named(request)}`,
        done: open ? 'The account is open again.' : 'The account is closed; what was done stays.',
        again: (other, again) => personPage(named(request), { other }, again),
      }),
    );
  }
}
