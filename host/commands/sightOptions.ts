import type { ClippingOptions } from '../store/clipping.ts';
import type { SiteOptions } from './siteOptions.ts';

export interface SightOptions extends SiteOptions, ClippingOptions {
  from?: string;
  axis?: string;
  shaftLevel?: string;
  needles?: string;
  port?: string;
  virtual?: string;
  seed?: string;
  out?: string;
  sun?: boolean;
  shadow?: string;
  gravity?: string;
  list?: boolean;
  keep?: boolean;
  at: string;
  json?: boolean;
}
