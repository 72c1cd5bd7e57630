import { hash, verify } from '@node-rs/argon2';

// Argon2id (RFC 9106), its second recommended setting's order of cost scaled to a small server: 19 MiB, 2 passes,
// 1 lane, as the OWASP Password Storage Cheat Sheet lists. The library's default algorithm is Argon2id.
const cost = { memoryCost: 19_456, timeCost: 2, parallelism: 1 };

/** A password's hash, with its salt and cost in the text. */
export function hashPassword(password: string): Promise<string> {
  return hash(password, cost);
}

let decoy: Promise<string> | undefined;

/** Whether the password is the one hashed; takes as long when there is no hash, so that time tells nothing. */
export async function passwordFits(password: string, hashed: string | null): Promise<boolean> {
  if (hashed) return verify(hashed, password);
  decoy ??= hashPassword('nobody has this one');
  await verify(await decoy, password);
  return false;
}
