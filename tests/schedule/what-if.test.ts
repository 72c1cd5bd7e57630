import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holdJob } from '../../src/jobs/index.ts';
import { planGathering } from '../../src/problems/index.ts';
import { scheduleOf } from '../../src/schedule/schedule.ts';
import { type Try, tried, tryOfToken, tryToken, tryWords, whyNot } from '../../src/schedule/what-if.ts';
import { startApp, type TestApp } from '../support/app.ts';
import { castId } from '../support/cast.ts';
import { aClaim, anotherJob, asPerson } from '../support/jobs.ts';
import { anAssembly, aPart } from '../support/parts.ts';
import { claim, facts, frame, type Given, job, part, step } from './derive-facts.ts';

const build: Given = {
  parts: [frame, part(2, { name: 'Post' }), part(3, { name: 'Plate' })],
  uses: [
    [1, 2, 4],
    [1, 3, 1],
  ],
  released: [2, 3],
  jobs: [
    job(7, {
      partId: 2,
      revisionId: 2,
      milli: 4000,
      offeredAt: '2026-02-20T08:00:00.000Z',
      claims: [claim(70, { jobId: 7, milli: 4000, soonestDays: 50, likelyDays: 60, latestDays: 120 })],
    }),
  ],
  gatherings: [[5, '2026-06-01', '2026-06-03']],
};

const then = (...tries: Try[]) => {
  const { facts: changed, tweaks } = tried(facts(build), tries);
  return scheduleOf(changed, tweaks);
};
const now = () => scheduleOf(facts(build));

describe('tried', () => {
  it('a promise that slips ends so many days later, and sooner below zero', () => {
    const before = now().dates.finish;
    expect(then({ kind: 'slip-claim', claimId: 70, days: 14 }).dates.finish).toBe(before + 14);
    expect(then({ kind: 'slip-claim', claimId: 70, days: -14 }).dates.finish).toBe(before - 14);
    expect(step(then({ kind: 'slip-claim', claimId: 70, days: 14 }), 'claim-70-make').because).toContain(
      'promised for 1 May at first',
    );
  });

  it('another maker promises anew from today, and the first has nothing left', () => {
    const plan = then({ kind: 'maker', claimId: 70, personId: 4, soonest: 5, likely: 10, latest: 20 });
    const made = plan.network.nodes.filter(({ word }) => word === 'make' && word);
    expect(made.filter(({ claim: own }) => own?.personId === 3)).toHaveLength(0);
    expect(plan.dates.finish).toBeLessThan(now().dates.finish);
  });

  it('a second maker takes part of it: both have a branch', () => {
    const plan = then({
      kind: 'share',
      claimId: 70,
      milli: 1000,
      personId: 4,
      soonest: 5,
      likely: 10,
      latest: 20,
    });
    const shares = plan.network.nodes
      .filter(({ word, job: own }) => word === 'make' && own?.id === 7)
      .map(({ claim: own, milli }) => [own?.personId, milli]);
    expect(shares).toEqual([
      [3, 3000],
      [4, 1000],
    ]);
  });

  it('a part that is dropped has no steps, nor has what was for it alone', () => {
    const keys = then({ kind: 'drop', partId: 2 }).network.nodes.map(({ key }) => key);
    expect(
      keys.filter((key) => key.includes('70') || key.includes('job-7') || key.startsWith('part-2')),
    ).toEqual([]);
    expect(keys).toContain('part-1-fit-up');
  });

  it('an assembly that is dropped does not become a machine of its own', () => {
    const given: Given = {
      parts: [frame, part(2, { kind: 'assembly' }), part(3)],
      uses: [
        [1, 2, 1],
        [2, 3, 1],
      ],
    };
    const { facts: changed, tweaks } = tried(facts(given), [{ kind: 'drop', partId: 2 }]);
    expect(scheduleOf(changed, tweaks).network.nodes.map(({ key }) => key)).toEqual([
      'part-1-fit-up',
      'part-1-ready',
    ]);
  });

  it('a fit-up that begins without a part ends with it, and no later than before', () => {
    const long = { ...build, parts: [{ ...frame, makeDays: 30 }, part(2), part(3)] };
    const { facts: changed, tweaks } = tried(facts(long), [{ kind: 'without', partId: 2, parentId: 1 }]);
    const plan = scheduleOf(changed, tweaks);
    const before = scheduleOf(facts(long));
    expect(plan.dates.finish).toBeLessThan(before.dates.finish);
    expect(step(plan, 'part-1-fit-up').earlyEnd >= step(plan, 'claim-70-inspect').earlyEnd).toBe(true);
  });

  it('a gathering on other days moves what happens there', () => {
    const given: Given = {
      ...build,
      jobs: [...build.jobs!, job(9, { kind: 'trial', title: 'Turn it', gatheringId: 5 })],
    };
    const { facts: changed, tweaks } = tried(facts(given), [
      { kind: 'gathering', gatheringId: 5, fromOn: '2026-07-06', untilOn: '2026-07-08' },
    ]);
    expect(step(scheduleOf(facts(given)), 'job-9').earlyStart).toBe('2026-06-01');
    expect(step(scheduleOf(changed, tweaks), 'job-9').earlyStart).toBe('2026-07-06');
  });
});

