import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { perform, type Role } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { signedIn } from '../platform/http/guards.ts';
import { found, NotFound } from '../platform/refusal.ts';
import { OutboxKeys } from './keys.ts';
import { kindsFor, LETTER_WORDS, type LetterKind, storedWords } from './kinds.ts';
import { chooseLetters, stopLetters } from './mail-acts.ts';
import { ChoiceForm } from './mail-forms.ts';
import { readMailSettings } from './store.ts';

const NO_LINK = 'This link stops no letters. Sign in and choose on your page which letters you get.';

/** Which letters somebody gets: on their own page, and by the link at the foot of a letter. */
export function ownRoutes(app: FastifyInstance, context: Context): void {
  const { db } = context;
  const keys = new OutboxKeys(context.settings.dataDir);

  async function choicePage(form: FormState | null, reply: FastifyReply) {
    const { id, role } = reply.request.person!;
    const person = found(await db.read.person.findUnique({ where: { id } }), 'There is no such person.');
    const settings = await readMailSettings(db.read);
    const off = storedWords(person.mailOff);
    const kinds = kindsFor(role);
    return reply.page('outbox/choice.njk', {
      page: { title: 'Letters to you', nav: '/me' },
      email: person.email,
      on: settings.on,
      kinds: kinds.map((value) => ({
        value,
        label: LETTER_WORDS[value].own,
        ...(storedWords(settings.kindsOff).includes(value)
          ? { hint: 'Switched off by the lead for everybody.' }
          : {}),
      })),
      form: form ?? freshForm({ kinds: kinds.filter((kind) => !off.includes(kind)) }),
    });
  }

  app.get('/me/mail', { preHandler: signedIn }, (_request, reply) => choicePage(null, reply));

  app.post('/me/mail', { preHandler: signedIn }, (request, reply) =>
    formAct(context, request, reply, {
      schema: ChoiceForm,
      act: (act, { kinds }) => chooseLetters(act, request.person!.id, kinds),
      to: '/me/mail',
      done: 'Kept.',
      again: (form, again) => choicePage(form, again),
    }),
  );

  async function readLink(request: FastifyRequest) {
    const link = keys.readStop((request.params as { word: string }).word);
    if (!link) throw new NotFound(NO_LINK);
    const person = await db.read.person.findUnique({ where: { id: link.personId } });
    if (!person || person.forgottenAt) throw new NotFound(NO_LINK);
    return { ...link, role: person.role, stopped: storedWords(person.mailOff).includes(link.kind) };
  }

  const limits = { rateLimit: { max: 60, timeWindow: '1 minute' } };

  // A program that looks at links must not stop letters by that: the page has a button.
  const stopPage = (reply: FastifyReply, kind: LetterKind, stopped: boolean) =>
    reply.page('outbox/stop.njk', {
      page: { title: 'Stop letters' },
      label: LETTER_WORDS[kind].own,
      stopped,
      path: reply.request.url.split('?')[0],
    });

  // A program that looks at links must not stop letters by that: the page has a button.
  app.get('/mail/stop/:word', { config: limits }, async (request, reply) => {
    const { kind, stopped } = await readLink(request);
    return stopPage(reply, kind, stopped);
  });

  // Mail programs send this by themselves, without a page of ours before it: its address is what proves it. RFC 8058, 3.1
  // wants no redirect for an answer.
  app.post('/mail/stop/:word', { config: { ...limits, fromOutside: true } }, async (request, reply) => {
    const { personId, kind, role } = await readLink(request);
    const actor = { personId, role: role as Role };
    await perform(context, { actor }, (act) => stopLetters(act, personId, kind));
    return stopPage(reply, kind, true);
  });
}
