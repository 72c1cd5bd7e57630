import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { type FileReader, type ModelReply, modelReply, type ReceivedModel } from '../models/index.ts';
import type { Context } from '../platform/context.ts';
import { type FileStore, type ReceivedFile, TooLarge } from '../platform/files.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { CALCULATE_PATH } from '../platform/http/paths.ts';
import { NotComputable } from '../platform/not-computable.ts';
import { WorkersBusy } from '../platform/workers.ts';
import { figure } from './figures.ts';
import { answerFault, problem, told } from './json-routes.ts';
import { jsonText } from './json-text.ts';
import { modelCalculator } from './model.ts';
import type { Fault } from './problem.ts';
import { typedNumber } from './typed.ts';

const { name, bounds } = modelCalculator;
const PATH = `/bench/${name}`;
const mostDensity = 100_000;
const limited = { config: { rateLimit: { max: bounds.perMinute, timeWindow: '1 minute' } } };

/** What came with a request: one file, not kept, and what does not fit. */
interface Sent {
  file: (ReceivedFile & ReceivedModel) | null;
  density: string;
  faults: Fault[];
  tooLarge: boolean;
}

/** The calculator that takes a file: its JSON answer, and its page. The file is gone when the answer is given. */
export function modelRoutes(app: FastifyInstance, context: Context, reader: FileReader): void {
  app.register(async (api) => {
    api.setErrorHandler(answerFault);
    const path = `${CALCULATE_PATH}/${name}`;
    // Before anything of the body is read.
    const onlyForms = async (request: FastifyRequest, reply: FastifyReply) => {
      if (/^multipart\/form-data\s*;/i.test(request.headers['content-type'] ?? '')) return;
      reply.header('accept-post', 'multipart/form-data');
      return problem(reply, 'not-multipart', 'Send the file with Content-Type: multipart/form-data.');
    };
    api.post(path, { ...limited, onRequest: onlyForms }, async (request, reply) => {
      const asked = await question(request, context.files, reader);
      if ('answer' in asked) return reply.header('cache-control', 'no-store').send(asked.answer);
      if ('sentence' in asked) return problem(reply, 'makes-no-sense', asked.sentence);
      const { faults, tooLarge } = asked.sent;
      if (tooLarge) return problem(reply, 'too-large', 'The file may have 50 MB.');
      const [first] = faults;
      const detail = `${first?.path ? `${first.path}: ` : ''}${first?.message}`;
      return problem(reply, 'does-not-fit', detail, { errors: faults });
    });
    told(api, path, ['GET', 'PUT', 'PATCH', 'DELETE', 'OPTIONS'], (_request, reply) => {
      reply.header('allow', 'POST');
      return problem(
        reply,
        'other-method',
        `Send the file by POST as multipart/form-data. For people there is a page: ${PATH}`,
      );
    });
  });
  pageRoutes(app, context, reader);
}

type Asked = { sent: Sent } | { sent: Sent; answer: ModelReply } | { sent: Sent; sentence: string };

/** Receives a form, and reads its file if all of it fits. The file is gone when this returns. */
async function question(request: FastifyRequest, files: FileStore, reader: FileReader): Promise<Asked> {
  const sent = await received(request, files);
  try {
    const density = densityOf(sent);
    if (sent.tooLarge) return { sent };
    if (!sent.file && sent.faults.length === 0)
      sent.faults.push({ path: 'file', message: 'a file is missing' });
    if (sent.faults.length > 0 || !sent.file) return { sent };
    return { sent, answer: await modelReply(reader, sent.file, density) };
  } catch (fault) {
    if (fault instanceof NotComputable) return { sent, sentence: fault.message };
    throw fault;
  } finally {
    await sent.file?.discard();
  }
}

