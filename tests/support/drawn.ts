import nunjucks from 'nunjucks';

const views = new URL('../../views', import.meta.url).pathname;
const templates = new nunjucks.Environment(new nunjucks.FileSystemLoader(views), { autoescape: true });

/** What a macro of a view draws, a line for each piece, without empty ones: kept as a file and compared. */
export function drawn(view: string, call: string, context: object): string {
  const text = templates.renderString(`{% import '${view}' as v %}{{ v.${call} }}`, context);
  return `${text
    .split('\n')
    .map((line) => line.trim())
    .filter(Boolean)
    .join('\n')}\n`;
}
