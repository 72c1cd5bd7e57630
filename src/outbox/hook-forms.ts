import { z } from 'zod';
import { line, tick } from '../platform/http/fields.ts';
import { isForbidden, literalHost } from './far-address.ts';
import { HOOK_KINDS } from './kinds.ts';
import { several } from './mail-forms.ts';

const address = line(500, 'Type the address that is to be told.').superRefine((value, check) => {
  if (!value) return;
  const url = URL.canParse(value) ? new URL(value) : null;
  if (!url || !/^https?:$/.test(url.protocol) || !url.hostname) {
    check.addIssue('Type a whole address, like https://example.org/told.');
  } else if (url.username || url.password) {
    check.addIssue('Leave user and password out of the address: calls are signed instead.');
  } else if (isForbidden(literalHost(url) ?? '')) {
    check.addIssue('This address leads to a single machine’s own link, where nothing is told.');
  }
});

const kinds = several(HOOK_KINDS).superRefine((value, check) => {
  if (value.length === 0) check.addIssue('Choose at least one thing to be told.');
});

/** Another address to be told. */
export const HookForm = z
  .object({ url: address, kinds, note: line(120), open: tick })
  .superRefine((hook, check) => {
    if (URL.canParse(hook.url) && new URL(hook.url).protocol === 'http:' && !hook.open) {
      const message =
        'What goes to an address with http can be read by everyone on the way. Use https, or tick this if it lies in your own network.';
      check.addIssue({ code: 'custom', path: ['open'], message });
    }
  });

/** What a hook is told, changed. `seen` is what the page showed. */
export const HookChangeForm = z.object({ kinds, note: line(120), seen: line(1000) });
