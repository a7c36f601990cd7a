/** What `replay` says. */
export const texts = {
  modelOfRecording: 'Calibration and swing are those of the recording.',
  noTime: 'The file does not say when it was recorded: the times shown are those of this replay.',
  recording: (file: string): string => `recording ${file}`,
};