describe('scheduleOf with a history of its own', () => {
  it('a part that is only tried without teaches nothing: other durations stay as they are', () => {
    const posted = { doneMilli: 1000, arrivedMilli: 1000, acceptedMilli: 1000 };
    const given: Given = {
      parts: [frame, part(2), part(3), part(4)],
      uses: [
        [1, 2, 1],
        [1, 3, 1],
        [1, 4, 1],
      ],
      released: [2, 3, 4],
      jobs: [
        job(8, {
          partId: 3,
          claims: [
            claim(80, {
              jobId: 8,
              claimedAt: '2025-06-01T08:00:00.000Z',
              lastSentAt: '2025-08-01T08:00:00.000Z',
              ...posted,
            }),
          ],
        }),
        job(9, { partId: 4, claims: [claim(90, { jobId: 9, claimedAt: '2025-11-01T08:00:00.000Z' })] }),
      ],
    };
    const before = scheduleOf(facts(given));
    const { facts: changed, tweaks } = tried(facts(given), [{ kind: 'drop', partId: 4 }]);
    const after = scheduleOf(changed, { ...tweaks, history: before.network.history });
    expect(step(after, 'part-2-make').durationDays).toBe(step(before, 'part-2-make').durationDays);
    expect(after.network.history).toBe(before.network.history);
  });
});

describe('tryWords', () => {
  it('says of an assembly taken out that those in it stay', () => {
    const given: Given = {
      parts: [frame, part(2, { kind: 'assembly', name: 'Arm' }), part(3, { kind: 'assembly' }), part(4)],
      uses: [
        [1, 2, 1],
        [2, 3, 1],
        [3, 4, 1],
      ],
    };
    expect(tryWords(facts(given), { kind: 'drop', partId: 2 })).toContain('assemblies in it stay');
    expect(tryWords(facts(given), { kind: 'drop', partId: 3 })).not.toContain('stay');
  });
});

