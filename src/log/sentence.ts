import { formatQuantity } from '../parts/index.ts';
import { type LogRow, noted } from './rows.ts';

type Say = (row: LogRow, before: Record<string, unknown>, after: Record<string, unknown>) => string;

const part = (row: LogRow) => (row.partNumber ? `${row.partNumber} ${row.partName}` : 'a part');
const job = (row: LogRow) => (row.jobId ? `job ${row.jobId}, ${row.jobTitle}` : 'a job');
const about = (row: LogRow) => row.about ?? 'somebody';
const amount = (row: LogRow) =>
  row.milli === null ? 'some' : formatQuantity(row.milli, row.partUnit ?? 'piece');
const text = (value: unknown) =>
  typeof value === 'string' || typeof value === 'number' ? String(value) : '';
const letter = (row: LogRow, noted: Record<string, unknown>) => `${part(row)} revision ${text(noted.letter)}`;
const forWhom = (row: LogRow) => (row.about ? ` for ${row.about}` : '');
const named = (values: Record<string, unknown>, name: string) =>
  values[name] ? `: ${text(values[name])}` : '';
const promise = (values: Record<string, unknown>) =>
  `${text(values.soonestDays)}, ${text(values.likelyDays)} or ${text(values.latestDays)} days`;

/** What each kind of act says. The sentence goes on from the person's name. */
const sentences: Record<string, Say> = {
  'set-up-build': (_row, _before, after) => `set up the build ${text(after.name)}`,
  'change-settings': () => 'changed the settings of the build',
  invite: (_row, _before, after) => `made an invitation as ${text(after.role)}`,
  'take-back-link': () => 'took a link back',
  'accept-invitation': (row, _before, after) => `came in as ${text(after.role)}: ${about(row)}`,
  'make-sign-in-link': (row) => `made a sign-in link for ${about(row)}`,
  'follow-sign-in-link': (row) => `came in by a sign-in link: ${about(row)}`,
  'change-person': (row) => `changed the details of ${about(row)}`,
  'set-password': () => 'set a password',
  'change-role': (row, before, after) =>
    `made ${about(row)} ${text(after.role)}, before ${text(before.role)}`,
  'open-account': (row) => `opened the account of ${about(row)} again`,
  'close-account': (row) => `closed the account of ${about(row)}`,
  'forget-person': () => 'let a person be forgotten',
  'sign-out-everywhere': () => 'signed out everywhere',
  'say-thanks-words': (row) => `said in their words what they made: ${about(row)}`,
  'remove-thanks-words': (row) => `took the words of ${about(row)} off the thanks page`,
  'renew-calendar-address': (row) => `gave the calendar of ${about(row)} a new address`,
  'add-tool': (row) => `named a tool of ${about(row)}`,
  'remove-tool': (row) => `took a tool of ${about(row)} off the list`,
  'add-away': (row, _before, after) =>
    `noted ${about(row)} as away ${text(after.fromOn)} to ${text(after.untilOn)}`,
  'remove-away': (row) => `took days away of ${about(row)} off the list`,
  'add-closure': (_row, _before, after) =>
    `closed the build ${text(after.fromOn)} to ${text(after.untilOn)}${named(after, 'name')}`,
  'remove-closure': (_row, before) =>
    `took the closure ${text(before.fromOn)} to ${text(before.untilOn)} off the list${named(before, 'name')}`,
  'keep-baseline': (_row, _before, after) => `kept the plan of the day${named(after, 'name')}`,
  'rename-baseline': (_row, before, after) => `called the kept plan ${text(before.name)} ${text(after.name)}`,
  'remove-baseline': (_row, before) => `took a kept plan off the list${named(before, 'name')}`,
  'create-part': (row) => `added ${part(row)}`,
  'import-part': (row) => `took ${part(row)} from a list`,
  'import-parts': (_row, _before, after) => `took a list of parts in${named(after, 'name')}`,
  'change-part': (row) => `changed ${part(row)}`,
  'remove-part': (row) => `took ${part(row)} out`,
  'restore-part': (row) => `put ${part(row)} back`,
  'add-use': (row, _before, after) => `put ${text(after.child)} into ${part(row)}`,
  'change-use': (row, _before, after) => `changed how much of ${text(after.child)} goes into ${part(row)}`,
  'name-product': (row, _before, after) => `said that ${text(after.product)} in a model is ${part(row)}`,
  'remove-use': (row, before) => `took ${text(before.child)} out of ${part(row)}`,
  'set-shelf': (row) => `counted ${amount(row)} of ${part(row)} on the shelf`,
  'start-revision': (row, _before, after) => `began ${letter(row, after)}`,
  'change-revision': (row, _before, after) => `changed ${after.letter ? letter(row, after) : part(row)}`,
  'add-characteristic': (row, _before, after) =>
    `added ${text(after.label)} ${text(after.text)} to ${letter(row, after)}`,
  'change-characteristic': (row, _before, after) => `changed ${text(after.label)} on ${letter(row, after)}`,
  'remove-characteristic': (row, before, after) => `took ${text(before.label)} off ${letter(row, after)}`,
  'add-document': (row, _before, after) => `added ${text(after.name)} to ${letter(row, after)}`,
  'remove-document': (row, before, after) => `took ${text(before.name)} off ${letter(row, after)}`,
  'say-unit': (row, _before, after) =>
    `said that ${text(after.name)} of ${letter(row, after)} is in ${text(after.unit)}`,
  'release-revision': (row, _before, after) => `released ${letter(row, after)}`,
  'supersede-revision': (row, _before, after) => `superseded ${letter(row, after)} by ${text(after.by)}`,
  'withdraw-revision': (row, _before, after) => `withdrew ${after.letter ? letter(row, after) : part(row)}`,
  'tell-maker-of-revision': (row, _before, after) => `told ${about(row)} of ${letter(row, after)}`,
  'take-up-revision': (row, _before, after) => `took up ${letter(row, after)} for ${job(row)}`,
  'finish-old-revision': (row, _before, after) =>
    `let ${about(row)} finish what was begun before ${letter(row, after)}, for ${job(row)}`,
  'move-job-to-revision': (row, _before, after) => `moved ${job(row)} to revision ${text(after.letter)}`,
  'list-old-units': (row) => `listed ${amount(row)} of the old revision of ${part(row)}`,
  'decide-old-units': (row, _before, after) =>
    `decided on ${amount(row)} of the old ${letter(row, after)}: ${text(after.decision)}`,
  'create-job': (row) => `opened ${job(row)}`,
  'change-job': (row) => `changed ${job(row)}`,
  'offer-job': (row) => `offered ${amount(row)}: ${job(row)}`,
  'withdraw-offer': (row) => `took back the offer of ${job(row)}`,
  'claim-job': (row, _before, after) =>
    `claimed ${amount(row)} of ${job(row)}${forWhom(row)}, to be posted in ${promise(after)}`,
  'hand-back': (row) => `handed back ${amount(row)} of ${job(row)}${forWhom(row)}`,
  'renew-promise': (row, before, after) =>
    `promised ${job(row)} anew: ${promise(after)}, before ${promise(before)}`,
  'start-work': (row) => `began work on ${job(row)}${forWhom(row)}`,
  'report-work': (row) =>
    `${row.milli ? `finished ${amount(row)}` : 'sent word'} of ${job(row)}${forWhom(row)}`,
  'correct-report': (row) => `corrected a report of ${job(row)} by ${amount(row)}`,
  'ask-query': (row) => `asked about ${job(row)}`,
  'answer-query': (row) => `answered a query on ${job(row)}`,
  'hold-job': (row, _before, after) => `put ${job(row)} on hold${named(after, 'reason')}`,
  'resume-job': (row) => `took up ${job(row)} again`,
  'drop-job': (row, _before, after) => `dropped ${job(row)}${named(after, 'reason')}`,
  'end-claim': (row) => `ended the claim of ${about(row)} on ${job(row)}`,
  'start-job': (row) => `began ${job(row)}`,
  'finish-job': (row) => `finished ${job(row)}`,
  'order-purchase': (row, _before, after) =>
    `ordered ${amount(row)} for ${job(row)}, promised for ${text(after.promisedOn) || 'no day'}`,
  'receive-purchase': (row) => `took in ${amount(row)} of ${job(row)}`,
  'link-jobs': (row, _before, after) =>
    `made ${job(row)} wait for job ${text(after.fromId)} (${text(after.type)})`,
  'unlink-jobs': (row) => `took a link of ${job(row)} away`,
  'post-parcel': (row) =>
    `posted ${row.milli === null ? 'a parcel' : amount(row)}${row.jobId ? ` of ${job(row)}` : ''}`,
  'receive-parcel': (row) =>
    `took in ${row.milli === null ? 'a parcel' : amount(row)}${row.jobId ? ` of ${job(row)}` : ''}`,
  'count-parcel': (row) => `counted ${amount(row)} of ${job(row)}`,
  'inspect-units': (row, _before, after) =>
    `inspected ${amount(row)} of ${job(row)}: ${text(after.disposition)}`,
  'take-sample': (row, _before, after) =>
    `took a sample of ${text(after.size)} from ${amount(row)} of ${job(row)}`,
  'end-sample': (row) => `had all of ${amount(row)} of ${job(row)} measured, no sample`,
  'correct-inspection': (row, before, after) =>
    `corrected the inspection of ${amount(row)} of ${job(row)}: ${text(after.disposition)}, before ${text(before.disposition)}${named(after, 'why')}`,
  'approve-first-piece': (row, _before, after) =>
    `approved the first piece of ${job(row)}${named(after, 'words')}`,
  'end-first-piece-approval': (row) => `ended the approval of the first piece of ${job(row)}`,
  'offer-to-make': (row) => `offered to make ${amount(row)} of ${job(row)}`,
  'take-stranger': (row) => `took the offer of ${about(row)} to make ${amount(row)} of ${job(row)}`,
  'decline-stranger': (row) => `declined an offer to make ${job(row)}`,
  'add-fit': (_row, _before, after) => `added the fit ${text(after.name)}`,
  'change-fit': (_row, _before, after) => `changed the fit ${text(after.name)}`,
  'remove-fit': (_row, before) => `took the fit ${text(before.name)} off the list`,
  'add-chain': (_row, _before, after) => `added the chain ${text(after.title)}`,
  'change-chain': (_row, _before, after) => `changed the chain ${text(after.title)}`,
  'remove-chain': (_row, before) => `took the chain ${text(before.title)} off the list`,
  'add-to-chain': (_row, _before, after) => `put ${text(after.link)} into the chain ${text(after.title)}`,
  'change-in-chain': (_row, _before, after) =>
    `changed ${text(after.link)} in the chain ${text(after.title)}`,
  'take-from-chain': (_row, before) => `took ${text(before.link)} out of the chain ${text(before.title)}`,
  'set-temperatures': (_row, _before, after) =>
    `set the temperatures the machine will see: ${text(after.lowCelsius)} to ${text(after.highCelsius)} °C${
      after.lowHumidity == null
        ? ''
        : `, in air of ${text(after.lowHumidity)} to ${text(after.highHumidity)} %`
    }`,
  'add-material': (_row, _before, after) => `added the material ${text(after.name)}`,
  'change-material': (_row, _before, after) => `changed the material ${text(after.name)}`,
  'add-process': (_row, _before, after) => `added the process ${text(after.name)}`,
  'change-process': (_row, _before, after) => `changed the process ${text(after.name)}`,
  'see-problem': (row, _before, after) =>
    `${row.about ? `wrote down a problem that ${row.about} saw` : 'saw a problem'}${named(after, 'title')}`,
  'change-problem': (row, _before, after) =>
    `changed a problem${row.about ? ` that ${row.about} saw` : ''}${named(after, 'title')}`,
  'accept-problem': (_row, _before, after) => `accepted a problem as it is${named(after, 'title')}`,
  'merge-problems': (_row, _before, after) => `merged two problems${named(after, 'title')}`,
  'cure-problem': (_row, _before, after) => `cured a problem${named(after, 'title')}`,
  'open-redesign': (_row, _before, after) => `opened a redesign${named(after, 'title')}`,
  'change-redesign': (_row, _before, after) =>
    Array.isArray(after.begun)
      ? `began ${after.begun.map(text).join(', ')} for a redesign${named(after, 'title')}`
      : `changed a redesign${named(after, 'title')}`,
  'release-redesign': (_row, _before, after) => `released a redesign${named(after, 'title')}`,
  'close-redesign': (_row, _before, after) =>
    `closed a redesign${after.early ? ' by a trial made before it' : ''}${named(after, 'title')}`,
  'drop-redesign': (_row, _before, after) => `dropped a redesign${named(after, 'title')}`,
  'plan-trial': (_row, _before, after) => `planned a trial${named(after, 'title')}`,
  'change-trial': (_row, _before, after) => `changed a trial${named(after, 'title')}`,
  'finish-trial': (_row, _before, after) =>
    `made a trial${named(after, 'title')}: ${after.passed ? 'passed' : 'failed'}`,
  'ask-decision': (row, _before, after) =>
    `asked ${row.about ? `${row.about} ` : ''}for a decision${named(after, 'question')}`,
  'change-decision': (row, _before, after) =>
    `changed a question${row.about ? `, for ${row.about} to decide` : ''}${named(after, 'question')}`,
  'take-decision': (_row, _before, after) => `decided${named(after, 'question')} ${text(after.answer)}`,
  'drop-decision': (_row, _before, after) => `dropped a question${named(after, 'question')}`,
  'plan-gathering': (_row, _before, after) => `planned a gathering${named(after, 'title')}`,
  'change-gathering': (_row, _before, after) => `changed a gathering${named(after, 'title')}`,
  'drop-gathering': (_row, _before, after) => `called a gathering off${named(after, 'title')}`,
  'come-to-gathering': (row, _before, after) =>
    `${row.about ? `wrote down ${row.about} for` : 'comes to'} a gathering${named(after, 'title')}`,
  'leave-gathering': (row, _before, after) =>
    `${row.about ? `took ${row.about} off` : 'does not come to'} a gathering${named(after, 'title')}`,
  'write-packing-line': (_row, _before, after) =>
    `wrote down what is to be brought to a gathering${named(after, 'title')}`,
  'drop-packing-line': (_row, _before, after) =>
    `took a line off the packing list of a gathering${named(after, 'title')}`,
  'bring-to-gathering': (row, _before, after) => {
    const what = after.what ? text(after.what) : 'something';
    const who = after.nobody
      ? 'left open who brings'
      : row.about
        ? `wrote down ${row.about} to bring`
        : 'brings';
    return `${who} ${what} to a gathering${named(after, 'title')}`;
  },
  'pack-for-gathering': (_row, _before, after) =>
    `packed ${after.what ? text(after.what) : 'something'} for a gathering${named(after, 'title')}`,
  'unpack-for-gathering': (_row, _before, after) =>
    `has not packed ${after.what ? text(after.what) : 'something'} for a gathering after all${named(after, 'title')}`,
  'edit-bulletin': (_row, _before, after) => `edited the bulletin of the week to ${text(after.week)}`,
  'correct-bulletin': (_row, _before, after) =>
    `put right what the bulletin of the week to ${text(after.week)} says`,
  'change-mail': (_row, _before, after) =>
    `changed how letters leave: they are ${after.on ? 'on' : 'switched off'}`,
  'ask-test-letter': () => 'asked for a test letter',
  'try-letters': () => 'had the letters that wait tried at once',
  'settle-letter': (_row, _before, after) =>
    `${after.decision === 'send' ? 'sent a letter once more' : 'dropped a letter'}${named(after, 'what')}`,
  'settle-letters': (_row, _before, after) =>
    `${after.decision === 'send' ? 'sent' : 'dropped'} ${text(after.letters)} ${after.letters === 1 ? 'letter' : 'letters'}${after.decision === 'send' ? ' once more' : ''}`,
  'choose-letters': (row) => `chose which letters come to ${about(row)}`,
  'add-hook': (row) => `added web hook ${row.thingId}`,
  'change-hook': (row) => `changed what web hook ${row.thingId} is told`,
  'pause-hook': (row) => `paused web hook ${row.thingId}`,
  'resume-hook': (row) => `let web hook ${row.thingId} go on`,
  'remove-hook': (row) => `took web hook ${row.thingId} off`,
  'renew-hook-key': (row) => `made a new key for web hook ${row.thingId}`,
  'try-hook': (row) => `sent web hook ${row.thingId} a test`,
  'publish-bulletin': (_row, _before, after) => `published the bulletin of the week to ${text(after.week)}`,
};

/** The kinds of act that the log knows words for. */
export const actKinds: readonly string[] = Object.keys(sentences);

/** What was done, in words that go on from the person's name: 'claimed 4 pieces of job 97, Planet gear, ...'. */
export function actSentence(row: LogRow): string {
  const say = sentences[row.kind];
  return say ? say(row, noted(row.before), noted(row.after)) : row.kind.replaceAll('-', ' ');
}

/** Where a row leads: the job if it is about one, else the part. */
export function actHref(row: LogRow): string | null {
  if (row.jobId) return `/jobs/${row.jobId}`;
  if (row.thingType === 'fit') return `/fits/${row.thingId}`;
  if (row.thingType === 'chain') return `/chains/${row.thingId}`;
  return row.partNumber ? `/parts/${encodeURIComponent(row.partNumber)}` : null;
}
