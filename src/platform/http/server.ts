import { join } from 'node:path';
import compress from '@fastify/compress';
import cookie from '@fastify/cookie';
import csrf from '@fastify/csrf-protection';
import formbody from '@fastify/formbody';
import helmet from '@fastify/helmet';
import multipart from '@fastify/multipart';
import rateLimit from '@fastify/rate-limit';
import session, { type FastifySessionOptions } from '@fastify/session';
import statics from '@fastify/static';
import Fastify, {
  type FastifyBaseLogger,
  type FastifyInstance,
  type FastifyReply,
  type FastifyRequest,
} from 'fastify';
import { projectRoot } from '../project-root.ts';
import { dataSecret } from '../secret.ts';
import type { Settings } from '../settings.ts';
import { addFaults } from './faults.ts';
import { addLibraries } from './libraries.ts';
import { addPages } from './pages.ts';
import { CALCULATE_PATH } from './paths.ts';
import type { SignedIn, Surroundings } from './types.ts';

export const UPLOAD_LIMIT_BYTES = 50 * 1024 * 1024;
export const SESSION_DAYS = 30;

export interface ServerParts {
  settings: Settings;
  sessionStore: NonNullable<FastifySessionOptions['store']>;
  personOf(personId: number): SignedIn | null;
  surroundings(request: FastifyRequest): Surroundings | Promise<Surroundings>;
  logger: FastifyBaseLogger | boolean | { level: string };
}

/** A server with everything that belongs to no domain: security, sessions, forms, files, pages, faults. */
export async function buildServer(parts: ServerParts): Promise<FastifyInstance> {
  const { settings } = parts;
  const secure = settings.baseUrl.startsWith('https:');
  const app = Fastify({
    ...(typeof parts.logger === 'object' && 'info' in parts.logger
      ? { loggerInstance: parts.logger as FastifyBaseLogger }
      : { logger: parts.logger as boolean | { level: string } }),
    trustProxy: secure ? 'loopback' : false,
    bodyLimit: 2 * 1024 * 1024,
    forceCloseConnections: true,
    // An address that can't even be read meets no hook and no session: its answer is made of nothing else.
    frameworkErrors: (_fault, request, reply) => {
      const text = 'This address can not be read.';
      const problem = { type: 'about:blank', title: 'Not understood', status: 400, detail: text };
      const plain = reply as unknown as FastifyReply;
      if (request.url.startsWith('/api/')) {
        plain.code(400).type('application/problem+json').send(JSON.stringify(problem));
      } else plain.code(400).type('text/plain; charset=utf-8').send(text);
    },
  }) as unknown as FastifyInstance;

  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
        baseUri: ["'none'"],
        manifestSrc: ["'self'"],
      },
    },
    hsts: secure,
    crossOriginEmbedderPolicy: false,
    referrerPolicy: { policy: 'same-origin' },
  });
  await app.register(compress, {
    threshold: 1024,
    encodings: ['br', 'gzip'],
    brotliOptions: { params: { 1: 4 } },
  });
  await app.register(formbody, { bodyLimit: 512 * 1024 });
  await app.register(multipart, {
    limits: { fileSize: UPLOAD_LIMIT_BYTES + 1, files: 20, fields: 60, fieldSize: 64 * 1024, parts: 80 },
  });
  const secret = dataSecret(settings.dataDir, 'cookies');
  await app.register(cookie, { secret });
  await app.register(session, {
    secret,
    cookieName: 'farwright_session',
    store: parts.sessionStore,
    saveUninitialized: false,
    rolling: true,
    cookie: { path: '/', httpOnly: true, sameSite: 'lax', secure, maxAge: SESSION_DAYS * 86_400_000 },
  });
  await app.register(csrf, {
    cookieOpts: { path: '/', httpOnly: true, sameSite: 'lax', secure, signed: true },
    getToken: (request: FastifyRequest) =>
      (request.body as { _csrf?: string } | undefined)?._csrf ??
      (request.headers['x-csrf-token'] as string | undefined) ??
      (request.query as { _csrf?: string })._csrf,
  });
  if (settings.rateLimit) {
    await app.register(rateLimit, {
      global: true,
      max: 600,
      timeWindow: '1 minute',
      allowList: (request: FastifyRequest) => request.url.startsWith('/static/'),
    });
  }
  const staticRoot = join(projectRoot, 'src', 'platform', 'static');
  await app.register(statics, { root: staticRoot, prefix: '/static/', maxAge: '1h' });
  addLibraries(app);

  app.decorateRequest('person', null);
  app.addHook('preValidation', async (request) => {
    const { personId } = request.session;
    request.person = personId ? parts.personOf(personId) : null;
  });
  app.addHook('preValidation', (request, reply, done) => {
    if (request.method === 'GET' || request.method === 'HEAD' || request.url.startsWith(CALCULATE_PATH))
      return done();
    if (request.routeOptions.config.fromOutside) return done();
    // A second guard beside the token: a browser says where a form came from.
    const { origin, host } = request.headers;
    if (origin && origin !== 'null' && hostOf(origin) !== host) {
      return done(Object.assign(new Error('another origin'), { code: 'FST_CSRF_ORIGIN', statusCode: 403 }));
    }
    app.csrfProtection(request, reply, done);
  });
  addPages(app, parts.surroundings);
  addFaults(app);
  return app;
}

function hostOf(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}