describe('whyNot', () => {
  it.each<[Try, RegExp]>([
    [{ kind: 'slip-claim', claimId: 71, days: 3 }, /no such claim/],
    [{ kind: 'slip-claim', claimId: 70, days: 0 }, /changes nothing/],
    [{ kind: 'slip-claim', claimId: 70, days: 9999 }, /At most 730/],
    [{ kind: 'slip-job', jobId: 8, days: 3 }, /not open/],
    [{ kind: 'slip-job', jobId: 7, days: 3 }, /All of job 7 is claimed/],
    [
      { kind: 'gathering', gatheringId: 5, fromOn: '2030-01-01', untilOn: '2030-01-02' },
      /At most 730 days ahead/,
    ],
    [{ kind: 'maker', claimId: 70, personId: 3, soonest: 1, likely: 2, latest: 3 }, /in hand already/],
    [{ kind: 'maker', claimId: 70, personId: 99, soonest: 1, likely: 2, latest: 3 }, /no such person/],
    [{ kind: 'maker', claimId: 70, personId: 4, soonest: 5, likely: 2, latest: 3 }, /must not fall/],
    [
      { kind: 'share', claimId: 70, milli: 4000, personId: 4, soonest: 1, likely: 2, latest: 3 },
      /Only 4 pieces of it is unfinished/,
    ],
    [
      { kind: 'share', claimId: 70, milli: 500, personId: 4, soonest: 1, likely: 2, latest: 3 },
      /Whole pieces/,
    ],
    [{ kind: 'drop', partId: 1 }, /goes into nothing/],
    [{ kind: 'drop', partId: 77 }, /no such part/],
    [{ kind: 'gathering', gatheringId: 5, fromOn: '2026-02-01', untilOn: '2026-02-02' }, /past/],
    [{ kind: 'gathering', gatheringId: 5, fromOn: '2026-06-05', untilOn: '2026-06-02' }, /before the first/],
    [{ kind: 'gathering', gatheringId: 6, fromOn: '2026-06-05', untilOn: '2026-06-07' }, /no such gathering/],
    [{ kind: 'without', partId: 1, parentId: 2 }, /does not go into/],
  ])('%o', (one, sentence) => {
    expect(whyNot(facts(build), one)).toMatch(sentence);
  });
});

describe('tryOfToken', () => {
  it('reads what tryToken wrote, and nothing else', () => {
    const id = fc.integer({ min: 1, max: 999_999 });
    const days = fc.integer({ min: -730, max: 730 });
    const three = { soonest: fc.nat(700), likely: fc.nat(700), latest: fc.nat(700) };
    const any = fc.oneof(
      fc.record({ kind: fc.constant('slip-claim' as const), claimId: id, days }),
      fc.record({ kind: fc.constant('slip-job' as const), jobId: id, days }),
      fc.record({ kind: fc.constant('maker' as const), claimId: id, personId: id, ...three }),
      fc.record({ kind: fc.constant('share' as const), claimId: id, milli: id, personId: id, ...three }),
      fc.record({ kind: fc.constant('drop' as const), partId: id }),
      fc.record({ kind: fc.constant('without' as const), partId: id, parentId: id }),
    );
    fc.assert(
      fc.property(any, (one) => {
        expect(tryOfToken(tryToken(one))).toEqual(one);
      }),
      { seed: 1 },
    );
    const gathering: Try = { kind: 'gathering', gatheringId: 3, fromOn: '2026-06-05', untilOn: '2026-06-07' };
    expect(tryOfToken(tryToken(gathering))).toEqual(gathering);
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(tryOfToken(`drop.${text}x`)).toBeNull();
      }),
      { seed: 1 },
    );
    for (const token of [
      '',
      'drop',
      'drop.',
      'drop.1.2',
      'gathering.1.x.y',
      'gathering.5.2026-13-45.2026-13-46',
      'slip-claim.1.1e9',
      'maker.1.2.3',
    ]) {
      expect(tryOfToken(token)).toBeNull();
    }
  });
});

