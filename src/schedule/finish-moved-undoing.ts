import type { ClaimFacts, JobFacts } from '../jobs/index.ts';
import type { LogRow } from '../log/index.ts';
import { graphOf, type PartRow, type UseRow } from '../parts/index.ts';
import type { BuildFacts, DayRange, GatheringFacts, RevisionFacts } from './build-facts.ts';

/** A line of a parcel as it stands now. */
export interface ItemNow {
  parcelId: number;
  milli: number;
  countedMilli: number | null;
}

/** A parcel as it stands now; moments as ISO text. */
export interface ParcelNow {
  fromId: number;
  sentAt: string;
  arrivedAt: string | null;
}

/** What the log leaves to the tables, of the things that its rows are about, as it stands now. */
export interface Beside {
  /** lines of parcels, by claim */
  items: ReadonlyMap<number, readonly ItemNow[]>;
  parcels: ReadonlyMap<number, ParcelNow>;
  /** by id of an act that took an offer, a hold or an approval back: the moment of what it took back */
  takenBack: ReadonlyMap<number, string>;
  /** by claim: the act that promised it anew for the first time */
  firstRenewals: ReadonlyMap<number, number>;
  /** by revision: drawings and models that belong to it */
  documents: ReadonlyMap<number, readonly number[]>;
  /** days away that were taken off the list, by id */
  away: ReadonlyMap<number, DayRange & { personId: number }>;
  /** gatherings that were called off */
  gatherings: ReadonlyMap<number, Omit<GatheringFacts, 'comers'>>;
  /** parts that were taken out, and every line from or to them */
  parts: ReadonlyMap<number, PartRow>;
  uses: readonly UseRow[];
}

/** What an act noted. */
export type Notes = Record<string, unknown>;
type Loose<T> = { -readonly [K in keyof T]: T[K] };

/** The facts while acts are taken back: copied as far as they are touched. */
export class Undoing {
  readonly build;
  readonly jobs;
  readonly parts;
  readonly people;
  readonly revisions;
  readonly undoneMilli;
  readonly gatherings;
  readonly firstPromises;
  readonly parcels;
  closures;
  links;
  uses;
  /** whether parts or lines are others now */
  restructured = false;
  readonly #away;
  readonly #posts;
  readonly #own = new Set<number>();
  readonly #items = new Map<number, readonly ItemNow[]>();
  readonly #documents = new Map<number, Set<number>>();

  constructor(
    private readonly before: BuildFacts,
    readonly beside: Beside,
  ) {
    const { weekdays, timeZone, country, leadWeeklyHours } = before;
    this.build = { weekdays, timeZone, country, leadWeeklyHours };
    this.jobs = new Map(before.jobs.map((job) => [job.id, job as Loose<JobFacts>]));
    this.parts = new Map(before.parts);
    this.people = new Map(before.people);
    this.revisions = new Map(before.revisions);
    this.undoneMilli = new Map(before.undoneMilli);
    this.gatherings = new Map(before.gatherings);
    this.firstPromises = new Map(before.firstPromises);
    this.parcels = new Map(beside.parcels);
    this.closures = [...before.closures];
    this.links = [...before.links];
    this.uses = [...before.uses];
    this.#away = new Map(before.away);
    this.#posts = [...before.posts];
  }

  facts(): BuildFacts {
    const byFirstDay = <T extends DayRange>(a: T, b: T) =>
      a.fromOn < b.fromOn ? -1 : a.fromOn > b.fromOn ? 1 : 0;
    const away = [...this.#away].filter(([, ranges]) => ranges.length > 0);
    return {
      ...this.before,
      ...this.build,
      ...this.#structure(),
      jobs: [...this.jobs.values()],
      people: this.people,
      revisions: this.revisions,
      undoneMilli: this.undoneMilli,
      firstPromises: this.firstPromises,
      links: this.links,
      posts: this.#posts,
      closures: this.closures.sort(byFirstDay),
      away: new Map(away.map(([id, ranges]) => [id, [...ranges].sort(byFirstDay)])),
      gatherings: new Map([...this.gatherings].sort(([, a], [, b]) => byFirstDay(a, b))),
    };
  }

  #structure() {
    if (!this.restructured) return { parts: this.parts };
    const uses = this.uses.filter(
      ({ parentId, childId }) => this.parts.has(parentId) && this.parts.has(childId),
    );
    const { parts, structure, tops, required } = graphOf([...this.parts.values()], uses);
    return { parts, uses, structure, tops, required: required() };
  }

  #job(id: number | null): Loose<JobFacts> | null {
    const job = id === null ? undefined : this.jobs.get(id);
    if (!job) return null;
    if (this.#own.has(job.id)) return job;
    this.#own.add(job.id);
    const own = { ...job, claims: job.claims.map((claim) => ({ ...claim })) };
    this.jobs.set(own.id, own);
    return own;
  }

