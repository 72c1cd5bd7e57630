import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { PHOTO_LIMIT_BYTES, photosOf } from '../jobs/index.ts';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm, typedValues } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { shop } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { readUpload, type Upload } from '../platform/http/upload.ts';
import type { SmallPhoto } from '../platform/photo.ts';
import { found } from '../platform/refusal.ts';
import { readCheckPage } from './check-page.ts';
import { milliOf, pieces, uncheckedOf } from './check-rules.ts';
import { checkUnits } from './check-units.ts';
import { correctCheck } from './correct-check.ts';
import { ButtonForm, checkCorrectionForm, checkForm } from './forms.ts';
import { readLinePage } from './line-page.ts';
import { measuredOf } from './sampling.ts';
import { say } from './say.ts';
import { readLine } from './store.ts';
import { acceptWithSample, endSample, takeSample } from './take-sample.ts';

const NAV = '/receiving';

interface OfId {
  Params: { id: string };
}

/** The inspection at the bench, unit by unit, for lead and crew; samples; what was decided wrongly put right. */
export function inspectRoutes(app: FastifyInstance, context: Context): void {
  const { db, files } = context;
  const guard = { preHandler: shop };
  const person = (request: FastifyRequest) => found(request.person, 'Sign in first.');

  /** Shows the inspection of a line; with the form that came back, as it was typed. */
  async function showLine(
    request: FastifyRequest,
    reply: FastifyReply,
    lineId: number,
    wanted: number,
    forms: Record<string, FormState> = {},
  ) {
    const line = await readLinePage(db, lineId, wanted, person(request));
    const values = { gauge: line.lastGauge, quantity: line.waitingFigure };
    return reply.page('receiving/line.njk', {
      page: { title: `Inspect ${line.job.title}`, sheet: `Inspection, job ${line.job.id}`, nav: NAV },
      line,
      refused: forms.sample?.errors._form ?? '',
      forms: { one: freshForm(values), rest: freshForm(values), ...forms },
    });
  }

  /** Reads a form with photos; what is no photo is told at its field, with all that was typed. */
  async function withPhotos(
    request: FastifyRequest,
    reply: FastifyReply,
    again: (form: FormState, upload: Upload, to: FastifyReply) => Promise<FastifyReply>,
    then: (upload: Upload, photos: SmallPhoto[]) => Promise<FastifyReply>,
  ): Promise<FastifyReply> {
    const upload = await readUpload(request, files, PHOTO_LIMIT_BYTES);
    try {
      const { photos, error } = await photosOf(upload);
      if (!error) return await then(upload, photos);
      const form = { values: typedValues(upload.fields), errors: { photos: error } };
      return await again(form, upload, reply.code(422));
    } finally {
      await upload.discard();
    }
  }

  app.get<OfId & { Querystring: { unit?: string } }>('/receiving/lines/:id', guard, (request, reply) =>
    showLine(request, reply, rowId(request.params.id), rowId(request.query.unit)),
  );

  app.get<OfId & { Querystring: { no?: string } }>(
    '/receiving/lines/:id/piece',
    guard,
    async (request, reply) => {
      const lineId = rowId(request.params.id);
      await readLine(db.read, lineId);
      const unitNo = rowId(request.query.no?.trim());
      const check = await db.read.unitCheck.findFirst({ where: { itemId: lineId, unitNo } });
      const to = check ? `/receiving/checks/${check.id}` : `/receiving/lines/${lineId}?unit=${unitNo}`;
      return reply.redirect(to, 303);
    },
  );

  app.post<OfId>('/receiving/lines/:id/checks', guard, async (request, reply) => {
    const lineId = rowId(request.params.id);
    const { lengthUnit } = person(request);
    const { dimensions, job, sample, sampleState } = await readLine(db.read, lineId);
    const again = (form: FormState, { fields }: Upload, to: FastifyReply) =>
      showLine(request, to, lineId, rowId(fields.units), {
        [fields.form === 'rest' ? 'rest' : 'one']: form,
      });
    return withPhotos(request, reply, again, (upload, photos) =>
      formAct(context, request, reply, {
        schema: checkForm(dimensions, job.unit, lengthUnit, (no) => measuredOf(no, sample, sampleState)),
        body: upload.fields,
        async act(act, input) {
          const followJobId = await checkUnits(act, files, { lineId, ...input, photos }, lengthUnit);
          const { line, parcelId } = await readLine(act.tx, lineId);
          return { followJobId, parcelId, left: uncheckedOf(line) };
        },
        to: ({ left, parcelId }) =>
          left > 0 ? `/receiving/lines/${lineId}` : `/receiving/parcels/${parcelId}`,
        done: ({ left, followJobId }, { units, disposition }) =>
          [
            `${'unitNos' in units ? pieces(units.unitNos) : say(milliOf(units), job.unit)}: ${disposition}.`,
            followJobId ? `Job ${followJobId} makes it good.` : '',
            left > 0 ? `${say(left, job.unit)} to go.` : 'All of it is inspected.',
          ]
            .filter(Boolean)
            .join(' ')
            .replace(/^p/, 'P'),
        again: (form, to) => again(form, upload, to),
      }),
    );
  });

  /** A button about a line's sample; a refusal is told above the line. */
  const onSample = (
    name: string,
    work: (act: Act, lineId: number) => Promise<string>,
    to: (lineId: number) => string = (lineId) => `/receiving/lines/${lineId}`,
  ) =>
    app.post<OfId>(`/receiving/lines/:id/${name}`, guard, (request, reply) => {
      const lineId = rowId(request.params.id);
      return formAct(context, request, reply, {
        schema: ButtonForm,
        act: (act) => work(act, lineId),
        to: to(lineId),
        done: (words) => words,
        again: (form, again) => showLine(request, again, lineId, 0, { sample: form }),
      });
    });

  onSample('sample', async (act, lineId) => {
    await takeSample(act, lineId);
    return 'The sample is taken: measure each of its pieces whole.';
  });
  onSample('sample/end', async (act, lineId) => {
    await endSample(act, lineId);
    return 'All of them are measured.';
  });
  onSample('sample/accept', async (act, lineId) => {
    const count = await acceptWithSample(act, lineId);
    return `${count} ${count === 1 ? 'piece' : 'pieces'} accepted with the sample.`;
  });

  async function showCheck(request: FastifyRequest, reply: FastifyReply, checkId: number, form?: FormState) {
    const unit = await readCheckPage(db, checkId, person(request));
    const title = unit.isPieces
      ? `Piece ${unit.unitNo} of job ${unit.job.id}`
      : `Inspection of job ${unit.job.id}`;
    return reply.page('receiving/check.njk', {
      page: { title, nav: NAV },
      unit,
      form: form ?? freshForm(unit.typed),
    });
  }

  app.get<OfId>('/receiving/checks/:id', guard, (request, reply) =>
    showCheck(request, reply, rowId(request.params.id)),
  );

  app.post<OfId>('/receiving/checks/:id/correction', guard, async (request, reply) => {
    const checkId = rowId(request.params.id);
    const { lengthUnit } = person(request);
    const row = found(
      await db.read.unitCheck.findUnique({ where: { id: checkId } }),
      'There is no such inspection.',
    );
    const { dimensions, sample, sampleState } = await readLine(db.read, row.itemId);
    const again = (form: FormState, _upload: Upload, to: FastifyReply) =>
      showCheck(request, to, checkId, form);
    return withPhotos(request, reply, again, (upload, photos) =>
      formAct(context, request, reply, {
        schema: checkCorrectionForm(dimensions, lengthUnit, measuredOf(row.unitNo, sample, sampleState)),
        body: upload.fields,
        act: (act, input) => correctCheck(act, files, { checkId, ...input, photos }, lengthUnit),
        to: `/receiving/checks/${checkId}`,
        done: 'Corrected. What stood there before is kept.',
        again: (form, to) => again(form, upload, to),
      }),
    );
  });
}
