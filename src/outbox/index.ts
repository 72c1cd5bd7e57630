export { HOOK_KINDS, LETTER_KINDS } from './kinds.ts';
