export const siteUnknownWords = 'Where the mount stands is not known yet: no needles.';
