import request from 'supertest';
import { startApp } from './app.ts';

type Reply = request.Response;

/** Asks calculators by JSON, as a program would: no cookies, no sign-in. */
export interface Asking {
  /** a value as JSON, or text sent as it is */
  ask(name: string, body: unknown): Promise<Reply>;
  /** any other way */
  send(method: 'get' | 'put' | 'patch' | 'delete' | 'post', path: string): request.Test;
}

/** The program before it is set up; calculators answer all the same. */
export async function startAsking(options: { rateLimit?: boolean } = {}): Promise<Asking> {
  const { app } = await startApp({ empty: true, ...options });
  const send: Asking['send'] = (method, path) => request(app.server)[method](path);
  return {
    send,
    ask: async (name, body) =>
      send('post', `/api/v1/calculate/${name}`)
        .set('content-type', 'application/json')
        .send(typeof body === 'string' ? body : JSON.stringify(body)),
  };
}
