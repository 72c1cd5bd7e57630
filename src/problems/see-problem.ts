import { keepPhotos, MOST_PHOTOS } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import { type Day, dayIn } from '../platform/day.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { isAtMachine, namedPerson } from './problem-people.ts';
import { mayChangeProblem } from './problem-rules.ts';
import type { Judged } from './problem-scales.ts';
import { checkSeen, differences, namedJob, namedPart, readProblem } from './store.ts';
import { worksOn } from './works-on.ts';

export interface SeenProblem extends Pick<Judged, 'severity'>, Partial<Omit<Judged, 'severity'>> {
  /** what it is about: a part, a job, both or neither; of a job's part where only the job is named */
  partId?: number | null;
  jobId?: number | null;
  /** one line; the bulletin tells it */
  title: string;
  words?: string;
  /** how often in words: '3 of 10 runs' */
  often?: string;
  /** who saw it, where that is not who writes it down; for lead and crew to say */
  seenById?: number | null;
  /** the day it was seen; today where it is not said */
  seenOn?: Day | null;
  photos?: readonly SmallPhoto[];
}

/**
 * What the problem is about, checked: a maker writes down what concerns their own work, and anything while they are at
 * the machine for a gathering.
 */
async function subject(act: Act, { partId = null, jobId = null }: Pick<SeenProblem, 'partId' | 'jobId'>) {
  const { tx, actor } = act;
  const job = jobId === null ? null : await namedJob(tx, jobId, 'job');
  const part = partId === null ? null : await namedPart(tx, partId);
  const personId = actor.personId ?? 0;
  if (actor.role === 'maker' && !(await isAtMachine(tx, personId, act.today))) {
    if (!job && !part) {
      throw new WrongField('job', 'Say which job of yours, or which part you make, it is about.');
    }
    if (job && !(await worksOn(tx, personId, { jobId: job.id }))) {
      throw new WrongField('job', `You have no work on job ${job.id}: ask about it on its page.`);
    }
    if (part && part.id !== job?.partId && !(await worksOn(tx, personId, { partId: part.id }))) {
      throw new WrongField(
        'part',
        `You have no work on ${part.number}. Tell the lead: they can write it down as seen by you.`,
      );
    }
  }
  return { partId: part?.id ?? job?.partId ?? null, jobId: job?.id ?? null };
}

/** Who saw it: who writes it down, or a person whom lead or crew name. */
async function finder({ tx, actor }: Act, seenById: number | null): Promise<number> {
  const self = actor.personId ?? refuse('signed-in-only', 'Sign in to write a problem down.');
  if (seenById === null || seenById === self) return self;
  if (actor.role === 'maker') {
    throw new WrongField('seenById', 'Only lead and crew write down what somebody else saw.');
  }
  return namedPerson(tx, seenById, 'seenById');
}

/** The moment kept for a day: now where it is today, else about noon of that day at the build. */
async function momentOn(act: Act, day: Day | null): Promise<Date> {
  if (day === null || day === act.today) return act.at;
  if (day > act.today) throw new WrongField('seenOn', 'This day is still to come: it was seen before.');
  const { timeZone } = await act.tx.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  const noon = new Date(`${day}T12:00:00Z`);
  // East of 12 hours the next day has begun by then.
  return dayIn(timeZone, noon) === day ? noon : new Date(`${day}T00:00:00Z`);
}

/**
 * Writes down something wrong, seen at the machine or on paper.
 *
 * @returns its id
 * @throws WrongField  part, job: not there, or not a maker's own work; seenById, seenOn: nobody of the list, to come
 */
export async function seeProblem(act: Act, files: FileStore, seen: SeenProblem): Promise<number> {
  const { title, words = '', severity, occurrence = null, detection = null, often = '', photos = [] } = seen;
  const seenById = await finder(act, seen.seenById ?? null);
  const seenAt = await momentOn(act, seen.seenOn ?? null);
  const about = await subject(act, seen);
  checkPhotos(photos.length);
  const judged = { severity, occurrence, detection, often };
  const { id } = await act.tx.problem.create({
    data: { ...about, title, words, ...judged, seenAt, seenById },
  });
  await keepPhotos(act, files, photos, { problemId: id });
  await act.log({
    kind: 'see-problem',
    ...about,
    aboutId: seenById === act.actor.personId ? null : seenById,
    thing: { type: 'problem', id },
    after: {
      title,
      severity,
      ...(occurrence === null ? {} : { occurrence }),
      ...(detection === null ? {} : { detection }),
      ...(often ? { often } : {}),
      ...(seenAt === act.at ? {} : { seenOn: seen.seenOn }),
      ...(photos.length ? { photos: photos.length } : {}),
    },
  });
  return id;
}

function checkPhotos(count: number): void {
  if (count > MOST_PHOTOS) {
    throw new WrongField('photos', `At most ${MOST_PHOTOS} photos of one problem; these would be ${count}.`);
  }
}

export interface ProblemChange extends SeenProblem {
  problemId: number;
  /** photos to be taken off */
  withoutPhotoIds?: readonly number[];
  /** the newest change the editor saw (lastChange) */
  seen?: number;
}

/**
 * Says better what a problem is. Photos may be added and taken off; who saw it and when stay where they are not given.
 *
 * @throws WrongField  as seeProblem
 */
export async function changeProblem(act: Act, files: FileStore, change: ProblemChange): Promise<void> {
  const { problemId, title, words = '', severity, photos = [], withoutPhotoIds = [] } = change;
  const { occurrence = null, detection = null, often = '' } = change;
  const problem = await readProblem(act.tx, problemId);
  orRefuse(mayChangeProblem(problem, act.actor));
  await checkSeen(act, 'problem', problemId, change.seen);
  const named = { partId: change.partId ?? null, jobId: change.jobId ?? null };
  const isSame = named.partId === problem.partId && named.jobId === problem.jobId;
  const about = isSame ? named : await subject(act, named);
  const seenById = change.seenById ? await finder(act, change.seenById) : problem.seenById;
  const { timeZone } = await act.tx.build.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } });
  const oldDay = dayIn(timeZone, problem.seenAt);
  const seenOn = change.seenOn ?? oldDay;
  const seenAt = seenOn === oldDay ? problem.seenAt : await momentOn(act, seenOn);
  const kept = await act.tx.photo.count({
    where: { problemId, removedAt: null, id: { notIn: [...withoutPhotoIds] } },
  });
  checkPhotos(kept + photos.length);
  await act.tx.photo.updateMany({
    where: { problemId, removedAt: null, id: { in: [...withoutPhotoIds] } },
    data: { removedAt: act.at },
  });
  await keepPhotos(act, files, photos, { problemId });
  const old = {
    title: problem.title,
    words: problem.words,
    severity: problem.severity,
    occurrence: problem.occurrence,
    detection: problem.detection,
    often: problem.often,
    partId: problem.partId,
    jobId: problem.jobId,
    seenOn: oldDay,
  };
  const wanted = { title, words, severity, occurrence, detection, often, ...about };
  const { before, after } = differences(old, { ...wanted, seenOn });
  await act.tx.problem.update({ where: { id: problemId }, data: { ...wanted, seenAt, seenById } });
  await act.log({
    kind: 'change-problem',
    ...about,
    aboutId: seenById === problem.seenById || seenById === act.actor.personId ? null : seenById,
    thing: { type: 'problem', id: problemId },
    before,
    after: { title, ...after },
  });
}
