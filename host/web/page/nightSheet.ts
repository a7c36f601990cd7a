/** Prints the log of the night: it is fetched and laid out for paper only, so that no white sheet lights up the screen. */
export async function printNight(): Promise<string | undefined> {
  const reply = await fetch('/night.html').catch(() => undefined);
  if (!reply?.ok) return 'The host does not answer.';
  const sheet = new DOMParser().parseFromString(await reply.text(), 'text/html').querySelector('main');
  if (!sheet) return 'There is nothing to print.';
  document.querySelector('.paper')?.remove();
  sheet.className = 'paper';
  document.body.append(sheet);
  print();
  return undefined;
}
