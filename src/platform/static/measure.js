// Says beside a measured value how it stands to its limits, while it is typed. The page works without this file: the
// server judges what is sent, by the same rules, and it alone decides.

const MM_PER_INCH = 25.4;
const LARGEST = 1_000_000;
const TYPED = /^(?<figures>[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(?<mark>mm|in|inch|inches|"|°|deg)?$/i;

const withoutDust = (value) => Number(value.toFixed(12)) + 0;
const plain = (value) =>
  value
    .toFixed(9)
    .replace(/\.?0+$/, '')
    .replace(/^-0$/, '0');

/** An amount in the drawing's unit, and in brackets in the page's where that is another. */
function amount(by, { unit, shown }) {
  if (unit === 'deg') return [`${plain(by)}°`, ''];
  if (unit === shown) return [`${plain(by)} ${unit}`, ''];
  const converted = shown === 'in' ? by / MM_PER_INCH : by * MM_PER_INCH;
  const places = Math.max(6, 2 - Math.floor(Math.log10(Math.abs(converted) || 1)));
  return [`${plain(by)} ${unit}`, ` (${plain(Number(converted.toFixed(Math.min(places, 9))))} ${shown})`];
}

/** The typed value in the drawing's unit, null for nothing typed, or the sentence that says what does not fit. */
function read(text, { unit, shown }) {
  const typed = text.trim();
  if (typed === '') return null;
  const match = TYPED.exec(typed);
  if (!match) return `"${typed.slice(0, 30)}" is not a measured value: type figures, like 24.98.`;
  const figures = match.groups.figures.replace(',', '.');
  if ((figures.split('.')[1] ?? '').length > 9) return 'At most nine digits after the point.';
  const value = Number(figures);
  if (Math.abs(value) > LARGEST) return `At most ${LARGEST}; this is ${plain(value)}.`;
  const mark = (match.groups.mark ?? '').toLowerCase();
  const isAngle = mark === '°' || mark === 'deg';
  if (unit === 'deg') return mark === '' || isAngle ? value : 'This is an angle: type it in degrees.';
  if (isAngle) return 'This is a length, not an angle.';
  const given = mark === '' ? shown : mark === 'mm' ? 'mm' : 'in';
  if (given === unit) return value;
  return withoutDust(given === 'in' ? value * MM_PER_INCH : value / MM_PER_INCH);
}

/** What the value may really be: in the other unit of length, or with its point in the wrong place. */
function question(value, { unit, nominal, lower, upper }) {
  if (value <= 0 || nominal <= 0) return '';
  const low = lower ?? 0.95 * nominal;
  const high = upper ?? 1.05 * nominal;
  if (value >= low && value <= high) return '';
  const room = Math.max(high - low, nominal / 100);
  const fits = (put) => put >= low - room && put <= high + room;
  if (unit !== 'deg') {
    if (fits(value * MM_PER_INCH)) return 'A 25.4th of what the drawing says: is it in inches?';
    if (fits(value / MM_PER_INCH))
      return '25.4 times what the drawing says: is it in mm, or turned from inches twice?';
  }
  return fits(value * 10) || fits(value / 10)
    ? 'Ten times off what the drawing says: is the point in its place?'
    : '';
}

/**
 * How a typed value stands to its dimension.
 *
 * @param text       as it is typed
 * @param dimension  unit (mm, in, deg) and limits of the drawing (null where it has none), shown: the page's length unit
 * @returns          words; wrong: whether they need attention; question: what is asked before it is taken
 */
export function standing(text, dimension) {
  const value = read(text, dimension);
  if (value === null) return { words: '', wrong: false, question: '' };
  if (typeof value === 'string') return { words: value, wrong: true, question: '' };
  const { lower, upper } = dimension;
  const asked = question(value, dimension);
  if (lower === null || upper === null)
    return { words: 'noted; the drawing names no limits', wrong: false, question: asked };
  if (value >= lower && value <= upper) return { words: 'inside the limits', wrong: false, question: asked };
  const above = value > upper;
  const [by, also] = amount(withoutDust(above ? value - upper : lower - value), dimension);
  const words = `${by} ${above ? 'above the upper' : 'below the lower'} limit${also}`;
  return { words, wrong: true, question: asked };
}

const numberOr = (text) => (text === undefined || text === '' ? null : Number(text));

/** Shows how the value in a box stands; the tick that it is really so appears only when something is asked. */
function show(box) {
  const { unit, shown, nominal, lower, upper } = box.dataset;
  const stands = standing(box.value, {
    unit,
    shown,
    nominal: Number(nominal),
    lower: numberOr(lower),
    upper: numberOr(upper),
  });
  const line = document.getElementById(box.dataset.verdict);
  if (line) {
    const words = document.createElement(stands.wrong || stands.question ? 'b' : 'span');
    words.textContent = [stands.words, stands.question].filter(Boolean).join('. ');
    if (stands.wrong || stands.question) words.className = 'need-text';
    line.replaceChildren(words);
  }
  if (stands.wrong) box.setAttribute('aria-invalid', 'true');
  else box.removeAttribute('aria-invalid');
  const sure = document.getElementById(box.dataset.sure);
  if (!sure) return;
  sure.hidden = !stands.question;
  // What was confirmed was another figure.
  if (sure.dataset.for !== box.value) {
    for (const tick of sure.querySelectorAll('input')) tick.checked = false;
    sure.dataset.for = box.value;
  }
}

if (typeof document !== 'undefined') {
  document.addEventListener('input', (event) => {
    if (event.target.matches?.('[data-verdict]')) show(event.target);
  });
  for (const box of document.querySelectorAll('[data-verdict]')) {
    const sure = document.getElementById(box.dataset.sure);
    if (sure) sure.dataset.for = box.value;
    // What the server has said of a form that came back stands until something else is typed.
    const said = document.getElementById(box.dataset.verdict)?.textContent.trim();
    if (box.value !== '' && !said) show(box);
  }
}
