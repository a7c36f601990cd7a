import { expect, it } from 'vitest';
import { cardCautions, cardHtml, cardSteps } from '../../host/night/card.ts';
import { stepOrder } from '../../host/night/stepsOfNight.ts';

it('names every step of the evening in its order, each with what to type', () => {
  expect(cardSteps.map(({ step }) => step)).toEqual(stepOrder);
  for (const { what, command } of cardSteps) {
    expect(what).toMatch(/^[A-Z].*\.$/);
    expect(command).toMatch(/^lodepole /);
  }
});

it('puts the cautions first, and needs nothing from elsewhere', () => {
  const page = cardHtml();
  expect(page.indexOf(cardCautions[0])).toBeLessThan(page.indexOf(cardSteps[0].what));
  expect(page).toContain('lodepole site --place &quot;'.replaceAll('&quot;', '"'));
  expect(page).not.toMatch(/https?:|<script/);
});
