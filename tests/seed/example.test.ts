import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import request from 'supertest';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadExample } from '../../seed/load.ts';
import { PASSWORD, type PersonStory, people, settings } from '../../seed/people.ts';
import { buildApp } from '../../src/app.ts';
import {
  FABRICATION_STAGES,
  factsReader,
  OTHER_STAGES,
  quantitiesOf,
  stageOf,
} from '../../src/jobs/index.ts';
import { readLog } from '../../src/log/index.ts';
import { promiseRecord } from '../../src/makers/index.ts';
import { Changes } from '../../src/platform/acts.ts';
import { type Database, openDatabase } from '../../src/platform/database.ts';
import { addDays, dayIn, daysBetween } from '../../src/platform/day.ts';
import { FileStore } from '../../src/platform/files.ts';
import { readSettings } from '../../src/platform/settings.ts';
import { buildFactsReader } from '../../src/schedule/facts-reader.ts';
import { factGroups } from '../../src/schedule/finish-moved-groups.ts';
import { besideReader } from '../../src/schedule/finish-moved-reader.ts';
import { undone } from '../../src/schedule/finish-moved-undo.ts';
import { ScheduleService, scheduleOf } from '../../src/schedule/index.ts';
import { datedFacts } from '../schedule/finish-moved-story.ts';

// A Thursday, with the clocks of the zone put back and forth in the year before it.
const LOADED_AT = new Date('2026-03-12T07:30:00Z');
const TODAY = '2026-03-12';
const ZONE = 'Europe/Ljubljana';

const folder = mkdtempSync(join(tmpdir(), 'farwright-example-'));
const clock = { now: () => LOADED_AT };
const faults: string[] = [];
let db: Database;
let files: FileStore;
let app: FastifyInstance;

beforeAll(async () => {
  await loadExample(folder, LOADED_AT);
  db = await openDatabase(folder);
  files = new FileStore(folder);
  const context = {
    settings: readSettings({ DATA_DIR: folder, RATE_LIMIT: 'off', BASE_URL: 'http://127.0.0.1' }),
    db,
    files,
    clock,
    changes: new Changes(),
  };
  app = await buildApp(context, {
    level: 'error',
    stream: { write: (text: string) => void faults.push(text) },
  } as { level: string });
  await app.ready();
}, 600_000);

afterAll(async () => {
  await app?.close();
  await db?.close();
  rmSync(folder, { recursive: true, force: true });
});

type Agent = ReturnType<typeof request.agent>;

async function signedIn(key: string): Promise<Agent> {
  const agent = request.agent(app.server);
  const { text } = await agent.get('/sign-in');
  const token = /name="_csrf" value="([^"]+)"/.exec(text)?.[1] ?? '';
  const email = people.find((person) => person.key === key)!.email;
  const { status } = await agent
    .post('/sign-in')
    .type('form')
    .send({ _csrf: token, email, password: PASSWORD });
  expect(status).toBe(303);
  return agent;
}

const hot = <T>(sql: string, ...values: unknown[]) => db.hot.prepare<unknown[], T>(sql).all(...values);
const column = (sql: string) => db.hot.prepare<[], string | number>(sql).pluck().all();

const jobPages = () => column('SELECT id FROM Job').map((id) => `/jobs/${id}`);
const partPages = () => column('SELECT number FROM Part').map((number) => `/parts/${number}`);

/** Every address of a page that somebody of the shop may open; revisions apart. */
function shopPages(): string[] {
  return [
    ...['/', '/board', '/structure', '/schedule', '/offers', '/receiving', '/receiving/parcels', '/problems'],
    ...['/redesigns', '/trials', '/decisions', '/gatherings', '/log', '/bulletin', '/bench', '/materials'],
    ...['/processes', '/parts', '/me', '/schedule/closures', '/schedule/baselines', '/schedule/soundness'],
    ...column('SELECT id FROM Baseline').map((id) => `/schedule/baselines/${id}`),
    ...partPages(),
    ...jobPages(),
    ...column('SELECT id FROM Parcel').map((id) => `/receiving/parcels/${id}`),
    ...column('SELECT id FROM ParcelItem').map((id) => `/receiving/lines/${id}`),
    ...column('SELECT id FROM Problem').map((id) => `/problems/${id}`),
    ...column('SELECT id FROM Redesign').map((id) => `/redesigns/${id}`),
    ...column('SELECT id FROM Trial').map((id) => `/trials/${id}`),
    ...column('SELECT id FROM Decision').map((id) => `/decisions/${id}`),
    ...column('SELECT id FROM Gathering').map((id) => `/gatherings/${id}`),
  ];
}

