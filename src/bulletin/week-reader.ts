import { createHash } from 'node:crypto';
import type { FastifyRequest } from 'fastify';
import type { Context } from '../platform/context.ts';
import { isDay } from '../platform/day.ts';
import { found, NotFound } from '../platform/refusal.ts';
import type { Draft } from './draft.ts';
import { type Frozen, readSections } from './frozen.ts';
import { readPeople, toldFrozen } from './published.ts';
import {
  type BuildWeek,
  type BulletinPorts,
  type DraftOfWeek,
  readBuildWeek,
  readDraft,
  readWeeks,
} from './store.ts';
import { storedText } from './stored-text.ts';
import { type ToldBulletin, toldBulletin } from './told.ts';
import type { Week } from './week.ts';

export const NO_WEEK = 'There is no bulletin of this week.';

type Stored = Awaited<ReturnType<Context['db']['read']['bulletin']['findUnique']>>;

/** A week as a page opens it. */
export interface OpenWeek {
  week: Week;
  build: BuildWeek;
  stored: Stored;
}

/** A week that is not published: what the lead wrote, and what is computed of it now. */
export interface LiveWeek extends OpenWeek {
  text: ReturnType<typeof storedText>;
  draft: DraftOfWeek;
  /** with the lead's words and without the lines left out: as it would be published now */
  told: ToldBulletin;
  people: Awaited<ReturnType<typeof readPeople>>;
}

/** Opens weeks for pages. */
export function weekReader(context: Context, ports: BulletinPorts) {
  const { db } = context;

  /** @throws NotFound  no day, no closing day of a week, a week to come */
  async function open(request: FastifyRequest): Promise<OpenWeek> {
    const { week: until } = request.params as { week: string };
    if (!isDay(until)) throw new NotFound(NO_WEEK);
    const build = await readBuildWeek(context);
    const week = readWeeks(context, build).find((one) => one.until === until);
    return {
      week: found(week, NO_WEEK),
      build,
      stored: await db.read.bulletin.findUnique({ where: { week: until } }),
    };
  }

  /** @throws NotFound  as open, and where the week is published already */
  async function live(request: FastifyRequest): Promise<LiveWeek> {
    return readLive(await open(request));
  }

  async function readLive(opened: OpenWeek): Promise<LiveWeek> {
    const text = storedText(opened.stored);
    const draft = await readDraft(context, ports, opened.week, opened.build, text.thanks);
    const people = await readPeople(db.read);
    const omitted = new Set(text.omitted);
    const shown: Draft = {
      ...draft,
      sections: draft.sections.map((section) => ({
        ...section,
        own: text.own[section.key] ?? '',
        lines: section.lines.filter(({ key }) => !omitted.has(key)),
      })),
    };
    const told = toldBulletin(shown, { ...text, corrections: [] }, opened.week, people);
    return { ...opened, text, draft, told, people };
  }

  /** A week as the public reads it, or would read it: frozen where it is published, else as it stands now. */
  async function told(opened: OpenWeek): Promise<ToldBulletin> {
    const { stored, week } = opened;
    if (!stored?.publishedAt) return (await readLive(opened)).told;
    const frozen = JSON.parse(found(stored.frozen, NO_WEEK)) as Frozen;
    return toldFrozen(
      frozen,
      readSections(stored.sections).corrections,
      week.until,
      await readPeople(db.read),
    );
  }

  return { open, live, readLive, told };
}

export type WeekReader = ReturnType<typeof weekReader>;

/**
 * A mark of what a draft says: another one once anything was added to it. Why the finish moved is left out: it is worked
 * out anew all the time, and by the same facts.
 */
export function seenMark({ sections, thanks, finishOn }: Draft): string {
  const seen = sections
    .filter(({ key }) => key !== 'finish')
    .map(({ lines }) => lines.map(({ key, words }) => [key, words]));
  return createHash('sha256')
    .update(JSON.stringify([seen, thanks, finishOn]))
    .digest('base64url')
    .slice(0, 22);
}
