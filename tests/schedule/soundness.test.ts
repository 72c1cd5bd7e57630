import { describe, expect, it } from 'vitest';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import {
  type Around,
  type Finding,
  NOTHING_AROUND,
  PRACTICES,
  soundnessOf,
  worstOf,
} from '../../src/schedule/soundness.ts';
import { claim, facts, frame, type Given, job, part, TODAY } from './derive-facts.ts';

const all = (given: Given, around: Partial<Around> = {}) =>
  soundnessOf(scheduleOf(facts(given)), { ...NOTHING_AROUND, ...around });

function check(key: string, given: Given, around: Partial<Around> = {}): Finding {
  const found = all(given, around).find((finding) => finding.key === key);
  if (!found) throw new Error(`no check ${key}`);
  return found;
}

const labels = ({ items }: Finding) => items.map(({ label }) => label);

const post = part(2, { kind: 'bought', name: 'Post', leadDays: 14 });
/** One frame of four posts to buy, all of it with jobs, people and estimates. */
const sound: Given = {
  parts: [frame, post],
  uses: [[1, 2, 4]],
  jobs: [
    job(3, { kind: 'purchase', partId: 2, milli: 4000 }),
    job(4, { kind: 'fit-up', partId: 1, days: 2, personId: 2 }),
  ],
};
const withJobs = (...jobs: NonNullable<Given['jobs']>): Given => ({
  ...sound,
  jobs: [...sound.jobs!, ...jobs],
});
const began = `${TODAY}T07:00:00.000Z`;

