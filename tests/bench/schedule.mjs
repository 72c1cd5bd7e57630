/**
 * From an act to the new schedule, in a build of 2,000 parts and 1,500 jobs: the act itself, reading what the schedule is
 * derived from, deriving and dating it, as ratios to the act (one commit that is durable when it returns). Then the
 * simulation of that schedule in its thread, and for how long the process did not answer meanwhile.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { monitorEventLoopDelay } from 'node:perf_hooks';
import { Changes, perform } from '../../dist/src/platform/acts.js';
import { openDatabase } from '../../dist/src/platform/database.js';
import { Workers } from '../../dist/src/platform/workers.js';
import { buildFactsReader } from '../../dist/src/schedule/facts-reader.js';
import { OutlookService } from '../../dist/src/schedule/outlook-service.js';
import { scheduleOf } from '../../dist/src/schedule/schedule.js';
import { ScheduleService } from '../../dist/src/schedule/service.js';
import { makeBuild } from './build.mjs';

const parts = 2000;
const jobs = 1500;
const seed = 20_261_102;
const rounds = 40;
const warm = 8;
const now = new Date('2026-11-02T08:00:00Z');

/** Milliseconds of many rounds, the first ones left out while the program is still being compiled. */
function summary(all) {
  const sorted = all.slice(warm).sort((a, b) => a - b);
  const at = (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return {
    middle: at(0.5),
    text: `best ${sorted[0].toFixed(1)} ms, p50 ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms`,
  };
}

/** Does the same act over and over, each followed by a schedule of what it left. */
export async function bench() {
  const folder = mkdtempSync(join(tmpdir(), 'farwright-schedule-'));
  try {
    await makeBuild(folder, { parts, jobs, seed, now });
    const db = await openDatabase(folder);
    const changes = new Changes();
    const clock = { now: () => now };
    const report = (fault) => {
      throw fault;
    };
    const service = new ScheduleService({ db, clock, changes, report });
    const { network, finishOn, facts } = service.snapshot().schedule;
    const read = buildFactsReader(db);
    const acts = [];
    const whole = [];
    const worked = [];
    const fresh = [];
    const deriving = [];
    for (let round = 0; round < rounds; round++) {
      const processor = process.cpuUsage();
      const begun = performance.now();
      await perform({ db, clock, changes }, { actor: { personId: 1, role: 'lead' } }, async (act) => {
        const job = network.openJobs[round * 7];
        await act.tx.job.update({ where: { id: job.id }, data: { days: 3 + (round % 9) } });
        await act.log({ kind: 'change-job', jobId: job.id });
      });
      const done = performance.now();
      service.snapshot();
      const seen = performance.now();
      const { user, system } = process.cpuUsage(processor);
      acts.push(done - begun);
      fresh.push(seen - done);
      whole.push(seen - begun);
      worked.push((user + system) / 1000);
      await service.settled();
      const again = read(facts.today);
      const from = performance.now();
      scheduleOf(again);
      deriving.push(performance.now() - from);
    }
    const workers = new Workers({ threads: 1 });
    const outlooks = new OutlookService({ schedules: service, db, clock, changes, workers, report });
    const delay = monitorEventLoopDelay({ resolution: 1 });
    await outlooks.within(1);
    delay.enable();
    const asked = performance.now();
    await outlooks.settled();
    const simulated = performance.now() - asked;
    delay.disable();
    const { outlook } = outlooks.now();
    await outlooks.close();
    await service.close();
    await db.close();
    const act = summary(acts);
    const ratio = (one) => `${(one.middle / act.middle).toFixed(1)} × the act`;
    const [all, computed, derived] = [summary(whole), summary(fresh), summary(deriving)];
    return [
      `${parts} parts, ${jobs} jobs (${network.openJobs.length} open), seed ${seed}, ${rounds - warm} rounds: ` +
        `${network.nodes.length} steps, ${network.links.length} links, finish ${finishOn}`,
      `the act alone               ${act.text}`,
      `act and new schedule        ${all.text} (${ratio(all)}; to reach: under 150 ms)`,
      `of that, processor time     ${summary(worked).text}`,
      `new schedule after the act  ${computed.text} (${ratio(computed)})`,
      `of that, derived and dated  ${derived.text} (${ratio(derived)})`,
      `the simulation in its thread ${(simulated / 1000).toFixed(2)} s: ${outlook.outcome.runs} runs, ${outlook.next.length} steps of the lead and ` +
        `${outlook.late.length} claims tried, and what would help; the process answered meanwhile within ` +
        `p50 ${(delay.percentile(50) / 1e6).toFixed(1)} ms, p99 ${(delay.percentile(99) / 1e6).toFixed(1)} ms, at worst ${(delay.max / 1e6).toFixed(1)} ms`,
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
