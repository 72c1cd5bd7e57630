import { z } from 'zod';
import { STL_UNITS } from '../models/index.ts';
import { choice, id, line, optionalId, tick, words } from '../platform/http/fields.ts';
import { GENERAL_CLASSES } from '../specs/index.ts';
import { DOCUMENT_KINDS } from './document-kind.ts';
import { OLD_UNITS_DECISIONS } from './old-units.ts';

// The version of a revision travels in its forms, so that the second editor is told.
const version = id('Load the page again: the form has lost which version it was for.');

export const HeadForm = z.object({
  version,
  change: words(2000),
  materialId: optionalId('Choose a material of the list.'),
  processId: optionalId('Choose a process of the list.'),
  materialNote: line(200),
  finish: line(200),
  generalTolerance: choice(['', ...GENERAL_CLASSES], 'Choose a class of the list.'),
  notes: words(4000),
});

export const CharacteristicForm = z.object({
  label: line(80),
  text: line(200, 'Type a size such as 25 H7, or a requirement in words.'),
  isKey: tick,
});

export const ChangedCharacteristicForm = CharacteristicForm.extend({ version });

export const DocumentForm = z.object({ kind: choice(DOCUMENT_KINDS, 'Choose what the file is for.') });

/** In which unit the figures of an STL are. */
export const StlUnitForm = z.object({ unit: choice(STL_UNITS, 'Choose mm, cm, m or in.') });

export const ReleaseForm = z.object({ version });

export const OldUnitsForm = z.object({
  decision: choice(OLD_UNITS_DECISIONS, 'Choose use, rework or scrap.'),
});

/** A form that is a button only. */
export const ButtonForm = z.object({});
