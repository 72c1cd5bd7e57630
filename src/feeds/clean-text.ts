// What neither format may carry: characters outside of XML 1.0's Char (section 2.2), and of those the control characters
// that RFC 5545 (section 3.1) keeps out of text. Line breaks and tabs stay. A half of a surrogate pair has no UTF-8 form.
const outside = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff]/g;
const halves = /[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** Text without what can't be written in a feed or a calendar; line breaks as \n. */
export function cleanText(text: string): string {
  return text.replace(/\r\n?/g, '\n').replace(outside, '').replace(halves, '\ufffd');
}

const entities: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** Text as HTML that shows it. */
export function htmlText(text: string): string {
  return cleanText(text).replace(/[&<>"]/g, (sign) => entities[sign]!);
}
