import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import nunjucks from 'nunjucks';
import { dayWords } from '../day.ts';
import { projectRoot } from '../project-root.ts';
import { takeFlash } from './flash.ts';
import type { PageHead, Surroundings } from './types.ts';

/** The page templates, with autoescape on: nothing a person typed becomes markup. */
export function pageTemplates(): nunjucks.Environment {
  const templates = new nunjucks.Environment(
    new nunjucks.FileSystemLoader(join(projectRoot, 'views'), { noCache: false, watch: false }),
    { autoescape: true, trimBlocks: true, lstripBlocks: true },
  );
  templates.addFilter('day', (day: string | null, near?: string) => (day ? dayWords(day, near) : ''));
  templates.addFilter('json', (value: unknown) => JSON.stringify(value));
  return templates;
}

/** Gives replies their `page`: a view inside the layout, with who is signed in, where they are, and form tokens. */
export function addPages(
  app: FastifyInstance,
  surroundings: (request: FastifyRequest) => Surroundings | Promise<Surroundings>,
): void {
  const templates = pageTemplates();
  app.decorateReply(
    'page',
    function (this: FastifyReply, view: string, data: { page: PageHead } & Record<string, unknown>) {
      const { request } = this;
      const render = async () => {
        const around = await surroundings(request);
        const csrf = this.generateCsrf();
        const { page } = data;
        const html = templates.render(view, {
          ...data,
          build: around.build,
          asOf: around.asOf,
          titleBlock: data.titleBlock ?? around.titleBlock,
          nav: around.nav.map((entry) => ({ ...entry, current: entry.href === page.nav })),
          page: { ...page, sheet: page.sheet ?? page.title, path: request.url },
          me: request.person,
          flash: data.flash ?? takeFlash(request, this),
          csrf,
          once: () => randomUUID(),
        });
        this.header('cache-control', 'no-store').type('text/html; charset=utf-8');
        return html;
      };
      render().then(
        (html) => this.send(html),
        (fault) => this.send(fault),
      );
      return this;
    },
  );
}
