import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import { checkLeadRemains } from './lead-remains.ts';
import { endSessions } from './session-store.ts';

/** How somebody is named once they are forgotten. */
export const FORGOTTEN_NAME = 'someone who has left';

/**
 * Takes away all that is personal, for good. What the person did stays, by number and without a name: claims, parcels,
 * measurements, and what they wrote in reports, queries and problems. Their country stays for the times of the post. Open
 * claims must be handed back first and what is made posted, or the machine would wait for nobody.
 */
export async function forgetPerson(act: Act, personId: number): Promise<void> {
  const { tx, at } = act;
  const person = found(await tx.person.findUnique({ where: { id: personId } }), 'There is no such person.');
  if (person.forgottenAt) return;
  if (person.role === 'lead') await checkLeadRemains(act, personId);
  await checkNothingWaits(act, personId);
  await tx.person.update({
    where: { id: personId },
    data: {
      name: FORGOTTEN_NAME,
      email: null,
      reach: '',
      address: '',
      alias: '',
      about: '',
      thanksWords: '',
      thanksBy: 'none',
      passwordHash: null,
      weeklyHours: 0,
      lengthUnit: 'mm',
      mailOff: '[]',
      calendarTurn: { increment: 1 }, // the address of their calendar opens nothing any more
      forgottenAt: at,
      deactivatedAt: person.deactivatedAt ?? at,
    },
  });
  await tx.tool.deleteMany({ where: { personId } });
  await tx.away.deleteMany({ where: { personId } });
  await leaveGatherings(act, personId);
  await dropLinksAndLetters(act, personId);
  await wipeWordsToTheLead(act, person);
  await wipeRemarks(act, personId);
  await wipeFromSettings(act, person);
  await freeOpenWork(act, personId);
  await endSessions(tx, personId);
  await act.log({ kind: 'forget-person', aboutId: personId });
}

/** What is made and not posted waits as well: nobody would know any more who has it. */
async function checkNothingWaits({ tx }: Act, personId: number): Promise<void> {
  const open = await tx.claim.findMany({
    where: { personId, endedAt: null, job: { droppedAt: null } },
    select: {
      jobId: true,
      milli: true,
      backMilli: true,
      doneMilli: true,
      parcelItems: { select: { milli: true, countedMilli: true } },
    },
    orderBy: { jobId: 'asc' },
  });
  const jobsOf = (waits: (claim: (typeof open)[number]) => boolean) =>
    [...new Set(open.filter(waits).map(({ jobId }) => jobId))].join(', ');
  const unfinished = jobsOf(({ milli, backMilli, doneMilli }) => milli - backMilli > doneMilli);
  const made = jobsOf(
    ({ doneMilli, parcelItems }) =>
      doneMilli > parcelItems.reduce((sum, item) => sum + (item.countedMilli ?? item.milli), 0),
  );
  const sentences = [
    unfinished && `Hand back the unfinished claims first: job ${unfinished}.`,
    made &&
      `Post what is made first, or take the report of it back and hand it back: job ${made}. Nobody would know any more who has it.`,
  ].filter(Boolean);
  if (sentences.length > 0) refuse('open-claims', sentences.join(' '));
}

/** Where they have been, they have been; to what is ahead they don't come. */
async function leaveGatherings({ tx, at, today }: Act, personId: number): Promise<void> {
  await tx.comer.updateMany({ where: { personId }, data: { skills: '' } });
  await tx.comer.updateMany({
    where: { personId, cancelledAt: null, gathering: { untilOn: { gte: today } } },
    data: { cancelledAt: at },
  });
  await tx.packingLine.updateMany({ where: { personId, packedAt: null }, data: { personId: null } });
}

/** Links to their account, the invitation they came by with what was noted on it, and letters to them. */
async function dropLinksAndLetters({ tx, at }: Act, personId: number): Promise<void> {
  await tx.ticket.updateMany({ where: { personId, usedAt: null, revokedAt: null }, data: { revokedAt: at } });
  const came = await tx.act.findMany({
    where: { kind: 'accept-invitation', aboutId: personId },
    select: { at: true },
  });
  const invitations = { kind: 'invitation', usedAt: { in: came.map(({ at: usedAt }) => usedAt) } };
  const tickets = await tx.ticket.findMany({
    where: { OR: [{ personId }, invitations] },
    select: { id: true },
  });
  const ticketIds = tickets.map(({ id }) => id);
  await tx.ticket.updateMany({ where: { id: { in: ticketIds } }, data: { note: '', email: '' } });
  const theirs = { OR: [{ personId }, { ticketId: { in: ticketIds } }] };
  await tx.letter.updateMany({
    where: { ...theirs, state: { in: ['waiting', 'in doubt'] } },
    data: { state: 'dropped', settledAt: at },
  });
  // What a mail server answered may name the address.
  await tx.letter.updateMany({ where: theirs, data: { subject: '', body: '', lastError: '' } });
}

