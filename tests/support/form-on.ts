/** The fields of a form on a page, as a browser would send them unchanged. */
export function formOn(text: string, action: string): Record<string, string> {
  const form = text.slice(text.indexOf(`action="${action}"`)).split('</form>')[0]!;
  const fields: Record<string, string> = {};
  for (const [, name, rest] of form.matchAll(/<input[^>]* name="([^"]+)"([^>]*)>/g)) {
    const value = /value="([^"]*)"/.exec(rest!)?.[1] ?? '';
    if (/type="(checkbox|radio)"/.test(rest!) && !/ checked/.test(rest!)) continue;
    fields[name!] = value.replaceAll('&quot;', '"').replaceAll('&amp;', '&');
  }
  for (const [, name, options] of form.matchAll(/<select[^>]* name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g)) {
    const chosen =
      /<option value="([^"]*)" selected/.exec(options!) ?? /<option value="([^"]*)"/.exec(options!);
    fields[name!] = (chosen?.[1] ?? '').replaceAll('&amp;', '&');
  }
  const { _csrf: _, _once: __, ...rest } = fields;
  return rest;
}
