/** A letter as it is kept until it is sent: what stands above the foot. */
export interface LetterText {
  subject: string;
  text: string;
}

const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]+/g;
const LONGEST_SUBJECT = 150;
const LONGEST_QUOTE = 1500;

/** Words of somebody's as part of one line: no line break and nothing unseen gets through, so none can forge a header. */
export function oneLine(text: string, longest = LONGEST_SUBJECT): string {
  const line = text.replace(UNSEEN, ' ').replace(/ {2,}/g, ' ').trim();
  const letters = [...line];
  return letters.length <= longest
    ? line
    : `${letters
        .slice(0, longest - 1)
        .join('')
        .trimEnd()}…`;
}

/** Words of somebody's as a quotation, each line marked; long ones are cut and say so. */
export function quoted(text: string): string {
  const whole = text.replace(/\r\n?/g, '\n').trim();
  const letters = [...whole];
  const shown = letters.length <= LONGEST_QUOTE ? whole : `${letters.slice(0, LONGEST_QUOTE).join('')} …`;
  return shown
    .split('\n')
    .map((line) => `> ${line.replace(UNSEEN, ' ')}`.trimEnd())
    .join('\n');
}

const paragraphs = (...pieces: (string | null)[]) => pieces.filter(Boolean).join('\n\n');

/** A job as a letter names it. */
export interface NamedJob {
  id: number;
  title: string;
}

const jobWords = ({ id, title }: NamedJob) => `job ${id}, ${oneLine(title)}`;

/** To lead and crew: somebody asked. */
export function queryLetter(job: NamedJob, question: string, baseUrl: string): LetterText {
  return {
    subject: oneLine(`A query on ${jobWords(job)}`),
    text: paragraphs(
      `This was asked about ${jobWords(job)}:`,
      quoted(question),
      `Answer it here; everyone on the job sees the answer:\n${baseUrl}/jobs/${job.id}`,
    ),
  };
}

/** To everyone on the job: a query was answered. */
export function answerLetter(job: NamedJob, question: string, answer: string, baseUrl: string): LetterText {
  return {
    subject: oneLine(`A query on ${jobWords(job)} is answered`),
    text: paragraphs(
      `A query on ${jobWords(job)} is answered.`,
      quoted(question),
      'The answer:',
      quoted(answer),
      `The job:\n${baseUrl}/jobs/${job.id}`,
    ),
  };
}

/** A new revision of what a maker has claimed. */
export interface ToldRevision {
  partNumber: string;
  partName: string;
  letter: string;
  /** what is different, as its drawing says */
  change: string;
  job: NamedJob;
}

/** To a maker with open claims: new revisions, released together. */
export function revisionLetter(revisions: readonly ToldRevision[], baseUrl: string): LetterText {
  const [first] = revisions;
  const parts = new Set(revisions.map(({ partNumber }) => partNumber));
  const named = ({ partNumber, partName, letter }: ToldRevision) =>
    `${oneLine(partNumber)} ${oneLine(partName)}, revision ${oneLine(letter)}`;
  return {
    subject:
      parts.size === 1 && first
        ? oneLine(`A new revision: ${named(first)}`)
        : `New revisions of ${parts.size} parts that you are making`,
    text: paragraphs(
      ...revisions.map((revision) =>
        paragraphs(
          `${named(revision)} is released. You have a claim on it: ${jobWords(revision.job)}.`,
          revision.change.trim() ? `What is different:\n${quoted(revision.change)}` : null,
          `Look at it and say that you take it up:\n${baseUrl}/jobs/${revision.job.id}`,
        ),
      ),
      'Until you say so, or the lead tells you to finish to the old revision, nobody knows which one your pieces are made to.',
    ),
  };
}

/** A gathering as a letter names it. Its place is told on its page, to those who come. */
export interface ToldGathering {
  id: number;
  title: string;
  fromOn: string;
  untilOn: string;
}

const days = ({ fromOn, untilOn }: Pick<ToldGathering, 'fromOn' | 'untilOn'>) =>
  fromOn === untilOn ? fromOn : `${fromOn} to ${untilOn}`;

/** To those who come: a gathering is on other days, or at another place. */
export function gatheringMovedLetter(
  gathering: ToldGathering,
  { before, placeChanged }: { before: { fromOn: string; untilOn: string } | null; placeChanged: boolean },
  baseUrl: string,
): LetterText {
  const title = oneLine(gathering.title);
  return {
    subject: oneLine(before ? `${title} is moved to ${days(gathering)}` : `${title} is at another place`),
    text: paragraphs(
      before
        ? `${title} is moved: it was planned for ${days(before)} and is now ${days(gathering)}.`
        : `${title}, ${days(gathering)}, is at another place.`,
      before && placeChanged ? 'Its place has changed too.' : null,
      `You said that you come. If you can't any more, take yourself off its list, and your place is free for somebody else:\n${baseUrl}/gatherings/${gathering.id}`,
    ),
  };
}

/** To those who come: a gathering is called off. */
export function gatheringOffLetter(gathering: ToldGathering, reason: string, baseUrl: string): LetterText {
  const title = oneLine(gathering.title);
  return {
    subject: oneLine(`${title} is called off`),
    text: paragraphs(
      `${title}, planned for ${days(gathering)}, is called off.`,
      reason.trim() ? quoted(reason) : null,
      `${baseUrl}/gatherings`,
    ),
  };
}

/** To an address: an invitation, with its link. */
export function invitationLetter(
  build: { name: string; about: string },
  { role, untilOn, address }: { role: string; untilOn: string; address: string },
): LetterText {
  return {
    subject: oneLine(`You are invited to help build ${build.name}`),
    text: paragraphs(
      `You are invited to help build ${oneLine(build.name)}, as ${role}.`,
      build.about.trim() ? quoted(build.about) : null,
      `With this link you make your account. It works once, until ${untilOn}:\n${address}`,
      'If this means nothing to you, leave it: nothing more comes to this address because of it.',
    ),
  };
}

/** What one reminder says: a line, and where to go. */
export interface ReminderLine {
  words: string;
  path: string;
}

/** To one person: everything they are reminded of today. */
export function reminderLetter(lines: readonly ReminderLine[], baseUrl: string): LetterText {
  const [first] = lines;
  return {
    subject:
      lines.length === 1 && first
        ? oneLine(first.words.replace(/\.( .*)?$/s, ''))
        : `${lines.length} reminders`,
    text: paragraphs(...lines.map(({ words, path }) => `${oneLine(words, 500)}\n${baseUrl}${path}`)),
  };
}

/** To the lead who asked for it. */
export function testLetter(build: { name: string }, at: Date): LetterText {
  return {
    subject: oneLine(`A test letter from ${build.name}`),
    text: `This letter was asked for on the settings page at ${at.toISOString().slice(0, 16).replace('T', ' ')} UTC. Since you read it, letters leave.`,
  };
}

/** The foot of a letter: from where it comes, why, and how to stop it (RFC 3676, 4.3: a line of `-- ` divides it off). */
export function foot(
  buildName: string,
  { why, stop, choose }: { why: string; stop?: string; choose?: string },
): string {
  return [
    '-- ',
    `${oneLine(buildName)}. ${why}`,
    ...(stop ? [`Stop letters of this kind: ${stop}`] : []),
    ...(choose ? [`Choose which letters you get: ${choose}`] : []),
  ].join('\n');
}
