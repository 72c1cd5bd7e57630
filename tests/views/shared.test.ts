import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import nunjucks from 'nunjucks';
import { describe, expect, test } from 'vitest';

const viewsFolder = new URL('../../views', import.meta.url).pathname;
const staticFolder = new URL('../../src/platform/static', import.meta.url).pathname;
const env = new nunjucks.Environment(new nunjucks.FileSystemLoader(viewsFolder), { autoescape: true });

/** What a template text gives, with both macro files at hand as `f` and `p`. */
function rendered(template: string, context: object = {}): string {
  return env.renderString(
    `{% import 'shared/fields.njk' as f %}{% import 'shared/parts.njk' as p %}${template}`,
    context,
  );
}

describe('fields', () => {
  const form = {
    values: { nominal: '8,0"x', side: 'shaft', ways: ['letter'], class: 2, pieces: 0 },
    errors: { nominal: 'nominal: 8,0"x is not a number', _form: 'The revision was released meanwhile.' },
  };

  test('text keeps what was typed and ties hint and error to the box', () => {
    const html = rendered(`{{ f.text(form, 'nominal', 'Nominal', {hint: 'at 20 °C', prefix: 'new'}) }}`, {
      form,
    });
    expect(html).toContain('value="8,0&quot;x"');
    expect(html).toContain('aria-invalid="true" aria-describedby="f-new-nominal-error f-new-nominal-hint"');
    expect(html).toContain(
      '<span class="error" id="f-new-nominal-error">nominal: 8,0&quot;x is not a number</span>',
    );
    expect(html).toContain('<small class="hint" id="f-new-nominal-hint">at 20 °C</small>');
    expect(html).toContain('<label for="f-new-nominal">');
  });

  test('text never sends a password back', () => {
    const html = rendered(
      `{{ f.text({values: {word: 'secret'} }, 'word', 'Password', {type: 'password'}) }}`,
    );
    expect(html).toContain('type="password"');
    expect(html).not.toContain('secret');
  });

  test('number keeps a zero, and says its range where no hint is given', () => {
    const html = rendered(
      `{{ f.number(form, 'pieces', 'Pieces', {min: 0, max: 9, unit: 'mm', whole: true}) }}`,
      { form },
    );
    expect(html).toContain('value="0" inputmode="numeric"');
    expect(html).toContain('from 0 to 9 mm');
  });

  test('a form that is not there gives empty boxes', () => {
    expect(rendered(`{{ f.area(undefined, 'words', 'Words', {maxlength: 50}) }}`)).toMatch(/>\n<\/textarea>/);
  });

  test('problems links each sentence to its field, the form as a whole without a link', () => {
    const html = rendered(`{{ f.problems(form, {prefix: 'new'}) }}`, { form });
    expect(html).toContain('<a href="#f-new-nominal">');
    expect(html).toContain('<li>The revision was released meanwhile.</li>');
    expect(rendered(`{{ f.problems({errors: {} }) }}`).trim()).toBe('');
  });

  test('select, radio and checks mark what was chosen, numbers and words alike', () => {
    const options = [
      { value: 1, label: 'fine' },
      { value: 2, label: 'medium' },
    ];
    const select = rendered(`{{ f.select(form, 'class', 'Class', options, {empty: 'none'}) }}`, {
      form,
      options,
    });
    expect(select.match(/selected/g)).toHaveLength(1);
    expect(select).toContain('<option value="2" selected>medium</option>');
    const radio = rendered(`{{ f.radio(form, 'side', 'Side', ['hole', 'shaft']) }}`, { form });
    expect(radio).toContain('value="shaft" checked');
    expect(radio.match(/checked/g)).toHaveLength(1);
    const checks = rendered(`{{ f.checks(form, 'ways', 'Travels by', ['let', 'letter', 'parcel']) }}`, {
      form,
    });
    expect(checks.match(/checked/g)).toHaveLength(1);
    // a browser sends one ticked box as a word, not as a list; a part of that word is not ticked
    const one = rendered(
      `{{ f.checks({values: {ways: 'letter'} }, 'ways', 'Travels by', ['let', 'letter']) }}`,
    );
    expect(one).toContain('value="letter" checked');
    expect(one.match(/checked/g)).toHaveLength(1);
  });
});

