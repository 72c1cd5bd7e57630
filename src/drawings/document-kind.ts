/** What a document of a revision is for. */
export const DOCUMENT_KINDS = ['drawing', 'model', 'flat pattern', 'photo', 'note'] as const;
export type DocumentKind = (typeof DOCUMENT_KINDS)[number];
