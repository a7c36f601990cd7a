/** What the step "Site" of the page says. */
export const texts = {
  title: 'Site',
  otherPositionLabel: 'Another position',
  positionLabel: 'Position',
  positionHint: '46.43, -118.6; a geo: link; a locator such as DN06qk83',
  elevationLabel: 'Elevation',
  elevationHint: '350 m or 1150 ft',
  keepButton: 'Keep this position',
  typePosition: 'Type where the mount stands, latitude first.',
  variation: (angle: string, isEast: boolean): string => `${angle} ${isEast ? 'east' : 'west'}`,
  truePole: (pole: string): string => `True ${pole} pole`,
  high: (degrees: string): string => `${degrees}° high`,
  refractedPole: 'Refracted pole',
  variationLabel: 'Variation',
  dipLabel: 'Dip',
  fieldLabel: 'Field',
  field: (nanotesla: string, levelNanotesla: string): string => `${nanotesla} nT, horizontal ${levelNanotesla} nT`,
  whereVariationComesFrom: (variation: string, until: string): string =>
    `The variation comes from the magnetic model, ${variation}: no compass can be more certain. The model is valid until ${until}.`,
  thenTumble: 'Tumble the board in the hand.',
  savedForRealBoard: (position: string, remark: string, isVirtual: boolean): string =>
    `Saved: ${position}.${remark && ` ${remark}`} A real board will use it; ${isVirtual ? 'the virtual mount stays where its scene is' : 'this recording stays where it was made'}.`,
  savedForNeedles: (position: string, remark: string): string =>
    `Saved: ${position}.${remark && ` ${remark}`} The needles use it from now on.`,
  repeatOthers: "Tonight's tumble and swing are recalculated for it. Repeat everything else that you measured.",
  virtualMountHere: 'The virtual mount stands at this place; a saved site counts only with a real board.',
  checkPosition: 'Check that this is where the mount stands.',
};
