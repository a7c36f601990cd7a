export const sunCaution =
  'Never look at or near the Sun through any instrument, finder included: it blinds at once. Cap both.';