/** Each check: a build that has the fault, with its verdict and what is named, and one that has not. */
const cases: {
  key: string;
  bad: Given;
  around?: Partial<Around>;
  verdict: 'look' | 'act';
  named: string[];
  said?: string;
  good?: Given;
  goodAround?: Partial<Around>;
}[] = [
  {
    key: 'loose-parts',
    bad: { ...sound, parts: [...sound.parts!, part(9, { name: 'Lost' })] },
    verdict: 'look',
    named: ['TB-0009 Lost'],
    said: '1 of 3 parts: go into no assembly, so the plan counts none of them.',
  },
  {
    key: 'unneeded-jobs',
    bad: {
      ...withJobs(job(5, { partId: 9 })),
      parts: [...sound.parts!, part(9)],
      released: [9],
    },
    verdict: 'act',
    named: ['5 Job 5'],
  },
  {
    key: 'uncovered-parts',
    bad: { ...sound, jobs: [sound.jobs![1]!] },
    verdict: 'look',
    named: ['TB-0002 Post'],
    said: '1 of 2 parts still to come: no job answers for all of it; the plan counts usual times for them.',
  },
  {
    key: 'empty-fit-ups',
    bad: {
      ...sound,
      parts: [...sound.parts!, part(9, { kind: 'assembly', name: 'Box' })],
      uses: [...sound.uses!, [1, 9, 1]],
    },
    verdict: 'act',
    named: ['TB-0009 Box'],
  },
  {
    key: 'loose-jobs',
    bad: withJobs(job(5, { kind: 'other' })),
    verdict: 'look',
    named: ['5 Job 5'],
    good: {
      ...withJobs(job(5, { kind: 'other' }), job(6, { kind: 'trial' })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 0 }],
    },
  },
  {
    key: 'left-out',
    bad: {
      ...withJobs(job(5, { kind: 'other' })),
      links: [
        { fromId: 4, toId: 5, type: 'FS', lag: 0 },
        { fromId: 5, toId: 4, type: 'FS', lag: 0 },
      ],
    },
    verdict: 'act',
    named: [
      'The link from job 4 to job 5 is left out: it closes a circle through 2 steps.',
      'The link from job 5 to job 4 is left out: it closes a circle through 2 steps.',
    ],
  },
  {
    key: 'leads',
    bad: {
      ...withJobs(job(5, { kind: 'other', days: 9 })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: -2 }],
    },
    verdict: 'look',
    named: ['4 Job 4'],
    good: {
      ...withJobs(job(5, { kind: 'other', days: 9 })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 2 }],
    },
  },
  {
    key: 'lags',
    bad: {
      ...withJobs(job(5, { kind: 'other' })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 3 }],
    },
    verdict: 'look',
    named: ['4 Job 4'],
    good: {
      ...withJobs(job(5, { kind: 'other' })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 0 }],
    },
  },
  {
    key: 'finish-to-start',
    bad: {
      ...withJobs(job(5, { kind: 'other' })),
      links: [{ fromId: 5, toId: 4, type: 'SS', lag: 0 }],
    },
    verdict: 'look',
    named: [],
    // order to delivery to inspection to ready to fit-up to ready, and the one by hand
    said: '83 % of 6 links.',
  },
  {
    key: 'dead-ends',
    bad: withJobs(job(5, { kind: 'other', title: 'Sweep' })),
    verdict: 'look',
    named: ['Sweep'],
    good: {
      ...withJobs(job(5, { kind: 'other', title: 'Sweep' }), job(6, { kind: 'trial' })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 0 }],
    },
  },
  {
    key: 'wanted-days',
    bad: {
      ...sound,
      jobs: [job(3, { kind: 'purchase', partId: 2, milli: 4000, wantedOn: '2026-03-10' }), sound.jobs![1]!],
    },
    verdict: 'look',
    named: ['3 Job 3'],
    good: {
      ...sound,
      jobs: [job(3, { kind: 'purchase', partId: 2, milli: 4000, wantedOn: '2026-03-20' }), sound.jobs![1]!],
    },
  },
  {
    key: 'overbooked',
    // Tor has five hours a week: thirty until 12 April are not to be had by 23 March
    bad: withJobs(job(5, { kind: 'other', hours: 90, days: 2, personId: 2 })),
    verdict: 'act',
    named: ['Tor'],
  },
  {
    key: 'crowded-makers',
    bad: {
      parts: [frame, part(2)],
      uses: [[1, 2, 9]],
      released: [2],
      jobs: [1, 2, 3, 4, 5].map((n) =>
        job(n, { partId: 2, offeredAt: began, claims: [claim(n, { jobId: n, personId: 3 })] }),
      ),
    },
    verdict: 'look',
    named: ['Imre'],
    said: '1 of 1 makers with something to finish: less than an hour a week for each claim.',
  },
  {
    key: 'fit-ups-alone',
    bad: { ...sound, jobs: [sound.jobs![0]!, job(4, { kind: 'fit-up', partId: 1, days: 2 })] },
    verdict: 'look',
    named: ['4 Job 4'],
  },
  {
    key: 'short-gatherings',
    bad: {
      ...withJobs(job(5, { kind: 'other', days: 4, gatheringId: 7 })),
      gatherings: [[7, '2026-04-03', '2026-04-04']],
    },
    verdict: 'act',
    named: ['Meeting 7'],
    good: {
      ...withJobs(job(5, { kind: 'other', days: 2, gatheringId: 7 })),
      gatherings: [[7, '2026-04-03', '2026-04-04']],
    },
  },
  {
    key: 'absent-people',
    bad: {
      ...withJobs(job(5, { kind: 'other', days: 1, gatheringId: 7, personId: 2 })),
      gatherings: [[7, '2026-04-03', '2026-04-04']],
    },
    verdict: 'look',
    named: ['5 Job 5'],
    good: {
      ...withJobs(job(5, { kind: 'other', days: 1, gatheringId: 7, personId: 2 })),
      gatherings: [[7, '2026-04-03', '2026-04-04']],
    },
    goodAround: { comers: [{ gatheringId: 7, personId: 2 }] },
  },
  {
    key: 'usual-times',
    bad: { parts: [frame, part(2)], uses: [[1, 2, 1]] },
    verdict: 'act',
    named: ['Draw Part 2', 'Make Part 2', 'Fit up Frame'],
  },
  {
    key: 'undrawn-parts',
    bad: { parts: [frame, part(2)], uses: [[1, 2, 1]] },
    verdict: 'look',
    named: ['TB-0002 Part 2'],
    good: { parts: [frame, part(2, { designHours: 3 })], uses: [[1, 2, 1]] },
  },
  {
    key: 'long-steps',
    bad: withJobs(job(5, { kind: 'other', days: 45 })),
    verdict: 'look',
    named: ['Job 5'],
    good: withJobs(job(5, { kind: 'other', days: 44 })),
  },
  {
    key: 'chain',
    bad: {
      ...withJobs(job(5, { kind: 'other', title: 'Talk', days: 1, gatheringId: 7 })),
      gatherings: [[7, '2026-09-03', '2026-09-04']],
    },
    verdict: 'look',
    named: ['Talk'],
  },
  {
    key: 'single-threads',
    bad: sound,
    verdict: 'look',
    named: ['TB-0001 Frame'],
    good: {
      ...sound,
      parts: [...sound.parts!, part(9, { kind: 'bought', leadDays: 2 })],
      uses: [...sound.uses!, [1, 9, 1]],
    },
  },
  {
    key: 'high-float',
    bad: {
      ...sound,
      parts: [frame, part(2, { kind: 'bought', leadDays: 200 }), part(9, { kind: 'bought', name: 'Nut' })],
      uses: [...sound.uses!, [1, 9, 1]],
    },
    verdict: 'look',
    named: ['Delivery of Nut', 'Inspect Nut', 'Order Nut'],
  },
  {
    key: 'single-maker',
    bad: {
      parts: [frame, part(2)],
      uses: [[1, 2, 1]],
      released: [2],
      jobs: [job(3, { partId: 2, offeredAt: began, claims: [claim(1, { jobId: 3, likelyDays: 60 })] })],
    },
    verdict: 'look',
    named: ['Imre'],
  },
  {
    key: 'simulated',
    bad: sound,
    around: { estimates: [{ day: TODAY, finishOn: '2026-03-20', at80On: null }] },
    verdict: 'look',
    named: [],
    goodAround: { estimates: [{ day: TODAY, finishOn: '2026-03-20', at80On: '2026-03-30' }] },
  },
  {
    key: 'history',
    bad: sound,
    verdict: 'look',
    named: [],
    good: {
      ...sound,
      jobs: [1, 2, 3, 4, 5].map((n) =>
        job(n + 20, {
          partId: 2,
          offeredAt: began,
          claims: [claim(n, { milli: 1000, doneMilli: 1000, arrivedMilli: 1000, acceptedMilli: 1000 })],
        }),
      ),
    },
  },
  {
    key: 'past-dates',
    bad: {
      ...sound,
      jobs: [
        job(3, {
          kind: 'purchase',
          partId: 2,
          milli: 4000,
          orderedAt: '2026-02-02T08:00:00.000Z',
          promisedOn: '2026-02-20',
        }),
        sound.jobs![1]!,
      ],
    },
    verdict: 'act',
    named: ['Delivery of Post, 4 pieces'],
  },
  {
    key: 'past-wishes',
    bad: withJobs(job(5, { kind: 'other', wantedOn: '2026-03-01' })),
    verdict: 'look',
    named: ['5 Job 5'],
    good: withJobs(job(5, { kind: 'other', wantedOn: TODAY })),
  },
  {
    key: 'past-gatherings',
    bad: {
      ...withJobs(job(5, { kind: 'other', gatheringId: 7 })),
      gatherings: [[7, '2026-02-03', '2026-02-04']],
    },
    verdict: 'act',
    named: ['5 Job 5'],
    good: {
      ...withJobs(job(5, { kind: 'other', gatheringId: 7 })),
      gatherings: [[7, '2026-03-01', TODAY]],
    },
  },
  {
    key: 'out-of-sequence',
    bad: {
      ...sound,
      jobs: [
        sound.jobs![0]!,
        job(4, { kind: 'fit-up', partId: 1, days: 2, startedAt: began }),
        job(5, { kind: 'other', days: 9 }),
      ],
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 0 }],
    },
    verdict: 'look',
    named: ['4 Job 4', '4 Job 4'],
    said: '2 of 2 waits of open jobs: the work has begun all the same.',
    good: {
      ...withJobs(job(5, { kind: 'other', days: 9 })),
      links: [{ fromId: 5, toId: 4, type: 'FS', lag: 0 }],
    },
  },
  {
    key: 'silent-makers',
    bad: {
      parts: [frame, part(2)],
      uses: [[1, 2, 1]],
      released: [2],
      jobs: [
        job(3, {
          partId: 2,
          offeredAt: began,
          claims: [claim(1, { jobId: 3, lastWordAt: '2026-02-16T08:00:00.000Z', likelyDays: 40 })],
        }),
      ],
    },
    verdict: 'look',
    named: ['3 Job 3'],
  },
  {
    key: 'last-word',
    bad: sound,
    around: { lastActOn: '2026-02-15' },
    verdict: 'look',
    named: [],
    said: 'The last thing was written down 15 days ago.',
    goodAround: { lastActOn: '2026-02-16' },
  },
  {
    key: 'kept-plan',
    bad: sound,
    verdict: 'look',
    named: ['Kept plans'],
    goodAround: { baselines: [{ name: 'Spring', day: '2026-02-01', finishOn: '2026-03-20' }] },
  },
  {
    key: 'slipped',
    bad: sound,
    around: { baselines: [{ name: 'Spring', day: '2026-02-01', finishOn: '2026-03-10' }] },
    verdict: 'look',
    named: ['Kept plans'],
    said: '20 Mar 2026, 10 days later, 27 % of the 37 days then planned.',
    goodAround: { baselines: [{ name: 'Spring', day: '2026-02-01', finishOn: '2026-03-20' }] },
  },
  {
    key: 'moved',
    bad: sound,
    around: { estimates: [{ day: '2026-02-01', finishOn: '2026-03-01', at80On: null }] },
    verdict: 'look',
    named: ['Kept plans'],
    said: '19 days later than on 1 Feb.',
    goodAround: { estimates: [{ day: '2026-02-01', finishOn: '2026-03-15', at80On: null }] },
  },
];

