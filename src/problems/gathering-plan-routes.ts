import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import type { Context } from '../platform/context.ts';
import { type FormState, freshForm } from '../platform/http/form.ts';
import { formAct } from '../platform/http/form-act.ts';
import { signedIn } from '../platform/http/guards.ts';
import { rowId } from '../platform/http/row-id.ts';
import { type AgendaSources, readAgendaPage } from './agenda-reader.ts';
import { BringForm, PackingKeyForm, PackingLineForm } from './gathering-forms.ts';
import { gatheringTabs } from './gathering-tabs.ts';
import { readMoment } from './moment.ts';
import {
  bringToGathering,
  dropPackingLine,
  packForGathering,
  unpackForGathering,
  writePackingLine,
} from './packing-acts.ts';
import { readPackingPage } from './packing-reader.ts';

interface Named {
  Params: { id: string };
  Querystring: { line?: string };
}

/** Agenda and packing list of a gathering: for lead and crew, and for who comes. */
export function gatheringPlanRoutes(app: FastifyInstance, context: Context, sources: AgendaSources): void {
  const navOf = (request: FastifyRequest) => (request.person?.role === 'maker' ? '/gatherings' : '/problems');

  app.get<Named>('/gatherings/:id/agenda', { preHandler: signedIn }, async (request, reply) => {
    const id = rowId(request.params.id);
    const agenda = await readAgendaPage(sources, id, request.person!, readMoment(context));
    return reply.page('problems/gathering-agenda.njk', {
      page: { title: `Agenda of ${agenda.title}`, sheet: `Gathering ${id}, agenda`, nav: navOf(request) },
      id,
      agenda,
      tabs: gatheringTabs(id, 'agenda'),
      isShop: request.person!.role !== 'maker',
    });
  });

  const packingPage = async (
    request: FastifyRequest<Named>,
    reply: FastifyReply,
    { line, button, bring }: { line?: FormState; button?: FormState; bring?: FormState } = {},
  ) => {
    const id = rowId(request.params.id);
    const packing = await readPackingPage(sources, id, request.person!, readMoment(context));
    const isShop = request.person!.role !== 'maker';
    return reply.page('problems/gathering-packing.njk', {
      page: {
        title: `Packing list of ${packing.title}`,
        sheet: `Gathering ${id}, packing`,
        nav: navOf(request),
      },
      packing,
      tabs: gatheringTabs(id, 'packing'),
      isShop,
      personId: request.person!.id,
      lineForm: line ?? freshForm({ personId: isShop ? '' : request.person!.id }),
      bringForm: bring ?? chosenLine(packing, request.query.line),
      refused:
        line?.errors._form ?? bring?.errors._form ?? (button && Object.values(button.errors)[0]) ?? null,
    });
  };

  app.get<Named>('/gatherings/:id/packing', { preHandler: signedIn }, (request, reply) =>
    packingPage(request, reply),
  );

  app.post<Named>('/gatherings/:id/packing/lines', { preHandler: signedIn }, (request, reply) => {
    const gatheringId = rowId(request.params.id);
    return formAct(context, request, reply, {
      schema: PackingLineForm,
      act: (act, input) => writePackingLine(act, { ...input, gatheringId }),
      to: (key) => `/gatherings/${gatheringId}/packing#${anchorOf(key)}`,
      done: 'On the list.',
      again: (line, again) => packingPage(request, again, { line }),
    });
  });

  /** A button on a line: what it is called is told to the act, so that the log and a later list can name it. */
  function lineAct<S extends z.ZodType<{ key: string }>>(
    way: string,
    schema: S,
    done: string,
    work: (act: Act, of: z.output<S> & { gatheringId: number; words: string }) => Promise<void>,
  ) {
    app.post<Named>(`/gatherings/:id/packing/${way}`, { preHandler: signedIn }, async (request, reply) => {
      const gatheringId = rowId(request.params.id);
      const { wordsOf } = await readPackingPage(sources, gatheringId, request.person!, readMoment(context));
      return formAct(context, request, reply, {
        schema,
        act: (act, input) => work(act, { ...input, gatheringId, words: wordsOf(input.key) }),
        to: (_result, { key }) => `/gatherings/${gatheringId}/packing#${anchorOf(key)}`,
        done,
        again: (form, again) =>
          packingPage(
            request,
            again,
            way === 'bring' && request.person?.role !== 'maker' ? { bring: form } : { button: form },
          ),
      });
    });
  }
  lineAct('pack', PackingKeyForm, 'Packed.', packForGathering);
  lineAct('unpack', PackingKeyForm, 'Not packed.', unpackForGathering);
  lineAct('bring', BringForm, 'Written down.', bringToGathering);
  lineAct('drop', PackingKeyForm, 'Off the list.', dropPackingLine);
}

/** The form that says who brings a line, filled for the one that was asked for. */
function chosenLine({ groups }: Awaited<ReturnType<typeof readPackingPage>>, key: unknown): FormState {
  const line = groups.flatMap(({ lines }) => lines).find((one) => one.key === key);
  return freshForm(line ? { key: line.key, personId: line.bringerId ?? '' } : {});
}

/** The id of a line on its page. */
function anchorOf(key: string): string {
  return key.replace(/[^a-z0-9]+/g, '-');
}
