import { type ThreadAnswer, type ThreadQuestion, threadSizes } from '../../specs/pure/index.ts';
import type { BenchPage } from '../calculator.ts';
import { figure } from '../figures.ts';

const series = ['fine', 'medium', 'coarse'] as const;

/** What to drill for a metric screw. */
export const threadPage: BenchPage<ThreadQuestion, ThreadAnswer> = {
  method: 'get',
  fresh: { thread: 'M6', series: 'medium' },
  example: { thread: 'M6', series: 'medium' },
  read(typed) {
    const thread = typed.text('thread', 40);
    if (!thread) typed.wrong('thread', 'Choose a thread.');
    const hole = typed.choice('series', series) ?? 'medium';
    return { request: { thread, ...(hole === 'medium' ? {} : { series: hole }) } };
  },
  blame: () => 'thread',
  form: () => ({
    threads: threadSizes().flatMap(({ diameter, coarse, fine }) => [
      { value: `M${diameter}`, label: `M${diameter}, pitch ${coarse}`, group: 'coarse pitch' },
      ...fine.map((pitch) => ({
        value: `M${diameter}x${pitch}`,
        label: `M${diameter} × ${pitch}`,
        group: 'fine pitch',
      })),
    ]),
    series: series.map((value) => ({ value, label: value })),
  }),
  show({ thread, series: hole = 'medium' }, reply) {
    return {
      thread: thread.replace('x', ' × '),
      rows: [
        { label: `Clearance hole, ${hole} series`, value: figure(reply.clearanceHole), unit: 'mm' },
        { label: 'Tap drill', value: figure(reply.tapDrill), unit: 'mm' },
        { label: 'Pitch', value: figure(reply.pitch), unit: 'mm' },
        { label: 'Stress area', value: figure(reply.stressArea, 2), unit: 'mm²' },
      ],
    };
  },
};
