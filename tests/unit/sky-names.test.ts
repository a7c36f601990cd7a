import { describe, expect, it } from 'vitest';
import { Failure } from '../../host/failure.ts';
import { checkDate } from '../../host/sky/place.ts';
import { requireStar, starNamed, stars } from '../../host/sky/stars.ts';
import { parseRightAscension, targetNamed } from '../../host/sky/target.ts';

describe('names of stars', () => {
  it('ships 124 stars, each found by its name, Bayer letter and HIP number', () => {
    expect(stars).toHaveLength(124);
    for (const star of stars) {
      expect(starNamed(star.name)).toBe(star);
      expect(starNamed(`HIP ${star.hip}`)).toBe(star);
      expect(starNamed(star.bayer)?.bayer.replace(/\d/, '')).toBe(star.bayer.replace(/\d/, ''));
    }
  });
  it.each([
    ['VEGA', 'Vega'],
    ['alpha Lyrae', 'Vega'],
    ['Alp Lyr', 'Vega'],
    ['α Lyr', 'Vega'],
    ['hip91262', 'Vega'],
    ['91262', 'Vega'],
    [' rigil  kentaurus ', 'Rigil Kentaurus'],
    ['alpha Cen', 'Rigil Kentaurus'],
    ['sigma octantis', 'Polaris Australis'],
    ['gamma2 Vel', 'γ2 Vel'],
    ['gamma Velorum', 'γ2 Vel'],
  ])('%s is %s', (text, name) => expect(requireStar(text).name).toBe(name));

  it.each([
    ['Vegga', 'Vega'],
    ['Betelgeuze', 'Betelgeuse'],
    ['Jupitr', 'Jupiter'],
    ['Fomal', 'Fomalhaut'],
  ])('%s is unknown and %s is offered', (text, near) => {
    expect(() => targetNamed(text)).toThrow(Failure);
    try {
      targetNamed(text);
    } catch (error) {
      expect((error as Failure).whatToDo).toContain(near);
    }
  });
});

describe('right ascensions and dates', () => {
  it.each([
    ['6h45m8.9s', 6.752472],
    ['6:45:08.9', 6.752472],
    ['6 45 8.9', 6.752472],
    ['6.5', 6.5],
    ['97.5d', 6.5],
  ])('%s', (text, hours) => expect((parseRightAscension(text) / Math.PI) * 12).toBeCloseTo(hours, 5));
  it.each(['', '24h', '6h61m', '-3h', 'six', '400d'])('refuses "%s"', (text) =>
    expect(() => parseRightAscension(text)).toThrow(Failure),
  );
  it.each(['1850-01-01', '2150-01-01'])('refuses the sky of %s', (day) =>
    expect(() => checkDate(new Date(day))).toThrow('outside the models'),
  );
});
