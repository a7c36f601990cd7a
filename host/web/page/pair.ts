const form = document.querySelector<HTMLFormElement>('#pair');
const input = document.querySelector<HTMLInputElement>('#code');
const answer = document.querySelector<HTMLElement>('#answer');

async function pair(code: string): Promise<void> {
  if (!answer) return;
  answer.textContent = 'Asking …';
  try {
    const reply = await fetch('/api/pair', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ code }),
    });
    if (reply.ok) return location.replace('/');
    const refused = (await reply.json()) as { error: string; whatToDo: string };
    answer.textContent = `${refused.error} ${refused.whatToDo}`;
  } catch {
    answer.textContent = 'The host does not answer. Is this device on the same network?';
  }
}

form?.addEventListener('submit', (event) => {
  event.preventDefault();
  void pair(input?.value ?? '');
});

/** The QR code carries the code behind the #, which browsers never send along. */
const scanned = location.hash.slice(1);
if (scanned && input) {
  history.replaceState(null, '', location.pathname);
  input.value = scanned;
  void pair(scanned);
}
