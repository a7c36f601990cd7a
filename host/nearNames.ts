import { distance } from 'fastest-levenshtein';

/** Lower case, without accents, marks and doubled spaces: how names are compared. */
export const plainName = (name: string): string =>
  name
    .normalize('NFD')
    .replace(/\p{Diacritic}/gu, '')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim();

/** The names most like `wanted`, nearest first; those with more than `mostShare` of their letters wrong are left out. */
export function nearNames(wanted: string, names: readonly string[], count = 3, mostShare = 0.5): string[] {
  const plain = plainName(wanted);
  return names
    .map((name) => {
      const other = plainName(name);
      const cost = plain.length >= 3 && other.startsWith(plain) ? 0.1 : distance(plain, other);
      return { name, share: cost / Math.max(plain.length, other.length, 1) };
    })
    .filter(({ share }) => share <= mostShare)
    .sort((a, b) => a.share - b.share)
    .slice(0, count)
    .map(({ name }) => name);
}