function leadPages(): string[] {
  return [
    ...['/makers', '/people', '/settings', '/exchange', '/offers/waiting'],
    ...column('SELECT id FROM Revision').map((id) => `/revisions/${id}`),
    ...column('SELECT id FROM Material LIMIT 3').map((id) => `/materials/${id}`),
    ...column('SELECT id FROM Photo').map((id) => `/photos/${id}`),
    ...column('SELECT id FROM Document LIMIT 12').map((id) => `/documents/${id}`),
    ...column('SELECT id FROM Person').map((id) => `/people/${id}`),
    ...column("SELECT id FROM Person WHERE role = 'maker'").map((id) => `/makers/${id}`),
    ...column('SELECT week FROM Bulletin').map((week) => `/bulletin/${week}`),
  ];
}

const publicPages = () => [
  '/offers',
  '/bulletin',
  '/thanks',
  '/calendar',
  '/gatherings.ics',
  '/bench',
  ...column('SELECT week FROM Bulletin WHERE publishedAt IS NOT NULL').map((week) => `/bulletin/${week}`),
  ...column(
    `SELECT id FROM Job WHERE offeredAt IS NOT NULL AND heldAt IS NULL AND droppedAt IS NULL
        AND NOT EXISTS (SELECT 1 FROM Claim WHERE Claim.jobId = Job.id)`,
  ).map((id) => `/offers/${id}`),
];

/** What nobody but the lead and the person themselves may read. */
const secretsOf = ({ email, address, reach }: PersonStory) => [
  email,
  ...(address ?? '').split('\n').filter((line) => /\d/.test(line)),
  ...(reach ? [reach] : []),
];

