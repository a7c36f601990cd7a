export type PanelName = 'steps' | 'more' | 'trace' | 'sound' | 'look' | 'hands';
