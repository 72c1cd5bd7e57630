/** The paper of a person's country: Letter in North America, A4 elsewhere (common practice, no source). */
export function paperOf(country: string): 'A4' | 'LETTER' {
  return ['US', 'CA', 'MX'].includes(country) ? 'LETTER' : 'A4';
}

/** Labels on a page of them. */
export const LABELS_ACROSS = 3;
export const LABELS_DOWN = 8;
/** Labels of one document: more pieces than that are not labelled one by one. */
export const MOST_LABELS = 480;
