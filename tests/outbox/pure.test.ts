import { createHmac } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isForbidden, isNear, literalHost, seemsNear } from '../../src/outbox/far-address.ts';
import {
  gatheringMovedLetter,
  oneLine,
  queryLetter,
  quoted,
  revisionLetter,
} from '../../src/outbox/letter-text.ts';
import { CALL_DAYS, DAY_MS, LETTER_DAYS, nextTry, waitAfter } from '../../src/outbox/next-try.ts';
import {
  type ClaimToRemind,
  type ReminderFacts,
  reminderKey,
  remindersDue,
  toldIn,
} from '../../src/outbox/reminders.ts';
import { signatureHeaders, writtenKey } from '../../src/outbox/signature.ts';
import { outcomeOf, serverWords } from '../../src/outbox/smtp-answer.ts';

describe('waitAfter and nextTry', () => {
  it('doubles from a minute to six hours', () => {
    expect([1, 2, 3, 4].map((tries) => waitAfter(tries) / 60_000)).toEqual([1, 2, 4, 8]);
    expect(waitAfter(9)).toBe(256 * 60_000);
    expect(waitAfter(10)).toBe(6 * 3_600_000);
    expect(waitAfter(1000)).toBe(6 * 3_600_000);
  });

  it('give up after the days there are, and not before', () => {
    for (const days of [LETTER_DAYS, CALL_DAYS]) {
      const created = new Date('2026-03-02T08:00:00Z');
      let now = created;
      let tries = 0;
      for (;;) {
        tries += 1;
        const next = nextTry(tries, created, now, days);
        if (!next) break;
        expect(next.getTime()).toBeGreaterThan(now.getTime());
        now = next;
      }
      // The last try lies within the last six hours of the time there is.
      const lasted = now.getTime() - created.getTime();
      expect(lasted).toBeLessThanOrEqual(days * DAY_MS);
      expect(lasted).toBeGreaterThan(days * DAY_MS - 6 * 3_600_000);
    }
  });

  it('take a longer wait that was asked for, up to six hours', () => {
    const at = new Date(0);
    expect(nextTry(1, at, at, 3, 10 * 60_000)?.getTime()).toBe(10 * 60_000);
    expect(nextTry(1, at, at, 3, 1000)?.getTime()).toBe(60_000);
    expect(nextTry(1, at, at, 3, 90 * DAY_MS)?.getTime()).toBe(6 * 3_600_000);
  });
});

describe('outcomeOf', () => {
  const to = 'imre@example.org';

  // RFC 5321, 4.2.1: 4yz is transient, 5yz permanent; 4.2.3: 421 closes the service.
  it.each([
    [{ stage: 'opening', code: 'ECONNECTION', originalCode: 'ECONNREFUSED' }, 'rest'],
    [{ stage: 'opening', code: 'EDNS' }, 'rest'],
    [{ stage: 'opening', code: 'EAUTH', responseCode: 535, response: '535 no' }, 'rest'],
    [{ stage: 'envelope', code: 'EENVELOPE', responseCode: 550, command: 'MAIL FROM' }, 'rest'],
    [{ stage: 'envelope', code: 'EENVELOPE', responseCode: 552, command: 'MAIL FROM' }, 'refused'],
    [{ stage: 'envelope', code: 'EENVELOPE', responseCode: 550, command: 'RCPT TO' }, 'refused'],
    [{ stage: 'envelope', code: 'EENVELOPE', responseCode: 450, command: 'RCPT TO' }, 'wait'],
    [{ stage: 'envelope', code: 'ECONNECTION', responseCode: 421 }, 'rest'],
    [{ stage: 'envelope', code: 'ECONNECTION' }, 'rest'],
    [{ stage: 'envelope', code: 'EENVELOPE' }, 'refused'],
    [{ stage: 'text', code: 'EMESSAGE', responseCode: 554 }, 'refused'],
    [{ stage: 'text', code: 'EMESSAGE', responseCode: 451 }, 'wait'],
    [{ stage: 'text', code: 'ECONNECTION' }, 'in doubt'],
    [{ stage: 'text', code: 'ETIMEDOUT' }, 'in doubt'],
    [{ stage: 'text', code: 'STOPPED' }, 'in doubt'],
  ] as const)('%j is %s', (fault, kind) => {
    const outcome = outcomeOf(fault, to);
    expect(outcome.kind).toBe(kind);
    expect(outcome.words).toMatch(/^[A-Z].*\.|^[A-Z].*In its words/);
  });

  it('never tries a letter again by itself once its text has begun to leave and no answer came', () => {
    fc.assert(
      fc.property(fc.record({ code: fc.string(), command: fc.string(), message: fc.string() }), (fault) => {
        expect(outcomeOf({ ...fault, stage: 'text' }, to).kind).toBe('in doubt');
      }),
    );
  });

  it('keeps the server’s words on one line and without the address', () => {
    expect(serverWords('550 <Imre@Example.org>\r\n\u202eunknown', to)).toBe('550 <the address> unknown');
    expect(outcomeOf({ stage: 'envelope', responseCode: 550, response: `550 ${to} is full` }, to).words).toBe(
      'The mail server refused. In its words: 550 the address is full',
    );
  });
});

