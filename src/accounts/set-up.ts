import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import { refuse } from '../platform/refusal.ts';
import { seedLibraries } from '../specs/index.ts';
import type { SetUpForm } from './forms.ts';

/** Sets up the build and its lead: possible once, on an empty database. The password comes hashed. */
export async function setUpBuild(
  act: Act,
  input: Omit<z.output<typeof SetUpForm>, 'password'>,
  passwordHash: string,
): Promise<number> {
  if (await act.tx.build.findUnique({ where: { id: 1 } })) {
    refuse('already-set-up', 'This build is set up already. Sign in instead.');
  }
  const { leadName, email, ...build } = input;
  await act.tx.build.create({ data: { ...build, id: 1, createdAt: act.at } });
  const lead = await act.tx.person.create({
    data: {
      role: 'lead',
      name: leadName,
      email,
      country: build.country,
      passwordHash,
      weeklyHours: build.leadWeeklyHours,
      createdAt: act.at,
    },
  });
  await seedLibraries(act);
  await act.log({ kind: 'set-up-build', aboutId: lead.id, after: { name: build.name } });
  return lead.id;
}