const read = async (app: TestApp, path: string, who: 'lead' | 'crew' = 'lead') => {
  const { status, text } = await (await app.as(who)).get(path);
  return { status, text, words: text.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ') };
};

describe('/schedule/what-if', () => {
  it('is for lead and crew, and says where to begin in an empty build', async () => {
    const app = await startApp();
    expect((await app.visitor().get('/schedule/what-if')).status).toBe(303);
    expect((await (await app.as('imre')).get('/schedule/what-if')).status).toBe(403);
    expect((await read(app, '/schedule/what-if', 'crew')).words).toContain('Nothing to schedule yet');
  });

  it('compares before and after, stores nothing until applied, and then does ordinary acts', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { title: 'Build a crate', days: 10 });
    const token = tryToken({ kind: 'slip-job', jobId, days: 5 });
    const acts = () => app.context.db.read.act.count();
    const before = await acts();
    const { words, status } = await read(app, `/schedule/what-if?c=${token}`);
    expect(status).toBe(200);
    expect(words).toContain('Build a crate: 5 days later');
    expect(words).toMatch(/If all goes as likely .*? 7 d later/);
    expect(await acts()).toBe(before);
    const crew = await (await app.as('crew')).post('/schedule/what-if', { c: token });
    expect(crew.status).toBe(403);
    const done = await (await app.as('lead')).post('/schedule/what-if', { c: token });
    expect(done.status).toBe(303);
    expect((await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } })).days).toBe(15);
    expect(await app.context.db.read.act.count({ where: { kind: 'change-job', jobId } })).toBe(1);
  });

  it('applies a mix in one go: a promise, another gathering date, another maker', async () => {
    const app = await startApp();
    const first = await aClaim(app, { quantity: 2 });
    const second = await aClaim(app, { quantity: 2 });
    const gatheringId = await asPerson(app, 'lead', (act) =>
      planGathering(act, { title: 'Spring', fromOn: '2026-05-01', untilOn: '2026-05-03', places: 6 }),
    );
    await anotherJob(app, { title: 'Turn it', gatheringId, days: 1 });
    const c = [
      tryToken({ kind: 'slip-claim', claimId: first.claimId, days: 10 }),
      tryToken({ kind: 'gathering', gatheringId, fromOn: '2026-06-01', untilOn: '2026-06-02' }),
      tryToken({
        kind: 'maker',
        claimId: second.claimId,
        personId: castId.sunniva,
        soonest: 3,
        likely: 4,
        latest: 9,
      }),
    ];
    const { words } = await read(app, `/schedule/what-if?${c.map((one) => `c=${one}`).join('&')}`);
    expect(words).toContain('10 days later');
    const done = await (await app.as('lead')).post('/schedule/what-if', { c });
    expect(done.status).toBe(303);
    const { db } = app.context;
    const claims = await db.read.claim.findMany({ orderBy: { id: 'asc' } });
    expect(
      claims.map(({ personId, likelyDays, milli, backMilli }) => [personId, likelyDays, milli - backMilli]),
    ).toEqual([
      [castId.imre, 30, 2000],
      [castId.imre, 20, 0],
      [castId.sunniva, 4, 2000],
    ]);
    expect(await db.read.gathering.findUniqueOrThrow({ where: { id: gatheringId } })).toMatchObject({
      fromOn: '2026-06-01',
      untilOn: '2026-06-02',
      title: 'Spring',
      places: 6,
    });
  });

  it('foretells what comes: a promise long overdue, twice slipped, and a job by its estimate', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 2 });
    const jobId = await anotherJob(app, { title: 'Crate', hours: 20 });
    app.passDays(60);
    const finish = (text: string) =>
      /If all goes as likely (?:<[^>]*>|\s)*?(\d+ \w+)\s+(\d+ \w+)/.exec(text)!;
    for (const c of [
      [
        tryToken({ kind: 'slip-claim', claimId, days: 7 }),
        tryToken({ kind: 'slip-claim', claimId, days: 30 }),
      ],
      [tryToken({ kind: 'slip-job', jobId, days: 90 })],
    ]) {
      const foretold = finish(
        (await read(app, `/schedule/what-if?${c.map((one) => `c=${one}`).join('&')}`)).words,
      );
      expect(foretold[1]).not.toBe(foretold[2]);
      expect((await (await app.as('lead')).post('/schedule/what-if', { c })).status).toBe(303);
      const next = tryToken({ kind: 'slip-job', jobId, days: 1 });
      const now = finish((await read(app, `/schedule/what-if?c=${next}`)).words);
      expect(now[1]).toBe(foretold[2]);
    }
  });

  it('checks each change on the build with those before it: nothing is shared twice', async () => {
    const app = await startApp();
    const { claimId } = await aClaim(app, { quantity: 4 });
    const share = (milli: number) =>
      tryToken({ kind: 'share', claimId, milli, personId: castId.sunniva, soonest: 1, likely: 2, latest: 3 });
    const { words } = await read(app, `/schedule/what-if?c=${share(3000)}&c=${share(2000)}`);
    expect(words).toContain('One change is left out: Only 1 piece of it is unfinished');
    const { text } = await read(app, '/schedule/what-if?c=gathering.1.2026-13-45.2026-13-46');
    expect(text).toContain('It can’t be read.');
  });

  it('begins no fit-up of which more is missing than what was tried', async () => {
    const app = await startApp();
    const post = await aPart(app, { name: 'Post', kind: 'made' });
    const plate = await aPart(app, { name: 'Plate', kind: 'made' });
    const held = await anAssembly(app, {
      name: 'Frame',
      children: [
        { id: post.id, milli: 1000 },
        { id: plate.id, milli: 1000 },
      ],
    });
    const token = tryToken({ kind: 'without', partId: post.id, parentId: held.id });
    const page = await (await app.as('lead')).post('/schedule/what-if', { c: token });
    expect(page.status).toBe(409);
    expect(page.text).toContain('Plate not ready either');
    expect(await app.context.db.read.job.count()).toBe(0);
  });

  it('stores nothing where one of the changes is refused, and says which', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { days: 10 });
    const { claimId, jobId: onHold } = await aClaim(app, { quantity: 2 });
    const c = [
      tryToken({ kind: 'slip-job', jobId, days: 5 }),
      tryToken({
        kind: 'share',
        claimId,
        milli: 1000,
        personId: castId.farid,
        soonest: 1,
        likely: 2,
        latest: 3,
      }),
    ];
    // Nobody claims a share of a job on hold: the act's own rule.
    await asPerson(app, 'lead', (act) => holdJob(act, { jobId: onHold, reason: 'out of steel' }));
    const page = await (await app.as('lead')).post('/schedule/what-if', { c });
    expect(page.status).toBe(409);
    expect(page.text).toContain('on hold');
    expect((await app.context.db.read.job.findUniqueOrThrow({ where: { id: jobId } })).days).toBe(10);
    expect(await app.context.db.read.claim.count()).toBe(1);
    expect((await (await app.as('lead')).post('/schedule/what-if', {})).status).toBe(409);
  });

  it('answers what does not fit at its field, keeps what was typed and what is tried already', async () => {
    const app = await startApp();
    const jobId = await anotherJob(app, { title: 'Crate', days: 10 });
    await anAssembly(app, { name: 'Frame' });
    await aClaim(app, { quantity: 2 });
    const gatheringId = await asPerson(app, 'lead', (act) =>
      planGathering(act, { title: 'Spring', fromOn: '2026-05-01', untilOn: '2026-05-03', places: 6 }),
    );
    const token = tryToken({ kind: 'slip-job', jobId, days: 5 });
    const add = (kind: string, query: string) =>
      read(app, `/schedule/what-if/add/${kind}?c=${token}&${query}`);
    const far = await add('slip-job', `jobId=${jobId}&days=9000`);
    expect(far.status).toBe(422);
    expect(far.text).toContain('value="9000"');
    expect(far.words).toContain('At most 730 days; this is 9000.');
    expect(far.words).toContain('Crate: 5 days later');
    for (const [kind, query, sentence] of [
      ['slip-claim', 'claimId=999&days=3', 'There is no such claim.'],
      ['slip-claim', 'claimId=&days=', 'Choose one of the list.'],
      ['drop', 'part=nothing', 'There is no part nothing.'],
      ['drop', 'part=', 'Name the part’s number.'],
      ['gathering', `gatheringId=${gatheringId}&fromOn=2026-01-05&untilOn=2026-01-07`, 'moved into the past'],
      ['gathering', `gatheringId=${gatheringId}&fromOn=2026-13-40&untilOn=x`, 'value="2026-13-40"'],
      ['without', 'part=a&parent=b', 'There is no part a.'],
    ] as const) {
      const { status, words, text } = await add(kind, query);
      expect(status).toBe(422);
      expect(`${words} ${text}`).toContain(sentence);
    }
    expect((await add('slip-job', `jobId=${jobId}&days=-3`)).status).toBe(303);
    expect((await read(app, '/schedule/what-if?c=<script>&c=drop.999')).words).toContain(
      'One change is left out',
    );
    expect((await read(app, '/schedule/what-if/add/nonsense?a=b')).status).toBe(303);
  });
});
