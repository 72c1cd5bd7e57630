import { expect, it } from 'vitest';
import { takeLines } from '../../src/proposals/take-lines.ts';
import { startApp } from '../support/app.ts';
import { aDraft } from '../support/drawings.ts';
import { asPerson } from '../support/jobs.ts';

it('makes no part without a name, and none with a name longer than its form takes', async () => {
  const app = await startApp();
  const { partId } = await aDraft(app);
  const product = (name: string) => ({ name, number: null, description: null, quantity: 1, children: [] });
  const take = (name: string, taken: string) =>
    asPerson(app, 'lead', (act) =>
      takeLines(act, { partId, tree: [product(name)], taken: new Set([taken]), named: new Map() }),
    );
  await expect(take('', '>|')).rejects.toThrow('The model gives it no name');
  const long = 'n'.repeat(300);
  expect(await take(long, `>|${long}`)).toMatchObject({ added: 1 });
  expect(await take(long, `>|${long}`)).toMatchObject({ added: 0, created: [] });
  const { name } = await app.context.db.read.part.findFirstOrThrow({ orderBy: { id: 'desc' } });
  expect(name).toBe('n'.repeat(120));
});
