/**
 * A capture is text. The head: a title, then `# hello`, `# site`, `# source` and `# model` lines (the axis model in use, as soon
 * as it is known: at the latest among the first lines of the board), and any other `#` line as a note. Then
 * one sound wire line of the board a line, with its CRC, behind the seconds of its arrival on the host's monotonic clock:
 *
 *     # lodepole capture 1
 *     # started 2026-11-25T20:14:05.120Z
 *     # source board 3F2A91C4 on /dev/ttyUSB0
 *     # site {"schema":1,"latitudeDeg":46.4,"longitudeDeg":-118.6,"elevationM":430}
 *     # hello H proto=1 fw=0.1.0 board=3F2A91C4 ... *9A3C
 *     0.010482 S 1 10000 -12 1021 3 -140 287 -301 12 *2A76
 */
export const captureTitle = '# lodepole capture 1';
