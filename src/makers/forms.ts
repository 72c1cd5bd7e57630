import { z } from 'zod';
import { day, line, optionalId, optionalNumber } from '../platform/http/fields.ts';

const side = optionalNumber({ min: 0.1, max: 100_000, unit: ' mm' });

export const ToolForm = z.object({
  name: line(80, 'Name the tool.'),
  processId: optionalId(),
  xMm: side,
  yMm: side,
  zMm: side,
  materials: line(200),
  note: line(200),
});

export const AwayForm = z
  .object({ fromOn: day, untilOn: day, note: line(80) })
  .superRefine(({ fromOn, untilOn }, check) => {
    if (untilOn < fromOn) {
      check.addIssue({
        code: 'custom',
        path: ['untilOn'],
        message: `The last day lies before the first, ${fromOn}.`,
      });
    }
  });
