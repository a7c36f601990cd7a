/** `73 chances in 100`, without claiming certainty. */
export function chanceWords(chance: number): string {
  if (chance > 0.99) return 'more than 99 chances in 100';
  if (chance < 0.01) return 'less than 1 chance in 100';
  const inHundred = (chance * 100).toFixed(0);
  return `${inHundred} ${inHundred === '1' ? 'chance' : 'chances'} in 100`;
}