  job(row: LogRow, change: Partial<JobFacts>): void {
    const job = this.#job(row.jobId);
    if (!job) return;
    // Notes of an act say more than the schedule knows of a job.
    for (const [name, value] of Object.entries(change)) {
      if (name in job && name !== 'claims') Object.assign(job, { [name]: value });
    }
  }

  /** Brings back what the act took back. */
  takeUp(row: LogRow, name: 'offeredAt' | 'heldAt' | 'firstApprovedAt'): void {
    const at = this.beside.takenBack.get(row.id);
    if (at !== undefined) this.job(row, { [name]: at });
  }

  claim(row: LogRow, claimId: number): ClaimFacts | null {
    return this.#job(row.jobId)?.claims.find(({ id }) => id === claimId) ?? null;
  }

  dropClaim(row: LogRow, claimId: number): void {
    const job = this.#job(row.jobId);
    if (job) job.claims = job.claims.filter(({ id }) => id !== claimId);
    this.firstPromises.delete(claimId);
  }

  handedBack(row: LogRow): void {
    const claim = this.claim(row, row.thingId!);
    if (claim) claim.backMilli -= row.milli ?? 0;
  }

  /** Changes the parcel lines of a claim, and what follows from them. */
  changeItems(row: LogRow, claimId: number, change: (items: readonly ItemNow[]) => readonly ItemNow[]): void {
    const items = change(this.#items.get(claimId) ?? this.beside.items.get(claimId) ?? []);
    this.#items.set(claimId, items);
    const claim = this.claim(row, claimId);
    if (!claim) return;
    claim.travellingMilli = 0;
    claim.arrivedMilli = 0;
    claim.shortMilli = 0;
    claim.lastSentAt = null;
    claim.lastArrivedAt = null;
    for (const { parcelId, milli, countedMilli } of items) {
      if (countedMilli === null) claim.travellingMilli += milli;
      else {
        claim.arrivedMilli += countedMilli;
        claim.shortMilli += milli - countedMilli;
      }
      const parcel = this.parcels.get(parcelId);
      claim.lastSentAt = later(claim.lastSentAt, parcel?.sentAt ?? null);
      claim.lastArrivedAt = later(claim.lastArrivedAt, parcel?.arrivedAt ?? null);
    }
  }

  dropParcel(id: number): void {
    const at = this.#postOf(id);
    if (at !== -1) this.#posts.splice(at, 1);
    this.parcels.delete(id);
  }

  unarrive(id: number): void {
    const at = this.#postOf(id);
    if (at !== -1) this.#posts[at] = { ...this.#posts[at]!, arrivedAt: null };
    const parcel = this.parcels.get(id);
    if (parcel) this.parcels.set(id, { ...parcel, arrivedAt: null });
  }

  #postOf(id: number): number {
    const parcel = this.parcels.get(id);
    if (!parcel) return -1;
    const { fromId, sentAt, arrivedAt } = parcel;
    return this.#posts.findIndex(
      (post) => post.personId === fromId && post.sentAt === sentAt && post.arrivedAt === arrivedAt,
    );
  }

  awayOf(personId: number): DayRange[] {
    const ranges = [...(this.#away.get(personId) ?? [])];
    this.#away.set(personId, ranges);
    return ranges;
  }

  person(id: number | null, change: { role?: string; active?: boolean }): void {
    const person = id === null ? undefined : this.people.get(id);
    if (person) this.people.set(id!, { ...person, ...change });
  }

  part(id: number | null, before: Notes): void {
    const part = id === null ? undefined : this.parts.get(id);
    if (!part) return;
    const known = Object.entries(before).filter(([name]) => name in part && name !== 'number');
    if (known.length === 0) return;
    this.parts.set(part.id, { ...part, ...Object.fromEntries(known) });
    this.restructured = true;
  }

  shelf(id: number | null, byMilli: number): void {
    const part = id === null ? undefined : this.parts.get(id);
    if (part) this.parts.set(part.id, { ...part, shelfMilli: part.shelfMilli + byMilli });
  }

  dropPart(id: number): void {
    this.parts.delete(id);
    this.restructured = true;
  }

  revisionsOf(partId: number): readonly RevisionFacts[] {
    return this.revisions.get(partId) ?? [];
  }

  revision(row: LogRow, change: Partial<RevisionFacts>): void {
    const partId = row.partId!;
    if (!this.revisions.has(partId)) return;
    const changed = this.revisionsOf(partId).map((one) =>
      one.id === row.thingId ? { ...one, ...change } : one,
    );
    this.revisions.set(partId, changed);
  }

  documentsOf(revisionId: number): Set<number> {
    let documents = this.#documents.get(revisionId);
    if (!documents) {
      documents = new Set(this.beside.documents.get(revisionId));
      this.#documents.set(revisionId, documents);
    }
    return documents;
  }
}

function later(a: string | null, b: string | null): string | null {
  if (a === null || b === null) return a ?? b;
  return a > b ? a : b;
}
