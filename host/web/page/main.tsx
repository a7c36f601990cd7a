import { render } from 'preact';
import { App } from './app.tsx';
import { Feed } from './feed.ts';
import { loadChoices, showLook } from './look.ts';

const choices = loadChoices();
showLook(choices);
const feed = new Feed();
const place = document.querySelector('#page');
if (place) {
  place.replaceChildren();
  render(<App feed={feed} first={choices} />, place);
  feed.start();
}
if ('serviceWorker' in navigator) void navigator.serviceWorker.register('/keepOffline.js').catch(() => undefined);
