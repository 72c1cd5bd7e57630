import type { FastifyInstance, FastifyReply } from 'fastify';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { leadOnly } from '../platform/http/guards.ts';
import { seemsNear } from './far-address.ts';
import { LETTER_KINDS, LETTER_WORDS, storedWords } from './kinds.ts';
import { askTestLetter, changeMail, seenOf, settleLetter, settleLetters, tryNow } from './mail-acts.ts';
import { LetterForm, LettersForm, MailForm, PlainForm } from './mail-forms.ts';
import { MailPassword } from './mail-password.ts';
import { readOutbox } from './outbox-reader.ts';
import { readMailSettings } from './store.ts';

/** The lead's page of how letters leave, and of what waits. */
export function mailRoutes(app: FastifyInstance, context: Context): void {
  const { db, clock } = context;
  const password = new MailPassword(context.settings.dataDir);

  async function mailPage(form: FormState | null, reply: FastifyReply, problem?: string) {
    const settings = await readMailSettings(db.read);
    const off = storedWords(settings.kindsOff);
    const { host, port, secure, user, fromName, fromEmail, on } = settings;
    const stored = {
      host,
      port,
      secure,
      user,
      fromName,
      fromEmail,
      on,
      open: host !== '' && secure === 'none',
      kinds: LETTER_KINDS.filter((kind) => !off.includes(kind)),
      seen: seenOf(settings.changedAt),
    };
    return reply.page('outbox/mail.njk', {
      page: { title: 'Letters', nav: '/settings' },
      form: form ?? freshForm(stored),
      other: freshForm(),
      ...(problem ? { flash: { kind: 'refused', text: problem } } : {}),
      on,
      hasServer: host !== '' && fromEmail !== '',
      isOpen: host !== '' && secure === 'none',
      // Where a letter is read, an address of this machine leads nowhere.
      nearAddress: seemsNear(new URL(context.settings.baseUrl)) ? context.settings.baseUrl : null,
      hasPassword: user !== '' && password.kept(settings) === 'this',
      kinds: LETTER_KINDS.map((value) => ({ value, label: LETTER_WORDS[value].label })),
      outbox: await readOutbox(db.read, clock.now()),
    });
  }

  /** What a button was refused for stands above the page as it is stored. */
  const refused = (form: FormState, reply: FastifyReply) =>
    mailPage(null, reply, form.errors._form ?? Object.values(form.errors)[0] ?? 'This did not fit.');

  app.get('/settings/mail', { preHandler: leadOnly }, (_request, reply) => mailPage(null, reply));

  app.post('/settings/mail', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: MailForm,
      act: async (act, input) => ({ ...(await changeMail(act, input, password.kept(input))), login: input }),
      after: async ({ password: typed, login }) => {
        if (typed !== null) await password.keep(login, typed);
      },
      to: '/settings/mail',
      done: 'Kept. Send yourself a test letter.',
      again: (form, again) => mailPage(form, again),
    }),
  );

  app.post('/settings/mail/test', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: PlainForm,
      act: askTestLetter,
      to: '/settings/mail',
      done: 'The letter is in the outbox. If it does not come, what the server said stands here.',
      again: refused,
    }),
  );

  app.post('/settings/mail/try', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: PlainForm,
      act: tryNow,
      to: '/settings/mail',
      done: 'It is tried now. Load the page again in a moment.',
      again: refused,
    }),
  );

  app.post('/settings/mail/letters', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: LetterForm,
      act: settleLetter,
      to: '/settings/mail',
      done: (_, { what }) => (what === 'send' ? 'It goes out once more.' : 'It is dropped.'),
      again: refused,
    }),
  );

  app.post('/settings/mail/letters/all', { preHandler: leadOnly }, (request, reply) =>
    formAct(context, request, reply, {
      schema: LettersForm,
      act: settleLetters,
      to: '/settings/mail',
      done: (count, { what }) => {
        const letters = count === 1 ? '1 letter' : `${count} letters`;
        if (what === 'drop') return `${letters} dropped.`;
        return count === 1 ? '1 letter goes out once more.' : `${letters} go out once more.`;
      },
      again: refused,
    }),
  );
}
