import { keepPhotos, MOST_PHOTOS } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { FileStore } from '../platform/files.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { orRefuse, refuse, WrongField } from '../platform/refusal.ts';
import { mayChangeProblem, type Severity } from './problem-rules.ts';
import { checkSeen, differences, namedJob, namedPart, readProblem } from './store.ts';
import { worksOn } from './works-on.ts';

export interface SeenProblem {
  /** what it is about: a part, a job, both or neither; of a job's part where only the job is named */
  partId?: number | null;
  jobId?: number | null;
  /** one line; the bulletin tells it */
  title: string;
  words?: string;
  severity: Severity;
  photos?: readonly SmallPhoto[];
}

/** What the problem is about, checked: a maker writes down only what concerns their own work. */
async function subject(act: Act, { partId = null, jobId = null }: Pick<SeenProblem, 'partId' | 'jobId'>) {
  const { tx, actor } = act;
  const job = jobId === null ? null : await namedJob(tx, jobId, 'job');
  const part = partId === null ? null : await namedPart(tx, partId);
  if (actor.role === 'maker') {
    const personId = actor.personId ?? 0;
    if (!job && !part) {
      throw new WrongField('job', 'Say which job of yours, or which part you make, it is about.');
    }
    if (job && !(await worksOn(tx, personId, { jobId: job.id }))) {
      throw new WrongField('job', `You have no work on job ${job.id}: ask about it on its page.`);
    }
    if (part && part.id !== job?.partId && !(await worksOn(tx, personId, { partId: part.id }))) {
      throw new WrongField('part', `You have no work on ${part.number}.`);
    }
  }
  return { partId: part?.id ?? job?.partId ?? null, jobId: job?.id ?? null };
}

/**
 * Writes down something wrong, seen at the machine or on paper.
 *
 * @returns its id
 * @throws WrongField  part, job: not there, or not a maker's own work
 */
export async function seeProblem(act: Act, files: FileStore, seen: SeenProblem): Promise<number> {
  const { title, words = '', severity, photos = [] } = seen;
  if (act.actor.personId === null) refuse('signed-in-only', 'Sign in to write a problem down.');
  const about = await subject(act, seen);
  checkPhotos(photos.length);
  const { id } = await act.tx.problem.create({
    data: { ...about, title, words, severity, seenAt: act.at, seenById: act.actor.personId },
  });
  await keepPhotos(act, files, photos, { problemId: id });
  await act.log({
    kind: 'see-problem',
    ...about,
    thing: { type: 'problem', id },
    after: { title, severity, ...(photos.length ? { photos: photos.length } : {}) },
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

/** Says better what a problem is. Photos may be added and taken off. */
export async function changeProblem(act: Act, files: FileStore, change: ProblemChange): Promise<void> {
  const { problemId, title, words = '', severity, photos = [], withoutPhotoIds = [] } = change;
  const problem = await readProblem(act.tx, problemId);
  orRefuse(mayChangeProblem(problem, act.actor));
  await checkSeen(act, 'problem', problemId, change.seen);
  const named = { partId: change.partId ?? null, jobId: change.jobId ?? null };
  const isSame = named.partId === problem.partId && named.jobId === problem.jobId;
  const about = isSame ? named : await subject(act, named);
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
    partId: problem.partId,
    jobId: problem.jobId,
  };
  const { before, after } = differences(old, { title, words, severity, ...about });
  await act.tx.problem.update({ where: { id: problemId }, data: { title, words, severity, ...about } });
  await act.log({
    kind: 'change-problem',
    ...about,
    thing: { type: 'problem', id: problemId },
    before,
    after: { title, ...after },
  });
}