describe('parts', () => {
  const strokes = (html: string) => html.match(/<i class="ln ln-[a-z]+"/g) ?? [];

  test('unitbar draws a stroke a piece and says the counts', () => {
    const html = rendered(
      `{{ p.unitbar([{kind: 'accepted', n: 2}, {kind: 'posted', n: 0}, {kind: 'claimed', n: 3}]) }}`,
    );
    expect(strokes(html)).toHaveLength(5);
    expect(html).toContain('aria-label="5 pieces: 2 accepted, 3 claimed"');
    expect(rendered(`{{ p.unitbar([{kind: 'open', n: 1}]) }}`)).toContain('aria-label="1 piece: 1 open"');
  });

  test('unitbar shares 24ths among the kinds when there are more pieces, and drops none', () => {
    const html = rendered(
      `{{ p.unitbar([{kind: 'accepted', n: 997}, {kind: 'posted', n: 1}, {kind: 'lost', n: 2}]) }}`,
    );
    const shares = [...html.matchAll(/ g(\d+)"/g)].map((found) => Number(found[1]));
    expect(shares).toEqual([21, 1, 1]);
    expect(html).toContain('1000 pieces: 997 accepted, 1 in the post, 2 lost or scrapped');
  });

  test('state gives each stage of a job a line of its own', () => {
    const stages = 'preparing,offered,promised,in work,in the post,to inspect,accepted,on hold,dropped'.split(
      ',',
    );
    const lines = stages.map((word) => /ln-([a-z]+)/.exec(rendered(`{{ p.state(word) }}`, { word }))?.[1]);
    expect(new Set(lines).size).toBe(stages.length);
  });

  test('cautions always carry the standing note', () => {
    expect(rendered(`{{ p.cautions(['Swarf is sharp.']) }}`)).toContain('licensed practice come first');
    expect(rendered(`{{ p.cautions([]) }}`).trim()).toBe('');
  });

  test('danger folds the form it is called with', () => {
    const html = rendered(
      `{% call p.danger('Drop the job', 'It leaves the board.') %}<button>Drop</button>{% endcall %}`,
    );
    expect(html).toMatch(
      /<details class="danger"><summary>Drop the job<\/summary>[\s\S]*<button>Drop<\/button>/,
    );
  });
});

describe('layout', () => {
  const page = { title: 'Board', path: '/board' };

  test('works before the first set-up and escapes what it is given', () => {
    const html = env.render('layout.njk', {
      page: { title: '<b>', path: '/' },
      build: null,
      me: null,
      nav: [],
    });
    expect(html).toContain('<title>&lt;b&gt; · Farwright</title>');
    expect(html).toContain('not set up yet');
    expect(html).not.toContain('hx-headers');
  });

  test('marks the current sheet, carries the token, says the notice and fills the title block', () => {
    const html = env.render('layout.njk', {
      page,
      csrf: 'abc',
      asOf: '25 Nov 2026',
      build: { name: 'Walk-in orrery' },
      me: { name: 'Ottilie', role: 'lead' },
      nav: [{ href: '/board', label: 'Board', current: true, count: 2 }],
      titleBlock: [{ label: 'Critical', value: '9 jobs', kind: 'num' }],
      flash: { kind: 'refused', text: 'Taken a moment ago.' },
    });
    expect(html).toContain(`hx-headers:inherited='{"x-csrf-token":"abc"}'`);
    expect(html).toContain('<a href="/board" aria-current="page">Board');
    expect(html).toContain('role="alert"><p><b>Refused.</b> Taken a moment ago.');
    expect(html).toContain('<dt>Critical</dt><dd class="num">9 jobs</dd>');
    expect(html).toContain('action="/sign-out"');
  });
});

test('no view carries an inline style, script or handler, which the content security policy would drop', () => {
  const views = readdirSync(viewsFolder, { recursive: true, encoding: 'utf8' }).filter((name) =>
    name.endsWith('.njk'),
  );
  expect(views.length).toBeGreaterThan(3);
  const offenders = views.filter((name) => {
    const text = readFileSync(join(viewsFolder, name), 'utf8').replace(/\{#[\s\S]*?#\}/g, '');
    return /\sstyle=|<style|\son[a-z]+=|hx-on|javascript:|<script(?![^>]*\ssrc=)/i.test(text);
  });
  expect(offenders).toEqual([]);
});

describe('the style sheet', () => {
  const css = readFileSync(join(staticFolder, 'farwright.css'), 'utf8');
  const schemes = [...css.matchAll(/:root \{([^}]*--paper[^}]*)\}/g)]
    .slice(0, 2)
    .map(
      (found) =>
        new Map([...found[1]!.matchAll(/--([a-z-]+): (#[0-9a-f]{3,6})/g)].map((hit) => [hit[1]!, hit[2]!])),
    );

  /** Relative luminance of WCAG 2.2, from a colour such as #1a2023 or #fff. */
  function luminance(colour: string): number {
    const digits = colour.length === 4 ? colour.slice(1).replace(/./g, '$&$&') : colour.slice(1);
    const [red, green, blue] = [0, 2, 4].map((start) => {
      const share = Number.parseInt(digits.slice(start, start + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red! + 0.7152 * green! + 0.0722 * blue!;
  }

  function contrast(one: string, other: string): number {
    const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (high! + 0.05) / (low! + 0.05);
  }

  // WCAG 2.2, success criterion 1.4.3 (AA): 4.5 to 1 for text
  test.each(['ink', 'soft', 'need'])('%s can be read on every ground, light and dark', (text) => {
    expect(schemes).toHaveLength(2);
    for (const scheme of schemes)
      for (const ground of ['paper', 'sheet', 'need-bg', 'field'])
        expect(
          contrast(scheme.get(text)!, scheme.get(ground)!),
          `${text} on ${ground}`,
        ).toBeGreaterThanOrEqual(4.5);
  });

  test('stacks the rows of tables on screens alone: on paper they stay tables', () => {
    const media = css.split(/^(?=@media)/m).filter((block) => block.includes('table.stack tr'));
    expect(media.map((block) => block.split(' {')[0])).toEqual(['@media screen and (max-width: 48rem)']);
  });

  test('stays under 12,000 bytes as it is sent, compressed', () => {
    expect(gzipSync(readFileSync(join(staticFolder, 'farwright.css'))).length).toBeLessThan(12_000);
  });
});
