import type { Command } from 'commander';
import { addClippingOptions } from '../store/clipping.ts';
import { addSiteOptions } from './siteOptions.ts';
import { asFastAsAlways } from './stepOptions.ts';

/** What `lock` and `load` have in common. */
export const addShiftOptions = (command: Command): Command =>
  addClippingOptions(addSiteOptions(command))
    .option('--ahead', 'only show how far the axis moved the last times, and by how much to offset it before')
    .option('--star <name>', 'measure with this star in the eyepiece instead of with the board')
    .option('--at <utc>', 'with --star: time at which the star was centred', 'now')
    .option('--read <north,east>', 'with --star: where the star stands afterwards, from the centre')
    .option('--field <arcmin>', 'with --star: true field of the eyepiece')
    .option('--division <arcsec>', 'with --star: --read is in divisions of this size')
    .option('--pixel-scale <arcsec>', 'with --star: --read is in pixels of this size')
    .option('--port <port>', 'the board on this port; any: on any USB port (default: the first known one that answers)')
    .option('--virtual <scene>', 'the virtual board, moved by virtual hands: orchard or woolshed, both invented')
    .option('--seed <number>', 'each number gives another virtual mount, iron and chips')
    .addOption(asFastAsAlways())
    .option('--json', 'one JSON object on stdout');
