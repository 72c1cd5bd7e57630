import {
  ARRIVED,
  because,
  CLAIMED,
  counted,
  dates,
  ended,
  job,
  less,
  MADE,
  maker,
  ofJob,
  ofJobAndMaker,
  ofThing,
  part,
  type Telling,
  text,
  titled,
} from './telling.ts';

/** How the week deals with acts of a kind. */
export interface KindOfAct {
  /** where it is told and how; or why it is not */
  told: Telling | string;
  /** what whoever did it is thanked for; null: it is no help to the build but somebody's own housekeeping */
  thanks: string | null;
  /** what the person it is about is thanked for, where they did something */
  aboutThanks?: string;
}

const PERSONAL = 'a person’s own affair';
const PACKING = 'packing is for those who come';
const LISTS = 'keeping the lists in order; what comes of it is told';
const DRAWING = 'a step towards a drawing; its release is told';
const FIGURES = 'a figure the plan reckons with; what it does to the finish is told there';
const STEP = 'a step on the way; where it leads is told';
const WORK = 'how work is shared out; what is made, posted and finished is told';
const WRITING = 'the bulletin does not tell of itself';
const MACHINERY = 'how the program is set up';

const untold = (told: string, thanks: string | null, aboutThanks?: string): KindOfAct => ({
  told,
  thanks,
  ...(aboutThanks ? { aboutThanks } : {}),
});

/**
 * Every kind of act in the log: where it is told, or why not; and what it is thanked for. What went wrong between
 * people (work handed back, claims ended, offers declined) is not for the audience.
 */