/** Receives the file and the fields, taking no more than a request may hold. */
async function received(request: FastifyRequest, files: FileStore): Promise<Sent> {
  const sent: Sent = { file: null, density: '', faults: [], tooLarge: false };
  const wrong = (path: string, message: string) => sent.faults.push({ path: path.slice(0, 80), message });
  let densities = 0;
  try {
    const how = {
      limits: { fileSize: bounds.bytes, files: 2, fields: 20, fieldSize: 1000, parts: 22 },
      throwFileSizeLimit: false,
    };
    for await (const part of request.parts(how)) {
      const field = part.fieldname;
      if (part.type === 'field') {
        if (field === '_csrf' || field === '_once') continue;
        if (field !== 'density')
          wrong(field, field === 'file' ? 'this is not a file' : 'there is no such field');
        else if (densities++ > 0) wrong(field, 'it is there more than once');
        else sent.density = String(part.value).trim();
        continue;
      }
      if (field !== 'file' || sent.file || sent.tooLarge) {
        part.file.resume();
        wrong(field, field === 'file' ? 'one file at a time' : 'there is no such field');
        continue;
      }
      try {
        const file = await files.receive(part.file, bounds.bytes);
        sent.file = Object.assign(file, { filename: part.filename ?? '' });
        if (file.bytes === 0 && part.filename) wrong('file', 'the file is empty');
        else if (file.bytes === 0) wrong('file', 'a file is missing');
      } catch (fault) {
        if (!(fault instanceof TooLarge)) throw fault;
        part.file.resume();
        sent.tooLarge = true;
      }
    }
  } catch (fault) {
    await sent.file?.discard();
    // A disk that is full is a fault; a form that is torn is not one of ours.
    if ((fault as NodeJS.ErrnoException).syscall) throw fault;
    sent.file = null;
    sent.faults = [{ path: '', message: 'the request could not be read as a form with one file' }];
  }
  return sent;
}

function densityOf({ density, faults }: Sent): number | null {
  if (density === '') return null;
  const value = typedNumber(density);
  if (value > 0 && value <= mostDensity) return value;
  faults.push({ path: 'density', message: `it is a number of kg/m³ above 0, at most ${mostDensity}` });
  return null;
}

function pageRoutes(app: FastifyInstance, context: Context, reader: FileReader): void {
  const show = (reply: FastifyReply, form: FormState, answer: ModelReply | null = null) =>
    reply.page('bench/model.njk', {
      page: { title: modelCalculator.title, nav: '/bench' },
      calculator: {
        ...modelCalculator,
        path: PATH,
        post: `${CALCULATE_PATH}/${name}`,
        host: new URL(context.settings.baseUrl).host,
      },
      form,
      result: answer && shown(answer),
      json: answer && jsonText(answer),
    });

  app.get(PATH, (_request, reply) => show(reply, freshForm()));

  app.post(PATH, limited, async (request, reply) => {
    const values: Record<string, string> = {};
    const again = (status: number, errors: Record<string, string>) =>
      show(reply.code(status), { values, errors });
    if (!request.isMultipart()) return again(422, { file: 'Choose a file.' });
    try {
      const asked = await question(request, context.files, reader);
      const { density, faults, tooLarge } = asked.sent;
      values.density = density;
      if ('answer' in asked) return await show(reply, freshForm(values), asked.answer);
      if ('sentence' in asked) return await again(422, { file: asked.sentence });
      if (tooLarge) return await again(422, { file: 'The file is larger than 50 MB: that is the most.' });
      return await again(422, Object.fromEntries(faults.map(fieldFault)));
    } catch (fault) {
      if (!(fault instanceof WorkersBusy)) throw fault;
      reply.header('retry-after', String(fault.retryAfterSeconds));
      return again(503, { _form: 'Other files are being read. Send it again in a few seconds.' });
    }
  });
}

function fieldFault({ path, message }: Fault): [field: string, sentence: string] {
  const sentence =
    message === 'a file is missing'
      ? 'Choose a file.'
      : `${message.charAt(0).toUpperCase()}${message.slice(1)}.`;
  return [path === 'file' || path === 'density' ? path : '_form', sentence];
}

/** The reply in words. */
function shown({
  format,
  unit,
  size,
  volume,
  area,
  mass,
  solids,
  parts,
  layers,
  cutLength,
  closed,
  warnings,
  source,
}: ModelReply) {
  const rows: { label: string; value: string; unit?: string }[] = [];
  const row = (label: string, value: string | null, inUnit?: string) => {
    if (value !== null) rows.push({ label, value, ...(inUnit ? { unit: inUnit } : {}) });
  };
  const number = (value: number | null, digits = 3) => (value === null ? null : figure(value, digits));
  if (size) row('Size', [size.x, size.y, size.z].map((side) => figure(side, 3)).join(' × '), 'mm');
  row('Volume', number(volume, 1), 'mm³');
  row('Surface', number(area, 1), 'mm²');
  row('Mass', number(mass, 4), 'kg');
  row('Solids', solids === null ? null : String(solids));
  row('Cut length', number(cutLength, 2), 'mm');
  row('Layers', layers?.join(', ') ?? null);
  row('Closed', closed === null ? null : closed ? 'yes' : 'no');
  row('Unit of the file', unit ?? 'none');
  return { format, rows, parts: parts ?? [], warnings, source };
}
