import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { clockCautions } from '../../host/site/clock.ts';
import { fixCollector } from '../../host/link/gps.ts';
import { readSentence } from '../../host/link/nmea.ts';

// The two sample sentences found in most descriptions of NMEA 0183 (from memory; their checksums vouch for them).
const gga = '$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47';
const rmc = '$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A';

describe('NMEA 0183', () => {
  it('reads position and elevation from GGA, position and time from RMC', () => {
    const first = readSentence(gga);
    const second = readSentence(`${rmc}\r\n`);
    if (!('fix' in first) || !('fix' in second)) throw new Error('not read');
    expect(first.fix.latitudeRad / degree).toBeCloseTo(48 + 7.038 / 60, 9);
    expect(first.fix.longitudeRad / degree).toBeCloseTo(11 + 31 / 60, 9);
    expect(first.fix.elevationM).toBeCloseTo(545.4 + 46.9, 9);
    expect(second.fix.utc?.toISOString()).toBe('1994-03-23T12:35:19.000Z');
  });

  const withSum = (body: string): string => {
    let sum = 0;
    for (const letter of body) sum ^= letter.charCodeAt(0);
    return `$${body}*${sum.toString(16).padStart(2, '0')}`;
  };

  it.each([
    [gga.replace('4807', '4808'), 'bad checksum'],
    [withSum('GPGGA,123519,4807.038,N,01131.000,E,0,00,,,M,,M,,'), 'no fix'],
    [withSum('GNRMC,123519,V,4807.038,N,01131.000,E,,,230394,,'), 'no fix'],
    [withSum('GPGSV,1,1,00'), 'other sentence'],
    [withSum('GPGGA,123519,4867.038,N,01131.000,E,1,08,0.9,1,M,0,M,,'), 'malformed'],
    [withSum('GPGGA,123519,9907.038,N,01131.000,E,1,08,0.9,1,M,0,M,,'), 'malformed'],
    [withSum('GPGGA'), 'no fix'],
    ['4807.038,N', 'malformed'],
    ['', 'malformed'],
  ])('passes over %s', (line, why) => expect(readSentence(line)).toEqual({ passedOver: why }));

  it('gathers a whole fix from lines, and counts those it passes over', () => {
    const collector = fixCollector();
    expect(collector.offer('x'.repeat(100_000))).toBeUndefined();
    expect(collector.offer(`${gga}\r`)?.utc).toBeUndefined();
    const fix = collector.offer(`${rmc}\r`);
    expect(fix?.elevationM).toBeCloseTo(592.3, 9);
    expect(fix?.utc).toBeDefined();
    expect(collector.counts()).toEqual({ malformed: 1 });
  });
});

describe('the clock', () => {
  it('behind the program itself is told', async () => {
    expect((await clockCautions(new Date('2000-01-01')))[0]).toContain('before this program was made');
  });
  it('unsynchronised is told, synchronised and unknown are silent', async () => {
    const now = new Date('2027-01-01');
    expect((await clockCautions(now, async () => false))[0]).toContain('not synchronised');
    expect(await clockCautions(now, async () => true)).toEqual([]);
    expect(await clockCautions(now, async () => undefined)).toEqual([]);
  });
});
