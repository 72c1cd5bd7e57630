import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { FastifyInstance } from 'fastify';

const require = createRequire(import.meta.url);
const folderOf = (file: string) => dirname(require.resolve(file));

/**
 * Serves the libraries that pages load, from where they are installed: nothing is bundled, nothing comes from elsewhere.
 * The static plugin must be registered.
 */
export function addLibraries(app: FastifyInstance): void {
  const serve = (address: string, name: string, folder: string) =>
    app.get(`/static/${address}`, (_request, reply) => reply.sendFile(name, folder));

  const htmx = folderOf('htmx.org/dist/htmx.min.js');
  serve('htmx.min.js', 'htmx.min.js', htmx);
  serve('hx-sse.js', 'hx-sse.min.js', join(htmx, 'ext'));

  const three = folderOf('three');
  serve('three/three.module.js', 'three.module.js', three);
  serve('three/three.core.js', 'three.core.js', three);
  // A bare name would need an import map, which is an inline script that the Content-Security-Policy refuses.
  let controls: string | null = null;
  app.get('/static/three/OrbitControls.js', (_request, reply) => {
    controls ??= readFileSync(
      require.resolve('three/examples/jsm/controls/OrbitControls.js'),
      'utf8',
    ).replace("from 'three'", "from './three.module.js'");
    return reply.header('cache-control', 'public, max-age=3600').type('text/javascript').send(controls);
  });

  const pdf = folderOf('pdfjs-dist/build/pdf.min.mjs');
  serve('pdf/pdf.mjs', 'pdf.min.mjs', pdf);
  serve('pdf/pdf.worker.mjs', 'pdf.worker.min.mjs', pdf);
}
