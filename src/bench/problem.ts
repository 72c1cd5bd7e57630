/** One thing that does not fit, and where: `activities[3].duration`, counted from 0; '' is the whole request. */
export interface Fault {
  path: string;
  message: string;
}

/** What can be wrong with a request, by the name of its place on the bench page. */
export const problemKinds = {
  'does-not-fit': { status: 400, title: 'The request does not fit' },
  'no-such-place': { status: 404, title: 'There is nothing here' },
  'no-such-calculator': { status: 404, title: 'There is no such calculator' },
  'other-method': { status: 405, title: 'This is asked by another method' },
  'too-large': { status: 413, title: 'The request is too large' },
  'not-json': { status: 415, title: 'The request is not JSON' },
  'not-multipart': { status: 415, title: 'The request is no form with a file' },
  'makes-no-sense': { status: 422, title: 'The request fits but makes no sense' },
  'too-many': { status: 429, title: 'Too many requests' },
  fault: { status: 500, title: 'A fault of ours' },
  busy: { status: 503, title: 'Too much work at present' },
} as const;

export type ProblemKind = keyof typeof problemKinds;

export const PROBLEM_TYPE = 'application/problem+json';

/** A problem document as RFC 9457 has it; `type` leads to the bench page. Members never replace the standard ones. */
export function problemDocument(kind: ProblemKind, detail: string, members: Record<string, unknown> = {}) {
  const { status, title } = problemKinds[kind];
  return { ...members, type: `/bench#${kind}`, title, status, detail };
}

const MOST_PATH = 300;

/** The path of a value in the JSON that was sent: `activities[3].predecessors[0].id`, `demands["two words"]`. */
export function pathText(path: readonly PropertyKey[]): string {
  let text = '';
  for (const step of path) {
    const name = String(step);
    if (typeof step === 'number') text += `[${step}]`;
    else if (/^[A-Za-z_$][\w$]*$/.test(name)) text += text ? `.${name}` : name;
    else text += `[${JSON.stringify(clipped(name, MOST_PATH))}]`;
  }
  return clipped(text, MOST_PATH);
}

/** The text with no more characters than the limit, dots where it was cut. */
export function clipped(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most - 1)}…`;
}
