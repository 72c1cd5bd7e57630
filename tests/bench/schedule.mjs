/**
 * From an act to the new schedule, in a build of 2,000 parts and 1,500 jobs: the act itself, reading what the schedule is
 * derived from, deriving and dating it. Printed beside the additive network pass over the same steps.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Changes, perform } from '../../dist/src/platform/acts.js';
import { openDatabase } from '../../dist/src/platform/database.js';
import { buildFactsReader } from '../../dist/src/schedule/facts-reader.js';
import { networkPass } from '../../dist/src/schedule/network-pass.js';
import { scheduleOf } from '../../dist/src/schedule/schedule.js';
import { ScheduleService } from '../../dist/src/schedule/service.js';
import { makeBuild } from './build.mjs';

const parts = 2000;
const jobs = 1500;
const seed = 20_261_102;
const rounds = 40;
const warm = 5;

const now = new Date('2026-11-02T08:00:00Z');
const today = '2026-11-02';
const folder = mkdtempSync(join(tmpdir(), 'farwright-bench-'));
const figure = (list) => {
  const sorted = list.slice(warm).sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))].toFixed(1);
  return `best ${at(0)} ms, median ${at(0.5)} ms, 95 % under ${at(0.95)} ms`;
};

try {
  await makeBuild(folder, { parts, jobs, seed, now });
  const db = await openDatabase(folder);
  const changes = new Changes();
  const clock = { now: () => now };
  const service = new ScheduleService({ db, clock, changes, report: (fault) => console.error(fault) });
  const read = buildFactsReader(db);
  const { schedule } = service.snapshot();
  const { network, graph } = schedule;
  console.log(
    `schedule: ${parts} parts, ${jobs} jobs (${network.openJobs.length} open), seed ${seed}: ` +
      `${network.nodes.length} steps, ${network.links.length} links, finish ${schedule.finishOn}`,
  );

  const whole = [];
  const worked = [];
  const afterAct = [];
  const reading = [];
  const deriving = [];
  const passing = [];
  const durations = Float64Array.from(network.nodes, ({ duration }) => duration.days);
  for (let round = 0; round < rounds; round++) {
    const cpu = process.cpuUsage();
    const begun = performance.now();
    await perform({ db, clock, changes }, { actor: { personId: 1, role: 'lead' } }, async (act) => {
      const job = network.openJobs[round * 7];
      await act.tx.job.update({ where: { id: job.id }, data: { days: 3 + (round % 9) } });
      await act.log({ kind: 'change-job', jobId: job.id });
    });
    const done = performance.now();
    service.snapshot();
    const fresh = performance.now();
    const { user, system } = process.cpuUsage(cpu);
    whole.push(fresh - begun);
    worked.push((user + system) / 1000);
    afterAct.push(fresh - done);
    await service.settled();

    const t0 = performance.now();
    const facts = read(today);
    const t1 = performance.now();
    scheduleOf(facts);
    const t2 = performance.now();
    networkPass(graph, durations);
    const t3 = performance.now();
    reading.push(t1 - t0);
    deriving.push(t2 - t1);
    passing.push(t3 - t2);
  }
  console.log(`  act and new schedule        ${figure(whole)} (to reach: under 150 ms)`);
  console.log(`  of that, processor time     ${figure(worked)}`);
  console.log(`  new schedule after the act  ${figure(afterAct)}`);
  console.log(`  reading the facts again     ${figure(reading)}`);
  console.log(`  deriving and dating         ${figure(deriving)}`);
  console.log(`  additive pass, same network ${figure(passing)}`);
  await service.close();
  await db.close();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
