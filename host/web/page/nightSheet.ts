/** Prints the log of the night: it is fetched and laid out for paper only, so that no white sheet lights up the screen. */
export async function printNight(): Promise<string | undefined> {
  const reply = await fetch('/night.html').catch(() => undefined);
  if (!reply?.ok) return 'The host does not answer.';
  // its own styles are for a page of its own, and the policy of this page would complain of them
  const html = (await reply.text()).replace(/<style>[^]*?<\/style>/, '');
  const sheet = new DOMParser().parseFromString(html, 'text/html').querySelector('main');
  if (!sheet) return 'There is nothing to print.';
  document.querySelector('.paper')?.remove();
  sheet.className = 'paper';
  document.body.append(sheet);
  print();
  return undefined;
}
