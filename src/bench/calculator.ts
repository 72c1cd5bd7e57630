import type { z } from 'zod';
import { clipped, type Fault, pathText } from './problem.ts';
import type { Typed, TypedValues } from './typed.ts';

const MOST_FAULTS = 100;
const MOST_CHARACTERS = 400;

/** A material and its linear expansion in 1e-6 per K, to be chosen from. */
export interface MaterialChoice {
  key: string;
  name: string;
  family: string;
  expansion: number;
}

/** What a page can offer beside its own words. */
export interface Shop {
  materials: MaterialChoice[];
}

/** What the page makes of a request and its reply: plain values for the view. */
export type Shown = Record<string, unknown>;

/** A request as it was typed, and which field each place of it came from. */
export interface TypedRequest {
  request: unknown;
  /** the field of a path such as `contributors[2].plus`; without it the field has the name the path begins with */
  fieldOf?(path: string): string;
}

/** The page of a calculator: a form for people, which makes the same request as the JSON interface takes. */
export interface BenchPage<Request, Reply> {
  /** `get`: the result has an address to share; `post`: what is typed is too long for one */
  method: 'get' | 'post';
  /** what the fields hold at first, and what they hold in the example */
  fresh?: TypedValues;
  example: TypedValues;
  /** reads the fields; complaints about them go to `typed` */
  read(typed: Typed, shop: Shop): TypedRequest;
  /** the field to blame when a request makes no sense; without it the form as a whole */
  blame?(sentence: string, values: TypedValues): string;
  /** what the form needs beside its values: choices, number of rows */
  form?(values: TypedValues, shop: Shop): Shown;
  show(request: Request, reply: Reply, values: TypedValues): Shown;
}

/** What a calculator may be given and how often. */
export interface Bounds {
  bytes: number;
  perMinute: number;
  seconds: number;
  /** from how many bytes of request on it is worked out in a thread of its own */
  threadFrom: number;
}

/** What came of reading a request: what it means, or what does not fit. */
export type Read = { fits: true; request: unknown } | { fits: false; faults: Fault[]; count: number };

/** An entry of the list: one gives a route of the JSON interface and a page of the bench. */
export interface Calculator {
  name: string;
  /** the question it helps with: entries with the same one stand together */
  question: string;
  /** what it is called on the bench */
  title: string;
  /** what it is for, in one line */
  line: string;
  /** the shapes of request and reply, and what a caller has to know */
  takes: string;
  gives: string;
  notes: string[];
  /** what the results rest on */
  source: string;
  bounds: Bounds;
  /** a request for the example of the page */
  example: unknown;
  read(body: unknown): Read;
  /** @throws NotComputable  a request that fits but makes no sense */
  answer(request: unknown): object;
  /** a reply that says what it rests on, unless it says so itself */
  sourced(reply: object): object;
  page: BenchPage<unknown, unknown>;
}

export interface CalculatorParts<S extends z.ZodType, Reply extends object>
  extends Pick<Calculator, 'name' | 'question' | 'title' | 'line' | 'takes' | 'gives' | 'notes' | 'source'> {
  bounds?: Partial<Bounds>;
  request: S;
  example: z.input<S>;
  compute(request: z.output<S>): Reply;
  page: BenchPage<z.output<S>, Reply>;
}

const ordinary: Bounds = { bytes: 2 * 1024 * 1024, perMinute: 120, seconds: 20, threadFrom: 8 * 1024 };

/** Makes an entry of the list from a zod request, a pure function and a page that know one another's types. */
export function calculator<S extends z.ZodType, Reply extends object>(
  parts: CalculatorParts<S, Reply>,
): Calculator {
  const { request: schema, compute, page, bounds, ...words } = parts;
  const sourced = (reply: object) => ('source' in reply ? reply : { ...reply, source: words.source });
  return {
    ...words,
    bounds: { ...ordinary, ...bounds },
    read(body) {
      const read = schema.safeParse(body);
      return read.success ? { fits: true, request: read.data } : misfit(read.error.issues);
    },
    answer: (request) => sourced(compute(request as z.output<S>)),
    sourced,
    page: {
      ...page,
      show: (request, reply, values) => page.show(request as z.output<S>, reply as Reply, values),
    },
  };
}

function misfit(issues: z.core.$ZodIssue[]): Read {
  // a field too many is named by its own place
  const places = issues.flatMap((issue) => {
    const keys = issue.code === 'unrecognized_keys' ? issue.keys.slice(0, MOST_FAULTS) : [];
    return keys.length
      ? keys.map((key) => ({ path: [...issue.path, key], message: issue.message }))
      : [{ path: issue.path, message: issue.message }];
  });
  const told = places.slice(0, MOST_FAULTS);
  return {
    fits: false,
    faults: told.map(({ path, message }) => ({
      path: pathText(path),
      message: clipped(message, MOST_CHARACTERS),
    })),
    count: places.length,
  };
}
