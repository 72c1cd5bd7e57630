import type { FastifyInstance } from 'fastify';
import type { JobTimes } from '../jobs/index.ts';
import type { Context } from '../platform/context.ts';
import { dayIn } from '../platform/day.ts';
import { readForm } from '../platform/http/form.ts';
import { SpanForm } from './forms.ts';
import { addMonths, firstDayOf, lastDayOf, type Month, monthNumber, monthOf, monthWords } from './months.ts';
import { acceptedView, assembliesView, countriesView, finishView, hoursView, promisesView } from './view.ts';
import { yearOf } from './year.ts';
import { yearReader } from './year-reader.ts';

interface Span {
  from: Month;
  until: Month;
}

/** GET /year, for everyone: what a year, or any months, came to in pictures with their tables. */
export function yearRoutes(
  app: FastifyInstance,
  { db, clock }: Pick<Context, 'db' | 'clock'>,
  ports: { times: JobTimes },
): void {
  const readYear = yearReader(db);
  const zone = db.hot.prepare<[], string>('SELECT timeZone FROM Build WHERE id = 1').pluck();

  app.get('/year', (request, reply) => {
    const today = dayIn(zone.get() ?? 'UTC', clock.now());
    const thisMonth = monthOf(today);
    const form = SpanForm(thisMonth);
    const read = readForm(form, request.query);
    const usual = { from: addMonths(thisMonth, -11), until: thisMonth };
    const span: Span = read.fits ? read.input : usual;
    if (!read.fits) reply.code(422);
    const facts = readYear({ from: firstDayOf(span.from), until: lastDayOf(span.until) });
    const year = yearOf(facts, span, today, (jobId) => ports.times.of(jobId)?.needByOn ?? null);
    const role = request.person?.role;
    const isInside = role === 'lead' || role === 'crew';
    const isEmpty =
      year.needed === 0 &&
      facts.units.length === 0 &&
      facts.reports.length === 0 &&
      facts.estimates.length === 0;
    return reply.page('year/year.njk', {
      page: {
        title: 'A year in pictures',
        sheet: `${monthWords(span.from)} to ${monthWords(span.until)}`,
        nav: '/year',
      },
      form: read.fits ? { values: { ...span }, errors: {} } : read.form,
      span: {
        from: monthWords(span.from),
        until: monthWords(span.until),
        months: year.months.length,
        running: span.until === thisMonth,
        ...neighbours(span, monthOf(facts.createdOn), thisMonth),
      },
      isEmpty,
      accepted: year.needed === 0 ? null : acceptedView(year),
      finish: finishView(year),
      promises: promisesView(year),
      hours: hoursView(year, isInside),
      assemblies: assembliesView(year, isInside),
      countries: countriesView(year, isInside),
    });
  });
}

/** The spans before and after this one, as long as it, and all there is; '' where there is none. */
function neighbours({ from, until }: Span, first: Month, thisMonth: Month) {
  const length = monthNumber(until) - monthNumber(from) + 1;
  const address = (a: Month, b: Month) => `/year?from=${a}&until=${b}`;
  const after = addMonths(until, length);
  return {
    earlier: from > first ? address(addMonths(from, -length), addMonths(until, -length)) : '',
    later: until < thisMonth ? address(addMonths(from, length), after < thisMonth ? after : thisMonth) : '',
  };
}