describe('signatureHeaders', () => {
  const key = Buffer.from('c8f1a2b3c4d5e6f708192a3b4c5d6e7f', 'hex');

  it('signs id, timestamp and body', () => {
    const at = new Date('2026-03-02T08:00:00.900Z');
    const headers = signatureHeaders(key, 'call_1', at, '{"a":"ø"}');
    // Computed apart: from the written key as a receiver gets it, over the bytes as they arrive.
    const secret = Buffer.from(writtenKey(key).slice('whsec_'.length), 'base64');
    const content = Buffer.concat([Buffer.from('call_1.1772438400.'), Buffer.from('{"a":"ø"}', 'utf8')]);
    const expected = createHmac('sha256', secret).update(content).digest('base64');
    expect(headers).toEqual({
      'webhook-id': 'call_1',
      'webhook-timestamp': '1772438400',
      'webhook-signature': `v1,${expected}`,
    });
  });

  it('gives the worked example of the specification’s own libraries (from memory)', () => {
    const shared = Buffer.from('MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw', 'base64');
    const at = new Date(1_614_265_330_000);
    expect(signatureHeaders(shared, 'msg_p5jXN8AQM9LWM0D4loKWxJek', at, '{"test": 2432232314}')).toEqual({
      'webhook-id': 'msg_p5jXN8AQM9LWM0D4loKWxJek',
      'webhook-timestamp': '1614265330',
      'webhook-signature': 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
    });
    expect(writtenKey(shared)).toBe('whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw');
  });
});

describe('far addresses', () => {
  it.each([
    '169.254.169.254',
    'fe80::1',
    '::ffff:169.254.1.1',
    '::ffff:a9fe:101',
    '::169.254.169.254',
    '64:ff9b::a9fe:a9fe',
    '2002:a9fe:a9fe::1',
    'fd00:ec2::254',
    '224.0.0.1',
    'ff02::1',
  ])('%s is never called', (address) => expect(isForbidden(address)).toBe(true));
  it.each([
    '192.168.1.4',
    '127.0.0.1',
    '8.8.8.8',
    '2001:db8::1',
    '169.253.255.255',
    '::ffff:8.8.8.8',
    '64:ff9b::808:808',
  ])('%s may be', (address) => expect(isForbidden(address)).toBe(false));
  it('sees through other ways of writing an address', () => {
    expect(literalHost(new URL('http://2852039166/'))).toBe('169.254.169.254');
    expect(isForbidden(literalHost(new URL('http://[::ffff:169.254.169.254]/'))!)).toBe(true);
    expect(literalHost(new URL('https://example.org'))).toBeNull();
  });
  it('knows one’s own network', () => {
    expect(['10.1.2.3', '172.31.0.1', '192.168.0.9', '::1', 'fd12::1', '127.9.9.9'].every(isNear)).toBe(true);
    expect(['172.32.0.1', '9.9.9.9', '2606::1'].some(isNear)).toBe(false);
    expect(seemsNear(new URL('http://board.local/x'))).toBe(true);
    expect(seemsNear(new URL('https://example.org/x'))).toBe(false);
  });
});

describe('letter texts', () => {
  const base = 'https://build.example.org';

  it('let no line break or unseen character into a subject, whatever somebody typed', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 400 }), (title) => {
        const { subject } = queryLetter({ id: 7, title: `${title}\r\nBcc: all@example.org` }, 'x', base);
        expect(subject).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e]/);
        expect([...subject].length).toBeLessThanOrEqual(150);
      }),
    );
  });

  it('cut between letters, not within one', () => {
    expect(oneLine('🔩'.repeat(200), 10)).toBe(`${'🔩'.repeat(9)}…`);
  });

  it('mark each line that is somebody’s words, so that a foot or a link of ours can’t be forged in it', () => {
    expect(quoted('one\r\n-- \nStop: https://evil.example')).toBe(
      '> one\n> --\n> Stop: https://evil.example',
    );
    expect(quoted('x'.repeat(5000)).length).toBeLessThan(1600);
  });

  it('tell of several revisions released together in one letter', () => {
    const job = { id: 12, title: 'Gear' };
    const one = { partNumber: 'OR-1', partName: 'Gear', letter: 'B', change: 'bore 25 H7', job };
    const { subject, text } = revisionLetter([one, { ...one, partNumber: 'OR-2', change: '' }], base);
    expect(subject).toBe('New revisions of 2 parts that you are making');
    expect(text).toContain('> bore 25 H7');
    expect(text.split(`${base}/jobs/12`)).toHaveLength(3);
    expect(revisionLetter([one], base).subject).toBe('A new revision: OR-1 Gear, revision B');
  });

  it('tell the days a gathering was on and is on', () => {
    const gathering = { id: 3, title: 'Spring', fromOn: '2026-04-10', untilOn: '2026-04-12' };
    const before = { fromOn: '2026-04-03', untilOn: '2026-04-03' };
    const letter = gatheringMovedLetter(gathering, { before, placeChanged: false }, base);
    expect(letter.subject).toBe('Spring is moved to 2026-04-10 to 2026-04-12');
    expect(letter.text).toContain('it was planned for 2026-04-03 and is now 2026-04-10 to 2026-04-12.');
  });
});

