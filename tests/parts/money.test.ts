import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatMoney, isCurrency, parseMoney } from '../../src/parts/money.ts';
import { anyText } from './any-text.ts';

describe('parseMoney', () => {
  test.each([
    ['3.45', 'EUR', 345, 'EUR'],
    ['$3.45 ', 'USD', 345, 'USD'],
    ['$3.45', 'CAD', 345, 'CAD'],
    ['$3.45', 'EUR', 345, 'USD'],
    ['US$ 3.45', 'CAD', 345, 'USD'],
    ['12,50 €', 'USD', 1250, 'EUR'],
    ['€12', 'USD', 1200, 'EUR'],
    ['EUR 1 234.50', 'USD', 123_450, 'EUR'],
    ['1.234,50 eur', 'USD', 123_450, 'EUR'],
    ['1,234.50', 'USD', 123_450, 'USD'],
    ['CHF 5.-', 'EUR', 500, 'CHF'],
    ['5,--', 'EUR', 500, 'EUR'],
    ['Fr. 5.50', 'EUR', 550, 'CHF'],
    ['£ 0.99', 'EUR', 99, 'GBP'],
    ['¥1500', 'EUR', 150_000, 'JPY'],
    ['¥15', 'CNY', 1500, 'CNY'],
    ['25 kr', 'SEK', 2500, 'SEK'],
    ['4,50 zł', 'EUR', 450, 'PLN'],
    ['0', 'EUR', 0, 'EUR'],
    ['1/2', 'EUR', 50, 'EUR'],
  ])('reads %j, %s by default', (text, byDefault, cents, currency) => {
    expect(parseMoney(text, { currency: byDefault })).toMatchObject({
      ok: true,
      cents,
      currency,
      exact: true,
    });
  });

  test.each([
    ['', 'empty'],
    ['call us', 'not-a-number'],
    ['$', 'not-a-number'],
    ['3.4.5', 'not-a-number'],
    ['-3.45', 'negative'],
    ['$-3.45', 'negative'],
    ['(3.45)', 'negative'],
    ['3.456', 'ambiguous'],
    ['1,234', 'ambiguous'],
    ['0.0345', 'too-fine'],
    ['25 kr', 'unknown-currency'],
    ['25 xyz', 'unknown-currency'],
    ['€ 5 USD', 'unknown-currency'],
    ['10000000.01', 'too-large'],
  ])('refuses %j as %s', (text, code) => {
    const reading = parseMoney(text, { currency: 'EUR' });
    expect(reading).toMatchObject({ ok: false, code });
    expect(reading.ok ? '' : reading.sentence).toMatch(/^.{10,}\.?$/);
  });

  test('rounds what is finer than a hundredth when asked to, and says so', () => {
    const options = { currency: 'EUR', mark: 'dot', round: true } as const;
    expect(parseMoney('0.0345', options)).toMatchObject({
      ok: true,
      cents: 3,
      currency: 'EUR',
      exact: false,
    });
    expect(parseMoney('0.035', options)).toMatchObject({ ok: true, cents: 4, currency: 'EUR', exact: false });
    expect(parseMoney('3.456', options)).toMatchObject({
      ok: true,
      cents: 346,
      currency: 'EUR',
      exact: false,
    });
  });

  test('reads back every amount that formatMoney writes', () => {
    const currencies = fc.constantFrom('EUR', 'USD', 'JPY', 'SEK', 'KWD');
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1_000_000_000 }), currencies, (cents, currency) => {
        const reading = parseMoney(formatMoney(cents, currency), { currency: 'GBP', mark: 'dot' });
        expect(reading).toMatchObject({ ok: true, cents, currency, exact: true });
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  test('never throws, whatever is typed', () => {
    fc.assert(
      fc.property(fc.oneof(anyText, fc.stringMatching(/^[-$€0-9., ()kr]{0,12}$/)), (text) => {
        const money = parseMoney(text, { currency: 'EUR' });
        expect(money.ok ? money.cents >= 0 : money.sentence !== '').toBe(true);
      }),
      { seed: 3, numRuns: 500 },
    );
  });
});

test('formatMoney writes hundredths, and none where the currency has none', () => {
  expect(formatMoney(1250, 'EUR')).toBe('12.50 EUR');
  expect(formatMoney(5, 'EUR')).toBe('0.05 EUR');
  expect(formatMoney(1_234_567_89, 'EUR')).toBe('1\u202f234\u202f567.89 EUR');
  expect(formatMoney(150_000, 'JPY')).toBe('1500 JPY');
  expect(formatMoney(150_050, 'JPY')).toBe('1500.50 JPY');
  expect(formatMoney(100, '???')).toBe('1.00 ???');
});

test('isCurrency knows ISO 4217 codes in capitals', () => {
  expect(isCurrency('EUR')).toBe(true);
  expect(isCurrency('eur')).toBe(false);
  expect(isCurrency('XXQ')).toBe(false);
});
