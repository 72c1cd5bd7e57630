import type { Role } from '../acts.ts';

/** The person behind a request, as every page and guard needs them. */
export interface SignedIn {
  id: number;
  name: string;
  role: Role;
  lengthUnit: 'mm' | 'in';
}

export interface Flash {
  kind: 'done' | 'refused' | 'note';
  text: string;
}

/** What a page says of itself to the layout. */
export interface PageHead {
  title: string;
  /** the sheet's name in the title block, where it says more than the title */
  sheet?: string;
  /** the navigation entry it belongs to: its path, '/board' */
  nav?: string;
}

/** What the layout asks of the domains; app.ts wires it. */
export interface Surroundings {
  build: { name: string } | null;
  nav: { href: string; label: string; count?: number }[];
  titleBlock: { label: string; value: string; kind?: 'num' }[];
  asOf: string;
}

declare module 'fastify' {
  interface FastifyRequest {
    person: SignedIn | null;
  }
  interface FastifyContextConfig {
    /** what is sent there needs no page of ours before it: its address is known to those alone who may send it */
    fromOutside?: boolean;
  }
  interface FastifyReply {
    /** Answers with a whole page: views/NAME with the layout's data beside the page's own. */
    page(view: string, data: { page: PageHead } & Record<string, unknown>): FastifyReply;
  }
  interface Session {
    personId?: number;
    /** read from the store, so it must be there still when it is saved */
    kept?: boolean;
  }
}