export const KINDS: Record<string, KindOfAct> = {
  'set-up-build': untold(MACHINERY, null),
  'change-settings': untold(MACHINERY, null),
  invite: untold(PERSONAL, null),
  'take-back-link': untold(PERSONAL, null),
  'accept-invitation': untold(PERSONAL, null),
  'make-sign-in-link': untold(PERSONAL, null),
  'follow-sign-in-link': untold(PERSONAL, null),
  'change-person': untold(PERSONAL, null),
  'set-password': untold(PERSONAL, null),
  'change-role': untold(PERSONAL, null),
  'open-account': untold(PERSONAL, null),
  'close-account': untold(PERSONAL, null),
  'forget-person': untold(PERSONAL, null),
  'sign-out-everywhere': untold(PERSONAL, null),
  'change-mail': untold(MACHINERY, null),
  'ask-test-letter': untold(MACHINERY, null),
  'try-letters': untold(MACHINERY, null),
  'settle-letter': untold(MACHINERY, null),
  'settle-letters': untold(MACHINERY, null),
  'choose-letters': untold(PERSONAL, null),
  'add-hook': untold(MACHINERY, null),
  'change-hook': untold(MACHINERY, null),
  'pause-hook': untold(MACHINERY, null),
  'resume-hook': untold(MACHINERY, null),
  'remove-hook': untold(MACHINERY, null),
  'renew-hook-key': untold(MACHINERY, null),
  'try-hook': untold(MACHINERY, null),
  'add-tool': untold(PERSONAL, null),
  'remove-tool': untold(PERSONAL, null),
  'add-away': untold(PERSONAL, null),
  'remove-away': untold(PERSONAL, null),
  'renew-calendar-address': untold(PERSONAL, null),
  'say-thanks-words': untold(PERSONAL, null),
  'remove-thanks-words': untold(PERSONAL, null),
  'add-closure': untold(FIGURES, 'planning'),
  'remove-closure': untold(FIGURES, 'planning'),
  'keep-baseline': untold(LISTS, 'planning'),
  'rename-baseline': untold(LISTS, 'planning'),
  'remove-baseline': untold(LISTS, 'planning'),
  'create-part': untold(LISTS, 'keeping the parts list'),
  'import-part': untold(LISTS, 'keeping the parts list'),
  'import-parts': untold(LISTS, 'keeping the parts list'),
  'change-part': untold(LISTS, 'keeping the parts list'),
  'remove-part': untold(LISTS, 'keeping the parts list'),
  'restore-part': untold(LISTS, 'keeping the parts list'),
  'add-use': untold(LISTS, 'keeping the parts list'),
  'change-use': untold(LISTS, 'keeping the parts list'),
  'name-product': untold(LISTS, 'keeping the parts list'),
  'remove-use': untold(LISTS, 'keeping the parts list'),
  'set-shelf': untold(LISTS, 'counting the shelf'),
  'start-revision': untold(DRAWING, 'drawing'),
  'change-revision': untold(DRAWING, 'drawing'),
  'add-characteristic': untold(DRAWING, 'drawing'),
  'change-characteristic': untold(DRAWING, 'drawing'),
  'remove-characteristic': untold(DRAWING, 'drawing'),
  'add-document': untold(DRAWING, 'drawing'),
  'remove-document': untold(DRAWING, 'drawing'),
  'say-unit': untold(DRAWING, 'drawing'),
  'release-revision': {
    told: {
      section: 'moved',
      words: ({ row, after }) => [`${part(row)}, revision ${text(after.letter)}, is released.`],
    },
    thanks: 'drawing',
  },
  'supersede-revision': untold('the release of the newer one is told', 'drawing'),
  'withdraw-revision': {
    told: {
      section: 'moved',
      words: ({ row, after }) => [
        `${part(row)}${after.letter ? `, revision ${text(after.letter)},` : ''} is withdrawn.`,
      ],
    },
    thanks: 'drawing',
  },
  'tell-maker-of-revision': untold('between the shop and the maker', 'drawing'),
  'take-up-revision': untold(WORK, 'taking the new drawing up'),
  'finish-old-revision': untold(WORK, 'planning'),
  'move-job-to-revision': untold(WORK, 'planning'),
  'list-old-units': untold(STEP, 'going through old pieces'),
  'decide-old-units': untold(
    'what becomes of old pieces is told when it is done',
    'going through old pieces',
  ),
  'create-job': untold(WORK, 'planning'),
  'change-job': untold(FIGURES, 'planning'),
  'offer-job': {
    told: {
      section: 'moved',
      words: ({ row, amount }) => [`${job(row)}: ${amount} offered to makers.`],
    },
    thanks: 'planning',
  },
  'withdraw-offer': untold('offers that are open are told, each week', 'planning'),
  'claim-job': {
    told: CLAIMED,
    thanks: 'taking work on',
    aboutThanks: 'taking work on',
  },
  'hand-back': { told: less(CLAIMED), thanks: null },
  'renew-promise': untold('between the shop and the maker', 'keeping the shop informed'),
  'start-work': untold(STEP, 'making', 'making'),
  'report-work': {
    told: MADE,
    thanks: 'making',
    aboutThanks: 'making',
  },
  'correct-report': { told: less(MADE), thanks: 'keeping the shop informed' },
  'ask-query': untold('its answer stands on the job', 'asking'),
  'answer-query': untold('it stands on the job', 'answering', 'asking'),
  'hold-job': untold(FIGURES, 'planning'),
  'resume-job': untold(FIGURES, 'planning'),
  'drop-job': {
    told: {
      section: 'decided',
      words: ({ row, after }) => [ended(`Dropped: ${job(row)}${because(after)}`)],
    },
    thanks: 'planning',
  },
  'end-claim': { told: less(CLAIMED), thanks: null },
  'start-job': untold(STEP, 'working at the machine'),
  'finish-job': {
    told: {
      section: 'done',
      without: (row) => row.jobKind === 'trial' || row.jobKind === 'fit-up', // told as a trial, as fitted
      words: ({ row }) => [`${job(row)}.`],
    },
    thanks: 'finishing work',
    aboutThanks: 'finishing work',
  },
  'order-purchase': {
    told: {
      section: 'moved',
      together: ofJob,
      words: ({ row, amount }) => [`Ordered: ${amount} of ${job(row)}.`],
    },
    thanks: 'ordering',
  },
  'receive-purchase': {
    told: {
      section: 'arrived',
      together: ofJob,
      words: ({ row, amount }) => [`${amount} of ${job(row)} came.`],
    },
    thanks: 'receiving',
  },
  'link-jobs': untold(FIGURES, 'planning'),
  'unlink-jobs': untold(FIGURES, 'planning'),
  'post-parcel': {
    told: {
      section: 'moved',
      together: ofJobAndMaker,
      words: ({ row, amount }) => [maker(row), ` posted ${amount} of ${job(row)}.`],
    },
    thanks: 'posting',
    aboutThanks: 'posting',
  },
  'receive-parcel': {
    told: ARRIVED,
    thanks: 'receiving',
    aboutThanks: 'sending what came',
  },
  'count-parcel': { told: counted, thanks: 'receiving' },
  'inspect-units': untold('told by job: how many were accepted', 'inspecting'),
  'take-sample': untold(STEP, 'inspecting'),
  'end-sample': untold(STEP, 'inspecting'),
  'correct-inspection': untold('told by job: how many were accepted', 'inspecting'),
  'approve-first-piece': {
    told: { section: 'accepted', words: ({ row }) => [`The first piece of ${job(row)} is good.`] },
    thanks: 'inspecting',
  },
  'end-first-piece-approval': untold('a figure put right', 'inspecting'),
  'offer-to-make': untold('what becomes of it is told as taken on', 'offering to make'),
  'take-stranger': untold('told as taken on', 'planning', 'offering to make'),
  'decline-stranger': untold(PERSONAL, null),
  'add-fit': untold(DRAWING, 'working fits out'),
  'change-fit': untold(DRAWING, 'working fits out'),
  'remove-fit': untold(DRAWING, 'working fits out'),
  'add-chain': untold(DRAWING, 'working fits out'),
  'change-chain': untold(DRAWING, 'working fits out'),
  'remove-chain': untold(DRAWING, 'working fits out'),
  'add-to-chain': untold(DRAWING, 'working fits out'),
  'change-in-chain': untold(DRAWING, 'working fits out'),
  'take-from-chain': untold(DRAWING, 'working fits out'),
  'set-temperatures': untold(DRAWING, 'working fits out'),
  'add-material': untold(LISTS, 'keeping the library'),
  'change-material': untold(LISTS, 'keeping the library'),
  'add-process': untold(LISTS, 'keeping the library'),
  'change-process': untold(LISTS, 'keeping the library'),
  'see-problem': {
    told: titled('failed', (title) => `Seen: ${title}`),
    thanks: 'finding what is wrong',
    aboutThanks: 'finding what is wrong',
  },
  'change-problem': untold('it was told when it was seen', 'looking into what is wrong'),
  'accept-problem': {
    told: titled('decided', (title, { after }) => `Accepted as it is: ${title}${because(after)}`),
    thanks: 'deciding',
  },
  'merge-problems': untold('the one it is the same as was told', 'looking into what is wrong'),
  'cure-problem': { told: titled('cured', (title) => `Cured: ${title}`), thanks: 'curing what was wrong' },
  'open-redesign': {
    told: titled('moved', (title) => `A redesign is begun: ${title}`),
    thanks: 'redesigning',
  },
  'change-redesign': untold(STEP, 'redesigning'),
  'release-redesign': {
    told: titled('moved', (title) => `The redesign is released: ${title}`),
    thanks: 'redesigning',
  },
  'close-redesign': {
    told: titled('cured', (title) => `The redesign has cured what it was for: ${title}`),
    thanks: 'redesigning',
  },
  'drop-redesign': {
    told: titled('decided', (title, { after }) => `Redesign dropped: ${title}${because(after)}`),
    thanks: 'redesigning',
  },
  'plan-trial': untold('its result is told', 'planning trials'),
  'change-trial': untold('its result is told', 'measuring'),
  'finish-trial': {
    told: {
      section: 'done',
      together: ofThing,
      without: (_row, { passed }) => !passed, // told as failed
      words: ({ after }) => [ended(`Trial passed: ${text(after.title)}`)],
    },
    thanks: 'measuring',
  },
  'ask-decision': untold('told when it is taken', 'asking what is to be decided'),
  'take-decision': {
    told: {
      section: 'decided',
      words: ({ after }) => [`${ended(text(after.question))} ${ended(text(after.answer))}`],
    },
    thanks: 'deciding',
  },
  'change-decision': untold('told when it is taken', 'asking what is to be decided'),
  'drop-decision': untold('a question that went away', 'deciding'),
  'plan-gathering': {
    told: titled('decided', (title, { after }) => `A gathering is planned: ${title}${dates(after)}`),
    thanks: 'planning a gathering',
  },
  'change-gathering': {
    told: {
      section: 'decided',
      together: ofThing,
      without: (_row, { fromOn, untilOn }) => fromOn === undefined && untilOn === undefined,
      words: ({ after }) => [ended(`The gathering has new days: ${text(after.title)}${dates(after)}`)],
    },
    thanks: 'planning a gathering',
  },
  'drop-gathering': {
    told: titled('decided', (title, { after }) => `The gathering is called off: ${title}${because(after)}`),
    thanks: 'planning a gathering',
  },
  'come-to-gathering': untold(
    'who comes where is theirs to tell; the gathering is told when it is held',
    'saying that they come',
    'saying that they come',
  ),
  'leave-gathering': untold(PERSONAL, null),
  'write-packing-line': untold(PACKING, 'preparing a gathering'),
  'drop-packing-line': untold(PACKING, null),
  'bring-to-gathering': untold(PACKING, 'preparing a gathering', 'bringing what is needed'),
  'pack-for-gathering': untold(PACKING, 'preparing a gathering'),
  'unpack-for-gathering': untold(PACKING, null),
  'edit-bulletin': untold(WRITING, 'writing the bulletin'),
  'publish-bulletin': untold(WRITING, 'writing the bulletin'),
  'correct-bulletin': untold(WRITING, 'writing the bulletin'),
};

/** Kinds that are told in a second way, by what became of them. */
export const TOLD_OTHERWISE: Record<string, Telling[]> = {
  'finish-job': [
    {
      section: 'fitted',
      without: (row) => row.jobKind !== 'fit-up',
      words: ({ row }) => [`${job(row)}.`],
    },
  ],
  'finish-trial': [
    {
      section: 'failed',
      together: ofThing,
      without: (_row, { passed }) => Boolean(passed),
      words: ({ after }) => [ended(`Trial not passed: ${text(after.title)}`)],
    },
  ],
};