/** What they wrote to the lead alone: with a claim, on a public offer, about the post. */
async function wipeWordsToTheLead(
  { tx, at, actor }: Act,
  person: { id: number; email: string | null; reach: string },
): Promise<void> {
  const { id: personId } = person;
  const claims = await tx.claim.findMany({ where: { personId }, select: { id: true } });
  await tx.claim.updateMany({ where: { personId }, data: { note: '' } });
  await tx.parcel.updateMany({
    where: { fromId: personId, arrivedAt: { not: null } },
    data: { tracking: '' },
  });
  const wiped = { name: FORGOTTEN_NAME, reach: '', tools: '', words: '' };
  // Also what they wrote as a stranger before or since, where it can be told by the way to reach them.
  const reached = [person.email, person.reach].filter((way): way is string => Boolean(way));
  const theirs = { OR: [{ claimId: { in: claims.map(({ id }) => id) } }, { reach: { in: reached } }] };
  await tx.strangerOffer.updateMany({
    where: { ...theirs, settledAt: null },
    data: { settledAt: at, settledAs: 'declined', settledById: actor.personId },
  });
  await tx.strangerOffer.updateMany({ where: theirs, data: wiped });
}

/** Why the lead left them out of a week's thanks: written of them, for nobody else to read. */
async function wipeRemarks({ tx }: Act, personId: number): Promise<void> {
  const bulletins = await tx.bulletin.findMany({
    where: { passedOver: { contains: `"person":${personId}` } },
    select: { id: true, passedOver: true },
  });
  for (const { id, passedOver } of bulletins) {
    const wiped = (JSON.parse(passedOver) as { person: number; why?: string }[]).map((one) =>
      one.person === personId && one.why ? { ...one, why: '' } : one,
    );
    await tx.bulletin.update({ where: { id }, data: { passedOver: JSON.stringify(wiped) } });
  }
}

/** Where the settings of the build name their address. Another lead writes a new one. */
async function wipeFromSettings(
  { tx }: Act,
  { name, email, address, reach }: { name: string; email: string | null; address: string; reach: string },
): Promise<void> {
  const build = await tx.build.findUniqueOrThrow({ where: { id: 1 } });
  const theirs = (text: string) =>
    [name, email ?? '', reach, address].some(
      (own) => own.length > 2 && text.toLowerCase().includes(own.toLowerCase()),
    );
  await tx.build.update({
    where: { id: 1 },
    data: {
      ...(theirs(build.postAddress) ? { postAddress: '' } : {}),
      ...(theirs(build.postContact) ? { postContact: '' } : {}),
    },
  });
  const mail = await tx.mailSettings.findUnique({ where: { id: 1 } });
  if (mail && (theirs(mail.fromEmail) || theirs(mail.user) || theirs(mail.fromName))) {
    // Without a sender no letter leaves: they wait until another one is named.
    await tx.mailSettings.update({
      where: { id: 1 },
      data: { fromName: '', fromEmail: '', user: theirs(mail.user) ? '' : mail.user, on: false },
    });
  }
}

/** Work and decisions that wait for them are anybody's again, and told so on the page of each. */
async function freeOpenWork(act: Act, personId: number): Promise<void> {
  const { tx } = act;
  const jobs = await tx.job.findMany({
    where: { personId, finishedAt: null, droppedAt: null },
    select: { id: true, partId: true },
  });
  for (const { id: jobId, partId } of jobs) {
    await tx.job.update({ where: { id: jobId }, data: { personId: null } });
    await act.log({ kind: 'change-job', partId, jobId, before: { personId }, after: { personId: null } });
  }
  const decisions = await tx.decision.findMany({
    where: { deciderId: personId, decidedAt: null, droppedAt: null },
    select: { id: true, question: true, partId: true, jobId: true },
  });
  for (const { id, question, partId, jobId } of decisions) {
    await tx.decision.update({ where: { id }, data: { deciderId: null } });
    await act.log({
      kind: 'change-decision',
      partId,
      jobId,
      thing: { type: 'decision', id },
      before: { deciderId: personId },
      after: { question, deciderId: null },
    });
  }
}