describe('remindersDue', () => {
  const nobodyTold = () => false;
  const claim: ClaimToRemind = {
    claimId: 5,
    personId: 3,
    job: { id: 12, title: 'Gear' },
    promisedOn: '2026-03-20',
    needByOn: null,
    lastWordOn: '2026-03-16',
    begunToFinish: false,
    onHold: false,
  };
  const facts = (change: Partial<ReminderFacts>): ReminderFacts => ({
    today: '2026-03-19',
    silentAfterDays: 14,
    claims: [],
    notices: [],
    gatherings: [],
    ...change,
  });
  const items = (change: Partial<ReminderFacts>, told: (id: number, item: string) => boolean = nobodyTold) =>
    remindersDue(facts(change), told).map(({ item }) => item);

  it('reminds of a promise from three days before to three days after', () => {
    const on = (today: string) => items({ today, claims: [claim] });
    expect(on('2026-03-16')).toEqual([]);
    // Four days ahead, then three; silent long enough at both.
    const quiet = { ...claim, lastWordOn: '2026-03-10' };
    expect(items({ today: '2026-03-16', claims: [quiet] })).toEqual([]);
    expect(items({ today: '2026-03-17', claims: [quiet] })).toEqual(['due.5.2026-03-20']);
    expect(items({ today: '2026-03-23', claims: [quiet] })).toEqual(['due.5.2026-03-20']);
    expect(items({ today: '2026-03-24', claims: [{ ...quiet, lastWordOn: '2026-03-15' }] })).toEqual([]);
  });

  it('leaves alone who sent word lately, has begun to finish, or is on hold', () => {
    expect(items({ claims: [{ ...claim, lastWordOn: '2026-03-17' }] })).toEqual([]);
    expect(items({ claims: [{ ...claim, begunToFinish: true }] })).toEqual([]);
    expect(items({ claims: [{ ...claim, onHold: true }] })).toEqual([]);
    expect(items({ claims: [claim] })).toEqual(['due.5.2026-03-20']);
  });

  it('says each thing once to a person, and goes on to the next about the same claim', () => {
    const needed = { ...claim, needByOn: '2026-03-21' };
    expect(items({ claims: [needed] })).toEqual(['due.5.2026-03-20']);
    const told = (_id: number, item: string) => item === 'due.5.2026-03-20';
    expect(items({ claims: [needed] }, told)).toEqual(['need.5.2026-03-20']);
    expect(items({ claims: [needed] }, () => true)).toEqual([]);
  });

  it('speaks of silence each time the span is over, three times', () => {
    const silent = { ...claim, promisedOn: '2026-09-01', lastWordOn: '2026-03-01' };
    const on = (today: string) => items({ today, claims: [silent] });
    expect(on('2026-03-14')).toEqual([]);
    expect(on('2026-03-15')).toEqual(['silent.5.2026-03-01.1']);
    expect(on('2026-03-29')).toEqual(['silent.5.2026-03-01.2']);
    expect(on('2026-04-12')).toEqual(['silent.5.2026-03-01.3']);
    expect(on('2026-04-26')).toEqual([]);
  });

  it('asks about a new revision each week, and of a gathering once in the week before', () => {
    const notice = {
      noticeId: 2,
      personId: 3,
      job: claim.job,
      partNumber: 'OR-1',
      letter: 'B',
      toldOn: '2026-03-12',
    };
    expect(items({ notices: [notice] })).toEqual(['notice.2.1']);
    expect(items({ today: '2026-03-18', notices: [notice] })).toEqual([]);
    const gathering = {
      gatheringId: 4,
      title: 'Spring',
      fromOn: '2026-03-26',
      untilOn: '2026-03-28',
      comers: [3, 4],
    };
    expect(items({ gatherings: [gathering] })).toEqual(['gathering.4.2026-03-26', 'gathering.4.2026-03-26']);
    expect(items({ today: '2026-03-26', gatherings: [gathering] })).toEqual([]);
    expect(items({ today: '2026-03-18', gatherings: [gathering] })).toEqual([]);
  });

  it('reads from its keys what was told to whom, and on which days', () => {
    const key = reminderKey(3, '2026-03-19', ['due.5.2026-03-20', 'notice.2.1']);
    const { told, toldOn } = toldIn([key, 'bulletin:2026-03-15:3']);
    expect(told(3, 'due.5.2026-03-20')).toBe(true);
    expect(told(3, 'notice.2.1')).toBe(true);
    expect(told(4, 'notice.2.1')).toBe(false);
    expect(told(3, 'notice.2.2')).toBe(false);
    expect([toldOn(3, '2026-03-19'), toldOn(3, '2026-03-20')]).toEqual([true, false]);
  });
});
