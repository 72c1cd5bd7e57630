import markdownIt from 'markdown-it';

/** Addresses that the lead's words may lead to: the web, mail, and pages of this build. */
const TRUSTED = /^(https?:\/\/|mailto:|\/(?!\/)|#)/i;

/**
 * The lead's Markdown. HTML in it is shown as text; a link that is no plain address stays text; a picture from elsewhere
 * becomes a link to it, so that reading a bulletin tells no other server of it.
 */
const markdown = markdownIt({ html: false, linkify: true, breaks: true });
markdown.validateLink = (url) => TRUSTED.test(url.trim());
markdown.renderer.rules.image = (tokens, at) => {
  const { escapeHtml } = markdown.utils;
  const token = tokens[at]!;
  const address = String(token.attrGet('src') ?? '');
  return `<a href="${escapeHtml(address)}">${escapeHtml(token.content || address)}</a>`;
};

type Token = ReturnType<typeof markdown.parse>[number];

/**
 * Markdown as HTML.
 *
 * @param baseUrl  makes links to pages of this build absolute, for readers elsewhere
 * @param under    the level of the heading it stands under: its own headings come below that
 */
export function markdownHtml(text: string, baseUrl = '', under = 1): string {
  const html = markdown
    .render(text)
    // HTML that was typed is text by now: these are headings of Markdown.
    .replace(/<(\/?)h([1-6])>/g, (_tag, close, level) => `<${close}h${Math.min(6, Number(level) + under)}>`);
  return baseUrl ? html.replaceAll('<a href="/', `<a href="${markdown.utils.escapeHtml(baseUrl)}/`) : html;
}

/**
 * Markdown as plain text: paragraphs apart, list items on lines of their own.
 *
 * @param links  'bare': an address stands in brackets behind its words; 'none': left out, as when it is read aloud
 */
export function markdownText(text: string, links: 'bare' | 'none', baseUrl = ''): string {
  const lines: string[] = [];
  const ordered: (number | null)[] = [];
  for (const token of markdown.parse(text, {})) {
    if (token.type === 'ordered_list_open') ordered.push(Number(token.attrGet('start') ?? 1));
    else if (token.type === 'bullet_list_open') ordered.push(null);
    else if (token.type.endsWith('_list_close')) ordered.pop();
    else if (token.type === 'list_item_open') {
      const number = ordered.at(-1);
      lines.push(`\u0000${links === 'none' ? '' : number == null ? '- ' : `${number}. `}`);
      if (number != null) ordered[ordered.length - 1] = number + 1;
    } else if (token.type === 'inline') {
      const said = inlineText(token.children ?? [], links, baseUrl);
      if (lines.at(-1)?.startsWith('\u0000')) lines[lines.length - 1] = lines.at(-1)!.slice(1) + said;
      else lines.push(said);
      if (ordered.length === 0) lines.push('');
    } else if (token.type === 'fence' || token.type === 'code_block') lines.push(token.content.trimEnd(), '');
    if (ordered.length === 0 && token.type.endsWith('_list_close')) lines.push('');
  }
  return lines
    .join('\n')
    .replaceAll('\u0000', '')
    .replace(/\n{3,}/g, '\n\n')
    .trim();
}

function inlineText(tokens: readonly Token[], links: 'bare' | 'none', baseUrl: string): string {
  let said = '';
  let open: { from: number; address: string } | null = null;
  for (const token of tokens) {
    if (token.type === 'text' || token.type === 'code_inline') said += token.content;
    else if (token.type === 'softbreak' || token.type === 'hardbreak') said += '\n';
    else if (token.type === 'image') {
      said += withAddress(token.content, String(token.attrGet('src') ?? ''), links, baseUrl);
    } else if (token.type === 'link_open') {
      open = { from: said.length, address: String(token.attrGet('href') ?? '') };
    } else if (token.type === 'link_close' && open) {
      said = said.slice(0, open.from) + withAddress(said.slice(open.from), open.address, links, baseUrl);
      open = null;
    }
  }
  return said;
}

const isAddress = (said: string) => /^(https?:\/\/|www\.)\S+$|^\S+@\S+\.\S+$/i.test(said);

function withAddress(said: string, address: string, links: 'bare' | 'none', baseUrl: string): string {
  if (links === 'none') return isAddress(said) ? '' : said;
  const whole = address.startsWith('/') ? `${baseUrl}${address}` : address.replace(/^mailto:/i, '');
  return isAddress(said) || !said ? whole : `${said} (${whole})`;
}

/** Text as it stands in HTML: < as &lt;. */
export const escapeHtml = (text: string): string => markdown.utils.escapeHtml(text);
