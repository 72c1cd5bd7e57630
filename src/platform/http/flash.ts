import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Flash } from './types.ts';

const NAME = 'farwright_word';

/** Leaves one sentence for the next page this browser is shown. */
export function sendFlash(reply: FastifyReply, flash: Flash): void {
  reply.setCookie(NAME, JSON.stringify(flash), {
    path: '/',
    httpOnly: true,
    sameSite: 'lax',
    signed: true,
    maxAge: 60,
  });
}

/** The sentence left for this page, taken away with it. */
export function takeFlash(request: FastifyRequest, reply: FastifyReply): Flash | null {
  const raw = request.cookies[NAME];
  if (!raw) return null;
  reply.clearCookie(NAME, { path: '/' });
  const { valid, value } = request.unsignCookie(raw);
  if (!valid || !value) return null;
  const flash = JSON.parse(value) as Flash;
  return { kind: flash.kind, text: String(flash.text) };
}
