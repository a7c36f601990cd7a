import { degree } from '../../calibration/angle.ts';
import { decisive, type Gate } from '../../calibration/gate.ts';
import type { OneSensorResult } from '../../calibration/tumble/oneSensor.ts';
import type { Coverage, TumbleResult } from '../../calibration/tumble/types.ts';
import type { CalibrationFile } from '../store/calibrationFile.ts';
import { gateWords } from '../words/gate.ts';
import { bandSigmas } from '../words/reading.ts';
import { texts } from './words/tumble.ts';

/** The gate that decides, and all that are not ok, for machines. */
const gatesJson = (gates: readonly Gate[]): Record<string, unknown> => {
  const first = decisive(gates);
  return {
    reason: first?.reason ?? 'ok',
    value: first?.value ?? null,
    limit: first?.limit ?? null,
    unit: first?.unit ?? null,
    nextAction: first?.nextAction ?? null,
    gates: gates.map((gate) => ({ ...gate })),
  };
};

export function tumbleJson(result: TumbleResult, file: CalibrationFile | undefined): Record<string, unknown> {
  const c = result.calibration;
  return {
    accepted: result.accepted,
    sensors: 'both',
    sigmaHeadingDeg: c ? c.sigmaHeadingRad / degree : null,
    sigmaTiltDeg: c ? c.sigmaTiltRad / degree : null,
    fieldResidualPercent: c?.fieldResidualPercent ?? null,
    dipDeg: c ? c.dipRad / degree : null,
    sigmaDipDeg: c ? c.sigmaDipRad / degree : null,
    dipSpreadDeg: c ? c.dipSpreadRad / degree : null,
    coveragePercent: result.coverage.percent,
    samplesUsed: result.samplesUsed,
    samplesRejected: result.samplesRejected,
    ...gatesJson(result.gates),
    calibration: file ?? null,
  };
}

export function oneSensorJson(
  sensor: string,
  result: OneSensorResult,
  warnings: readonly string[],
): Record<string, unknown> {
  const m = result.correction?.matrix;
  return {
    accepted: result.accepted,
    sensors: sensor,
    sigmaHeadingDeg: null,
    sigmaTiltDeg: null,
    fieldResidualPercent: sensor === 'magnetometer' && m ? result.residualPercent : null,
    gravityResidualPercent: sensor === 'accelerometer' && m ? result.residualPercent : null,
    dipDeg: null,
    coveragePercent: result.coverage.percent,
    samplesUsed: result.samplesUsed,
    samplesRejected: result.samplesRejected,
    ...gatesJson(result.gates),
    warnings,
    stillUnknown: result.stillUnknown,
    calibration: result.correction && m ? oneSensorFile(sensor, result) : null,
  };
}

/** One sensor's correction as plain data; it is no calibration of a board, so no other command takes it. */
export function oneSensorFile(sensor: string, { correction, length }: OneSensorResult): Record<string, unknown> {
  if (!correction) throw new RangeError('there is no correction to keep');
  const m = correction.matrix;
  return {
    schema: 1,
    kind: 'sensor',
    sensor,
    length,
    bias: [...correction.bias],
    matrix: [m.slice(0, 3), m.slice(3, 6), m.slice(6, 9)],
  };
}

/** The result in words, for people. */
export function tumbleText(result: TumbleResult): string {
  const c = result.calibration;
  const lines = [result.accepted ? texts.accepted : texts.refused];
  if (c && result.accepted) {
    lines.push(
      `  heading give or take ${deg(bandSigmas * c.sigmaHeadingRad)}, tilt give or take ${deg(bandSigmas * c.sigmaTiltRad)} (without the magnetic model's own)`,
      `  field residual ${c.fieldResidualPercent.toFixed(2)} percent, dip ${deg(c.dipRad)}, give or take ${deg(bandSigmas * c.sigmaDipRad)}`,
    );
  }
  lines.push(
    `  sphere covered ${result.coverage.percent.toFixed(0)} percent, ${used(result)}`,
    ...gateLines(result.gates),
  );
  return lines.join('\n');
}

export function oneSensorText(sensor: string, result: OneSensorResult, warnings: readonly string[]): string {
  return [
    result.accepted ? texts.sensorAccepted(sensor) : texts.sensorRefused(sensor),
    ...(result.correction ? [`  residual ${result.residualPercent.toFixed(2)} percent`] : []),
    `  sphere covered ${result.coverage.percent.toFixed(0)} percent, ${used(result)}`,
    ...gateLines(result.gates),
    ...warnings.map((warning) => `  ${warning}`),
    `  ${result.stillUnknown}`,
  ].join('\n');
}

const deg = (angleRad: number): string => `${(angleRad / degree).toFixed(3)} degrees`;
const used = ({ samplesUsed, samplesRejected }: { samplesUsed: number; samplesRejected: number }): string =>
  texts.usedRejected(samplesUsed, samplesRejected);
const gateLines = (gates: readonly Gate[]): string[] =>
  gates.filter(({ verdict }) => verdict !== 'ok').map((gate) => `  ${gate.verdict}: ${gateWords(gate)}`);

/** The sphere unrolled, arrow X in the middle, arrow Z at the top: how often each side was up. */
export function coverageMap({ cells }: Coverage): string[] {
  const sectors = 8;
  const shade = (count: number): string => (count === 0 ? '.' : count < 5 ? ':' : count < 20 ? 'o' : '#').repeat(3);
  const rows: string[] = [];
  for (let band = cells.length / sectors - 1; band >= 0; band -= 1) {
    const row = cells.slice(band * sectors, (band + 1) * sectors);
    const turned = [...row.slice(sectors / 2), ...row.slice(0, sectors / 2)].reverse();
    rows.push(turned.map(({ accelCount }) => shade(accelCount)).join(' '));
  }
  return rows;
}
