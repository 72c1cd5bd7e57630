import { describe, expect, it } from 'vitest';
import { sideOfLabel, zoneOnWrongSide } from '../../src/specs/side-of-label.ts';

describe('sideOfLabel', () => {
  it.each([
    ['bore', 'hole'],
    ['Bore of the hub, B3', 'hole'],
    ['bolt holes', 'hole'],
    ['keyway', 'hole'],
    ['journal, left', 'shaft'],
    ['Shaft, B3', 'shaft'],
    ['outside', 'shaft'],
    ['keyway in the shaft', null],
    ['hole for the pin', null],
    ['length', null],
    ['', null],
    ['shafting', null],
  ])('"%s" is %s', (label, side) => {
    expect(sideOfLabel(label)).toBe(side);
  });
});

describe('zoneOnWrongSide', () => {
  it.each([
    [
      '25 H7',
      'journal',
      'H7 is a zone of a hole, and "journal" is a shaft; zones of a shaft have small letters',
    ],
    ['Ø8 h6', 'bore', 'h6 is a zone of a shaft, and "bore" is a hole; zones of a hole have capital letters'],
    ['1 in H7', 'pin', 'H7 is a zone of a hole'],
  ])('%s at "%s"', (text, label, sentence) => {
    expect(zoneOnWrongSide(text, label)).toContain(sentence);
  });

  it.each([
    ['25 H7', 'bore'],
    ['25 h6', 'journal'],
    ['25 H7', 'keyway in the shaft'],
    ['25 H7', ''],
    ['25 ±0.1', 'journal'],
    ['M6', 'hole'],
    ['90°', 'bore'],
  ])('%s at "%s" is left alone', (text, label) => {
    expect(zoneOnWrongSide(text, label)).toBeNull();
  });
});