describe('soundnessOf', () => {
  it.each(cases)('sees $key where it is, and not where it is not', (one) => {
    const found = check(one.key, one.bad, one.around);
    expect([found.verdict, ...labels(found)]).toEqual([one.verdict, ...one.named]);
    if (one.said) expect(found.said).toBe(one.said);
    expect(found.advice).not.toBe('');
    const holds = check(one.key, one.good ?? sound, one.goodAround);
    expect(`${holds.said} ${holds.verdict}`).toBe(`${holds.said} ok`);
    expect(holds.advice).toBe('');
  });

  it('has a case for every check, and a check for each of the ten practices', () => {
    // a kept plan brings the check of the slip against it
    const around = { baselines: [{ name: 'Spring', day: '2026-02-01', finishOn: '2026-03-20' }] };
    const keys = all(sound, around).map(({ key }) => key);
    expect(new Set(keys).size).toBe(keys.length);
    expect(cases.map(({ key }) => key).sort()).toEqual([...keys].sort());
    const practices = [...new Set(all(sound).map(({ practice }) => practice))];
    expect(practices).toEqual(PRACTICES.map(({ key }) => key));
    expect(PRACTICES).toHaveLength(10);
  });

  it('asks to act when nothing was ever written down, or nothing for four weeks', () => {
    expect(check('last-word', sound).verdict).toBe('act');
    expect(check('last-word', sound, { lastActOn: '2026-02-01' }).verdict).toBe('act');
  });

  it('says of an old kept plan that it is old', () => {
    const baselines = [{ name: 'Last year', day: '2025-11-01', finishOn: '2026-03-20' }];
    const { verdict, said } = check('kept-plan', sound, { baselines });
    expect([verdict, said]).toEqual(['look', 'Last year, kept 121 days ago.']);
  });

  it('counts only what a claim has left, and only the days somebody is there', () => {
    const jobs = [
      job(3, {
        partId: 2,
        milli: 4000,
        hours: 40,
        offeredAt: began,
        claims: [claim(1, { jobId: 3, milli: 4000, doneMilli: 3000, likelyDays: 40, personId: 3 })],
      }),
    ];
    const given: Given = { parts: [frame, part(2)], uses: [[1, 2, 4]], released: [2], jobs };
    // ten hours are left, and Imre has four a week for more than six weeks
    expect(check('overbooked', given).verdict).toBe('ok');
    const away: Given = { ...given, away: [[3, '2026-03-02', '2026-04-10']] };
    expect(check('overbooked', away)).toMatchObject({ verdict: 'act', items: [{ label: 'Imre' }] });
  });

  it('has words for a build with nothing in it', () => {
    for (const finding of all({})) {
      expect(finding.said).not.toBe('');
      expect(finding.said).not.toMatch(/NaN|undefined|null|Infinity/);
    }
    expect(worstOf([])).toBe('ok');
  });

  it('tells the same whatever the size: shares and counts agree with the items', () => {
    for (const finding of all(sound)) {
      const match = /^(\d+) of (\d+) /.exec(finding.said);
      if (!match) continue;
      expect(Number(match[1])).toBeLessThanOrEqual(Number(match[2]));
      expect(finding.items.length).toBe(Number(match[1]));
    }
  });
});
