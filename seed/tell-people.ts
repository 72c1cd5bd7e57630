import {
  acceptInvitation,
  changeBuild,
  changePerson,
  linkKeyOf,
  makeTicket,
  sayThanksWords,
  setUpBuild,
  ticketSecret,
} from '../src/accounts/index.ts';
import { addAway, addTool } from '../src/makers/index.ts';
import type { Book } from './book.ts';
import { build, type PersonStory, people, settings } from './people.ts';
import { done, HOURS } from './timeline.ts';
import type { PersonKey } from './types.ts';

const visitor = { personId: null, role: 'visitor' } as const;

/** The build is set up, and its people come one by one, each with an invitation. */
export function tellPeople(book: Book, dataDir: string, passwordHash: string): void {
  const { timeline, context } = book;
  const [lead, ...others] = people;
  timeline.add(lead.came, HOURS.setUp, async () => {
    const id = await done(context, visitor, (act) =>
      setUpBuild(act, { ...build, leadName: lead.name, email: lead.email }, passwordHash),
    );
    book.people.set(lead.key, id);
    const { db } = context;
    for (const { id: own, key } of await db.read.material.findMany()) if (key) book.materials.set(key, own);
    for (const { id: own, key } of await db.read.process.findMany()) if (key) book.processes.set(key, own);
  });
  book.act(lead.came, HOURS.setUp, lead.key, (act) =>
    changeBuild(act, { ...build, ...settings, weekdays: [...settings.weekdays] }),
  );
  const linkKey = linkKeyOf(dataDir);
  for (const person of others) tellPerson(book, person, linkKey, passwordHash);
  // One invitation that nobody has come with yet.
  book.act(-5, HOURS.plan, lead.key, (act) =>
    invite(act, linkKey, 'maker', 'the bronze founder from the harbour'),
  );
}

async function invite(
  act: Parameters<typeof makeTicket>[0],
  linkKey: string,
  role: 'crew' | 'maker' | 'lead',
  note: string,
): Promise<number> {
  const id = await makeTicket(act, linkKey, { kind: 'invitation', role, note });
  await act.log({ kind: 'invite', thing: { type: 'ticket', id }, after: { role } });
  return id;
}

function tellPerson(
  book: Book,
  person: PersonStory & { key: PersonKey },
  linkKey: string,
  passwordHash: string,
): void {
  const { timeline, context } = book;
  const { key, name, email, country, role, came } = person;
  let secret = '';
  book.act(Math.max(-365, came - 1), HOURS.plan, 'jerica', async (act) => {
    secret = ticketSecret(linkKey, await invite(act, linkKey, role, name), act.at);
  });
  timeline.add(came, HOURS.release, async () => {
    const id = await done(context, visitor, (act) =>
      acceptInvitation(act, secret, { name, email, country }, passwordHash),
    );
    book.people.set(key, id);
  });
  book.act(came, HOURS.release, key, (act) =>
    changePerson(act, book.people.get(key), {
      name,
      email,
      country,
      reach: person.reach ?? '',
      address: person.address ?? '',
      thanksBy: person.thanks?.by ?? 'name',
      alias: person.thanks?.alias ?? '',
      weeklyHours: person.hours ?? 4,
      lengthUnit: person.unit ?? 'mm',
      about: person.about ?? '',
    }),
  );
  const { words } = person;
  if (words) {
    book.act(-30, HOURS.late, key, (act) =>
      sayThanksWords(act, book.people.get(key), { thanksWords: words }),
    );
  }
  for (const tool of person.tools ?? []) {
    const [xMm = null, yMm = null, zMm = null] = tool.mm ?? [];
    book.act(came, HOURS.release, key, (act) =>
      addTool(act, book.people.get(key), {
        name: tool.name,
        processId: tool.process ? book.processes.get(tool.process) : null,
        xMm,
        yMm,
        zMm,
        materials: tool.works ?? '',
        note: '',
      }),
    );
  }
  for (const { from, until, noted, note } of person.away ?? []) {
    book.act(noted, HOURS.claim, key, (act) =>
      addAway(act, book.people.get(key), {
        fromOn: timeline.day(from),
        untilOn: timeline.day(until),
        note,
      }),
    );
  }
}