describe('loadExample', () => {
  it('leaves a sound database, and every file that a row names', () => {
    expect(db.hot.pragma('integrity_check', { simple: true })).toBe('ok');
    expect(db.hot.pragma('foreign_key_check')).toEqual([]);
    const named = column('SELECT sha256 FROM Document UNION SELECT sha256 FROM Photo') as string[];
    expect(named.length).toBeGreaterThan(60);
    expect(named.filter((sha256) => !existsSync(files.pathOf(sha256)))).toEqual([]);
  });

  it('tells a year of acts, none after the moment of loading and none backwards', () => {
    const times = hot<{ at: string }>('SELECT at FROM Act ORDER BY id').map(({ at }) => Date.parse(at));
    expect(times.length).toBeGreaterThan(1000);
    expect(times.at(-1)).toBeLessThanOrEqual(LOADED_AT.getTime());
    expect(times.every((time, index) => index === 0 || time >= times[index - 1]!)).toBe(true);
    const first = dayIn(ZONE, new Date(times[0]!));
    expect(daysBetween(first, TODAY)).toBeGreaterThanOrEqual(360);
    expect(daysBetween(first, TODAY)).toBeLessThanOrEqual(366);
    const kinds = new Set(column('SELECT kind FROM Act'));
    for (const kind of [
      'hand-back',
      'renew-promise',
      'take-up-revision',
      'decide-old-units',
      'publish-bulletin',
    ])
      expect(kinds).toContain(kind);
  });

  it('has about twenty people in nine countries, a hundred parts and as many jobs as it says', () => {
    expect(people).toHaveLength(20);
    expect(new Set(people.map(({ country }) => country)).size).toBe(9);
    const [{ parts, jobs }] = hot<{ parts: number; jobs: number }>(
      'SELECT (SELECT COUNT(*) FROM Part) AS parts, (SELECT COUNT(*) FROM Job) AS jobs',
    ) as [{ parts: number; jobs: number }];
    expect(parts).toBeGreaterThanOrEqual(90);
    expect(jobs).toBeGreaterThanOrEqual(60);
  });

  it('has a job in every stage of the board', () => {
    const schedule = new ScheduleService({
      db,
      clock,
      changes: new Changes(),
      report: (fault) => faults.push(String(fault)),
    });
    const stages = new Set(
      factsReader(db)
        .all()
        .map((job) => stageOf(job, schedule.of(job.id)?.ready ?? false)),
    );
    expect([...stages].sort()).toEqual(
      [...new Set([...FABRICATION_STAGES, ...OTHER_STAGES, 'on hold', 'dropped'])].sort(),
    );
  });

  it('has quantities that add up in every job, one of twelve in three places at once', () => {
    const jobs = factsReader(db).all();
    for (const job of jobs) {
      const { total, ...places } = quantitiesOf(job);
      expect(Object.values(places).every((milli) => milli >= 0)).toBe(true);
      expect(Object.values(places).reduce((sum, milli) => sum + milli, 0)).toBe(total);
    }
    const clamps = jobs.find(({ title, milli }) => title === 'Hub clamp' && milli === 12_000)!;
    expect(quantitiesOf(clamps)).toMatchObject({ promised: 4000, inPost: 2000, accepted: 2000 });
  });

  it('has good and bad promises of twelve makers and more', () => {
    const claims = factsReader(db)
      .all()
      .flatMap((job) => job.claims);
    const makers = [...new Set(claims.map(({ personId }) => personId))];
    const records = makers.map((id) =>
      promiseRecord(
        claims.filter(({ personId }) => personId === id),
        TODAY,
        ZONE,
      ),
    );
    const finished = records.reduce((sum, record) => sum + record.finished, 0);
    const onTime = records.reduce((sum, record) => sum + record.onTime, 0);
    expect(records.filter((record) => record.finished > 0).length).toBeGreaterThanOrEqual(12);
    expect(finished).toBeGreaterThanOrEqual(25);
    expect(onTime).toBeLessThan(finished);
    expect(onTime).toBeGreaterThan(finished / 2);
    const silent = claims.filter(
      (claim) =>
        claim.milli - claim.backMilli > claim.doneMilli &&
        daysBetween(dayIn(ZONE, new Date(claim.lastWordAt)), TODAY) > 30,
    );
    expect(silent.length).toBeGreaterThan(0);
  });

  it('has a late parcel, a short one, a late purchase, a stranger, open queries, units and makers to settle', () => {
    const count = (sql: string, ...values: unknown[]) => hot(sql, ...values).length;
    const month = new Date(LOADED_AT.getTime() - 21 * 86_400_000).toISOString();
    expect(count('SELECT id FROM Parcel WHERE arrivedAt IS NULL AND sentAt < ?', month)).toBe(1);
    expect(count('SELECT id FROM ParcelItem WHERE countedMilli < milli')).toBe(1);
    expect(
      count("SELECT id FROM Job WHERE kind = 'purchase' AND finishedAt IS NULL AND promisedOn < ?", TODAY),
    ).toBe(2);
    expect(count('SELECT id FROM StrangerOffer WHERE settledAt IS NULL')).toBe(2);
    expect(count('SELECT id FROM Query WHERE answer IS NULL')).toBe(2);
    expect(count('SELECT id FROM Query WHERE answer IS NOT NULL')).toBeGreaterThan(3);
    expect(count('SELECT id FROM OldUnits WHERE decidedAs IS NULL')).toBe(1);
    expect(column('SELECT settledAs FROM Notice').sort()).toEqual(
      [null, 'finish the old', 'taken up'].sort(),
    );
    expect(new Set(column('SELECT disposition FROM UnitCheck'))).toEqual(
      new Set(['accept', 'concession', 'rework', 'scrap']),
    );
    expect(count('SELECT id FROM Problem WHERE curedAt IS NOT NULL')).toBe(2);
    expect(count('SELECT id FROM Redesign WHERE releasedAt IS NULL AND droppedAt IS NULL')).toBe(2);
    const [gathering] = hot<{ fromOn: string }>(
      'SELECT fromOn FROM Gathering WHERE droppedAt IS NULL AND fromOn > ?',
      TODAY,
    );
    expect(gathering?.fromOn).toBe(addDays(TODAY, 35));
    expect(count('SELECT id FROM PackingLine')).toBe(4);
    expect(count('SELECT id FROM PackingLine WHERE packedAt IS NOT NULL')).toBe(1);
    expect(count('SELECT id FROM Decision WHERE decidedAt IS NULL AND droppedAt IS NULL')).toBe(3);
  });

  it('is to be finished some months ahead, and knows what it was to be a week ago', () => {
    const schedule = new ScheduleService({
      db,
      clock,
      changes: new Changes(),
      report: (fault) => faults.push(String(fault)),
    });
    expect(schedule.snapshot().trouble).toBeNull();
    const ahead = daysBetween(TODAY, schedule.finishOn()!);
    expect(ahead).toBeGreaterThan(40);
    expect(ahead).toBeLessThan(300);
    expect(daysBetween(schedule.weekAgo()!.day, TODAY)).toBeLessThan(10);
    expect(column('SELECT day FROM FinishRecord').length).toBeGreaterThan(50);
  });

  it('taken back by its log to any day of the year, is to be finished when it was computed then to be', () => {
    const facts = buildFactsReader(db)(TODAY)!;
    const rows = readLog(db, {}, { limit: 100_000 }).reverse();
    const beside = besideReader(db)(rows);
    const records = hot<{ day: string; at: string; finishOn: string; open: number }>(
      'SELECT day, at, finishOn, open FROM FinishRecord ORDER BY day',
    );
    expect(records.length).toBeGreaterThan(50);
    for (const { day, at, finishOn, open } of records) {
      const later = rows.filter((row) => row.at >= at);
      const then = scheduleOf({ ...undone(facts, later, beside), today: day });
      expect([day, then.finishOn, then.network.openJobs.length]).toEqual([day, finishOn, open]);
    }
  });

  it('is the same in whatever order the facts of its weeks are taken back', () => {
    const facts = buildFactsReader(db)(TODAY)!;
    for (const weeks of [1, 4, 13, 40]) {
      const from = addDays(TODAY, -7 * weeks);
      const rows = readLog(db, { from }, { limit: 100_000 }).reverse();
      const beside = besideReader(db)(rows);
      const groups = factGroups(rows);
      expect(groups.length).toBeGreaterThan(weeks);
      const whole = datedFacts(undone(facts, rows, beside));
      for (const order of [
        groups,
        [...groups].reverse(),
        groups.toSorted((a, b) => (a.key < b.key ? -1 : 1)),
      ]) {
        let left = facts;
        for (const { rows: own } of order) left = undone(left, own, beside);
        expect(datedFacts(left)).toEqual(whole);
      }
    }
  });

  it('keeps two plans, with slips of every assembly and the finish of many weeks to show', async () => {
    const lead = await signedIn('jerica');
    expect(column('SELECT name FROM Baseline WHERE removedAt IS NULL ORDER BY id')).toHaveLength(2);
    const { text } = await lead.get('/schedule/baselines/1');
    expect(text).toMatch(/<polyline class="c-axis"/);
    expect([...text.matchAll(/days later<\/b>/g)].length).toBeGreaterThan(5);
    expect(Number(column('SELECT COUNT(*) FROM FinishRecord')[0])).toBeGreaterThan(40);
    expect((await lead.get('/schedule/closures')).text).toContain('Village fair in the hall');
    expect(column("SELECT DISTINCT spot FROM Job WHERE spot <> '' ORDER BY spot")).toEqual([
      'Bench by the window',
      'Inside the case',
      'Over the ring',
    ]);
  });

  it('has an agenda for the gathering ahead, with tubes that may come late and what that would do', async () => {
    const lead = await signedIn('jerica');
    const [id] = column('SELECT MAX(id) FROM Gathering');
    const { text } = await lead.get(`/gatherings/${id}/agenda`);
    expect(text).toContain('6 of 7 items');
    expect(text).toMatch(/Saturn tube[\s\S]*\d\d in 100/);
    expect(text).toMatch(/If it is late[\s\S]*“Stack the tubes dry, from Earth to Saturn”[\s\S]*fall out/);
    const packing = await lead.get(`/gatherings/${id}/packing`);
    expect(packing.text).toContain('1 of 11');
    expect(packing.text).toMatch(/OR-0306 Saturn tube[\s\S]*with Chandran Melmuri, expected/);
  });

  it('shows every page to the lead', async () => {
    const lead = await signedIn('jerica');
    const failing: string[] = [];
    for (const path of [...shopPages(), ...leadPages()]) {
      const { status } = await lead.get(path);
      if (status !== 200) failing.push(`${path}: ${status}`);
    }
    expect(failing).toEqual([]);
    expect(faults).toEqual([]);
  }, 300_000);

  it('shows the crew what the lead sees but people and settings, and no address of a maker', async () => {
    const crew = await signedIn('neza');
    const makers = (people as readonly PersonStory[]).filter(({ role }) => role === 'maker');
    const told: string[] = [];
    for (const path of shopPages()) {
      const { status, text } = await crew.get(path);
      if (status !== 200) told.push(`${path}: ${status}`);
      for (const secret of makers.flatMap(secretsOf))
        if (text.includes(secret)) told.push(`${path}: ${secret}`);
    }
    expect(told).toEqual([]);
    expect((await crew.get('/people')).status).toBe(403);
  }, 300_000);

  it('shows a maker the board, jobs and parts, and nothing private of anybody else', async () => {
    const maker = await signedIn('ngaire');
    const others = (people as readonly PersonStory[]).filter(({ key }) => key !== 'ngaire');
    const own = (await db.read.person.findFirstOrThrow({ where: { name: 'Ngaire Tuhimata' } })).id;
    const paths = [
      ...[
        '/',
        '/board',
        '/structure',
        '/offers',
        '/bulletin',
        '/bench',
        '/materials',
        '/me',
        `/makers/${own}`,
      ],
      ...partPages(),
      ...jobPages(),
      ...column(`SELECT id FROM Parcel WHERE fromId = ${own}`).map((id) => `/parcels/${id}`),
      ...publicPages(),
    ];
    const told: string[] = [];
    for (const path of paths) {
      const { status, text } = await maker.get(path);
      if (status !== 200) told.push(`${path}: ${status}`);
      for (const secret of others.flatMap(secretsOf))
        if (text.includes(secret)) told.push(`${path}: ${secret}`);
    }
    expect(told).toEqual([]);
    expect((await maker.get('/people')).status).toBe(403);
  }, 300_000);

  it('shows visitors offers and bulletins, with people named as they wish and nothing private', async () => {
    const visitor = request.agent(app.server);
    const told: string[] = [];
    let all = '';
    for (const path of publicPages()) {
      const { status, text } = await visitor.get(path);
      if (status !== 200) told.push(`${path}: ${status}`);
      const secrets = [
        ...(people as readonly PersonStory[]).flatMap(secretsOf),
        ...settings.postAddress.split('\n').slice(1, 3),
      ];
      for (const secret of secrets) if (text.includes(secret)) told.push(`${path}: ${secret}`);
      all += text;
    }
    expect(told).toEqual([]);
    expect(all).toContain('the turner of Vale da Neta');
    expect(all).not.toContain('Tomé Falcoeiro');
    expect(all).not.toContain('Hemi Parekura-Voss');
    expect(all).toContain('Ngaire Tuhimata');
    expect((await visitor.get('/board')).status).toBe(303);
  }, 120_000);
});
