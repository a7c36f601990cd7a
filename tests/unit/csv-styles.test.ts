// Headers as loggers and data sets in use write them, and whether the same readings come out. "published" names where the style was
// seen; the rest is common practice. Only the names are theirs: the numbers are made here.
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { CsvFolder, readings, rowsOf } from './csvTruth.ts';

const folder = new CsvFolder();
beforeAll(() => folder.open());
afterAll(() => folder.close());

interface Style {
  source: string;
  header: string;
  /** The cells below, by their codes. */
  cells: string;
  /** Sensors that come out: a, m, g; r for counts in place of a unit; t for time, c for temperature. */
  gives: string;
  delimiter?: string;
  name?: string;
  columns?: string;
}

const usual = 'ax,ay,az,mx,my,mz';
const si = 'ax*9.80665,ay*9.80665,az*9.80665';
const rad = 'gx*0.017453292519943295,gy*0.017453292519943295,gz*0.017453292519943295';

const styles: Style[] = [
  {
    source: 'this program',
    header: 't_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut,temp_c',
    cells: `t,${usual},c`,
    gives: 'tamc',
  },
  {
    source: 'published: phyphox, export of "Acceleration (with g)" as CSV (comma, decimal point)',
    header:
      '"Time (s)","Acceleration x (m/s^2)","Acceleration y (m/s^2)","Acceleration z (m/s^2)","Absolute acceleration (m/s^2)"',
    cells: `t,${si},9.8`,
    gives: 'ta',
  },
  {
    source: 'published: phyphox, export of "Magnetometer" as CSV (tabulator, decimal point)',
    header:
      '"Time (s)"\t"Magnetic field x (µT)"\t"Magnetic field y (µT)"\t"Magnetic field z (µT)"\t"Absolute field (µT)"',
    cells: 't,mx,my,mz,48',
    gives: 'tm',
    delimiter: '\t',
  },
  {
    source: 'the same in German, which no word of ours fits: the units tell',
    header: '"Zeit (s)";"Magnetfeld x (µT)";"Magnetfeld y (µT)";"Magnetfeld z (µT)"',
    cells: 't,mx,my,mz',
    gives: 'tm',
    delimiter: ';',
  },
  {
    source: 'published: EuRoC MAV data set (Burri et al. 2016), imu0/data.csv',
    header:
      '#timestamp [ns],w_RS_S_x [rad s^-1],w_RS_S_y [rad s^-1],w_RS_S_z [rad s^-1],a_RS_S_x [m s^-2],a_RS_S_y [m s^-2],a_RS_S_z [m s^-2]',
    cells: `t*1e9,${rad},${si}`,
    gives: 'tag',
  },
  {
    source: 'published: github.com/PX4/pyulog, ulog2csv of sensor_combined',
    header:
      'timestamp,gyro_rad[0],gyro_rad[1],gyro_rad[2],gyro_integral_dt,accelerometer_timestamp_relative,accelerometer_m_s2[0],accelerometer_m_s2[1],accelerometer_m_s2[2]',
    cells: `t*1e6+5380634,0.1,0.2,0.3,4000,0,${si}`,
    gives: 'ta',
  },
  {
    source: 'published: github.com/PX4/pyulog, ulog2csv of vehicle_magnetometer',
    header:
      'timestamp,timestamp_sample,device_id,magnetometer_ga[0],magnetometer_ga[1],magnetometer_ga[2],calibration_count',
    cells: 't*1e6+5380634,0,396809,mx*0.01,my*0.01,mz*0.01,0',
    gives: 'tm',
  },
  {
    source: 'published: ROS wiki, rostopic echo -p; sensor_msgs/MagneticField is in tesla',
    header:
      '%time,field.header.seq,field.header.stamp,field.header.frame_id,field.magnetic_field.x,field.magnetic_field.y,field.magnetic_field.z,field.magnetic_field_covariance0',
    cells: 't*1e9+1.6e18,row,t*1e9+1.6e18,imu_link,mx*1e-6,my*1e-6,mz*1e-6,0',
    gives: 'tm',
  },
  {
    source: 'published: ROS REP 145, sensor_msgs/Imu: linear_acceleration holds gravity, in m/s²',
    header:
      'header.stamp.sec,header.stamp.nanosec,orientation.x,orientation.y,orientation.z,orientation.w,angular_velocity.x,angular_velocity.y,angular_velocity.z,linear_acceleration.x,linear_acceleration.y,linear_acceleration.z,mag_field.magnetic_field.x,mag_field.magnetic_field.y,mag_field.magnetic_field.z',
    cells: `1600000000,t*1e9,0,0,0,1,0.1,0.2,0.3,${si},mx*1e-6,my*1e-6,mz*1e-6`,
    gives: 'tam',
  },
  {
    source: 'from memory: a logger for iOS; acceleration in units of gravity, written (G)',
    header:
      'loggingTime(txt),accelerometerAccelerationX(G),accelerometerAccelerationY(G),accelerometerAccelerationZ(G),motionUserAccelerationX(G),motionUserAccelerationY(G),motionUserAccelerationZ(G),motionGravityX(G),motionGravityY(G),motionGravityZ(G),magnetometerX(µT),magnetometerY(µT),magnetometerZ(µT)',
    cells: '2026-11-25 01:02:03.5 +0100,ax,ay,az,0,0,0.01,0,0,1,mx,my,mz',
    gives: 'am',
  },
  {
    source: 'published: github.com/AlbertoCasasOrtiz/Motion-Recorded-Android, README',
    header:
      'Accelerometer_x,Accelerometer_y,Accelerometer_z,Gravity_x,Gravity_y,Gravity_z,Gyros_x,Gyros_y,Gyros_z,Lin_accel_x,Lin_accel_y,Lin_accel_z',
    cells: `${si},0.1,0.2,9.80,0.1,0.2,0.3,0.01,0.02,0.03`,
    gives: 'a',
  },
  {
    source: 'published: github.com/lancejnelson/PH135 files/elevator.csv',
    header: ',time,gFx,gFy,gFz',
    cells: 'row,t,ax,ay,az',
    gives: 'ta',
  },
  {
    source: 'common practice: forces of gravity beside accelerations without it',
    header: 'time;gFx;gFy;gFz;TgF;ax;ay;az;wx;wy;wz;Bx;By;Bz',
    cells: 't,ax,ay,az,1,0.01,0.02,0.03,0.1,0.2,0.3,mx,my,mz',
    gives: 'tam',
    delimiter: ';',
  },
  {
    source: 'published: github.com/PLab-SI/PicoQuake docs/acquisition_data.md',
    header: '# Num. samples: 10000, Duration: 5.0 s\n# Integrity: True\ncount,a_x,a_y,a_z,g_x,g_y,g_z',
    cells: 'row,ax,ay,az,gx,gy,gz',
    gives: 'a',
  },
  {
    source: 'published: cran.r-project.org AGread, data documentation',
    header:
      'Timestamp,Accelerometer.X,Accelerometer.Y,Accelerometer.Z,Temperature,Gyroscope.X,Gyroscope.Y,Gyroscope.Z,Magnetometer.X,Magnetometer.Y,Magnetometer.Z',
    cells: 't,ax,ay,az,c,gx,gy,gz,mx,my,mz',
    gives: 'tamc',
  },
  {
    source: 'published: github.com/SMAC-Group/imudata',
    header: 'Gyro. X,Gyro. Y,Gyro. Z,Accel. X,Accel. Y,Accel. Z',
    cells: `0.1,0.2,0.3,${si}`,
    gives: 'a',
  },
  {
    source: 'published: playerstage.sourceforge.net, player_imu_data_calib',
    header: 'accel_x,accel_y,accel_z,gyro_x,gyro_y,gyro_z,magn_x,magn_y,magn_z',
    cells: `${si},0.1,0.2,0.3,mx*0.01,my*0.01,mz*0.01`,
    gives: 'am',
  },
  {
    source: 'published: github.com/hechan/qgroundcontrol testlog2.txt (counts, parted by blanks)',
    header: 'unix_timestamp Accel._X Accel._Y Accel._Z Battery Mag._X Mag._Y Mag._Z pitch_IMU',
    cells: 't*1e3+1270125571544:0,ax*1000:0,ay*1000:0,az*1000:0,0,mx*100:0,my*100:0,mz*100:0,-0.1128',
    gives: 'tr',
    delimiter: ' ',
  },
  {
    source: 'published: github.com/shrey150/bfa-sensor-fusion src/lib/constants.py',
    header: 'AccelX,AccelY,AccelZ,GyroX,GyroY,GyroZ,MagX,MagY,MagZ',
    cells: `ax,ay,az,gx,gy,gz,mx,my,mz`,
    gives: 'am',
  },
  {
    source: 'published: a data folder with time,accelx,... (microseconds, m/s², microtesla)',
    header: 'time,accelx,accely,accelz,gyrox,gyroy,gyroz,magx,magy,magz,altitude,pressure,temp',
    cells: `t*1e6+3674269.348155,${si},0.1,0.2,0.3,mx,my,mz,2.32,1021.35,c`,
    gives: 'tamc',
  },
  {
    source: 'published: a MATLAB script with acX, gyX, magX',
    header: 'acX,acY,acZ,gyX,gyY,gyZ,magX,magY,magZ,pressure',
    cells: `${si},0.1,0.2,0.3,mx,my,mz,1013`,
    gives: 'am',
  },
  {
    source: 'common practice: an Arduino sketch',
    header: 'timestamp,temp,pressure,ax,ay,az,gx,gy,gz,mx,my,mz,lat,lng,alt,speed,sats',
    cells: `t*1e3,c,1013,${si},0.1,0.2,0.3,mx,my,mz,47.2,-112.4,540,0,9`,
    gives: 'tamc',
  },
  {
    source: 'published: a data frame with device_id, accelerometer_x, ... magnetometer_x, timestamp, activity',
    header:
      'device_id,accelerometer_x,accelerometer_y,accelerometer_z,magnetometer_x,magnetometer_y,magnetometer_z,timestamp,activity',
    cells: `3,${si},mx,my,mz,t*1e3+1.5e12,walk`,
    gives: 'tam',
  },
  {
    source: 'published: docs.gyroflow.xyz, gcsv format (its scales stand in its head, which is not read: counts)',
    header:
      'GYROFLOW IMU LOG\nversion,1.3\nid,custom_logger_name\ntscale,0.001\nascale,0.00048828125\nt,gx,gy,gz,ax,ay,az',
    cells: 't*1e3:0,39,86,183,ax*2048:0,ay*2048:0,az*2048:0',
    gives: 'tr',
  },
  {
    source: 'published: names of an iOS program: Acceleration x (m/s²), Rotation rate x (°/s)',
    header:
      'Unix time stamp,Acceleration x (m/s²),Acceleration y (m/s²),Acceleration z (m/s²),Magnetic field x (µT),Magnetic field y (µT),Magnetic field z (µT),Rotation rate x (°/s),Rotation rate y (°/s),Rotation rate z (°/s),Temperature (C)',
    cells: `t+1.7e9,${si},mx,my,mz,gx,gy,gz,c`,
    gives: 'tamgc',
  },
  {
    source: 'published: names with spaces around them, Accelerometer X (m/s²)',
    header:
      'Time (ms), Accelerometer X (m/s²) , Accelerometer Y (m/s²) , Accelerometer Z (m/s²) , Magnetic Field X (µT), Magnetic Field Y (µT), Magnetic Field Z (µT)',
    cells: `t*1e3,${si},mx,my,mz`,
    gives: 'tam',
  },
  {
    source: 'published: metawear, CSV_HEADER_ROOT "epoch (ms),time (...),elapsed (s),"; axes without the sensor',
    header: 'epoch (ms),time (-06:00),elapsed (s),x-axis (g),y-axis (g),z-axis (g)',
    cells: 't*1e3+1.7e12,2026-11-25T01.02.03.5,t,ax,ay,az',
    gives: 'ta',
  },
  {
    source: 'the same, its magnetometer',
    header: 'epoch (ms),elapsed (s),x-axis (T),y-axis (T),z-axis (T)',
    cells: 't*1e3+1.7e12,t,mx*1e-6,my*1e-6,mz*1e-6',
    gives: 'tm',
  },
  {
    source: 'published: a logger for MMC5983MA, t_unix_ns,t_utc_iso,t_rel_s,bx,by,bz,b_total,units',
    header: 't_unix_ns,t_utc_iso,t_rel_s,bx,by,bz,b_total,units,row_type,note',
    cells: 't*1e9+1.7e18,2026-11-25T01:02:03,t,mx,my,mz,48,uT,SAMPLE,',
    gives: 'tm',
  },
  {
    source: 'published: github.com/IsraZex777/drone_homecoming_rl settings.py',
    header:
      'linear_acceleration_x,linear_acceleration_y,linear_acceleration_z,linear_velocity_x,magnetometer_magnetic_field_body_x,magnetometer_magnetic_field_body_y,magnetometer_magnetic_field_body_z',
    cells: `${si},0,mx*0.01,my*0.01,mz*0.01`,
    gives: 'am',
  },
  {
    source: 'from memory: text export of a motion tracker, // comments, field in arbitrary units near one',
    header:
      '// Start Time: Unknown\n// Update Rate: 100.0Hz\nPacketCounter\tSampleTimeFine\tAcc_X\tAcc_Y\tAcc_Z\tMag_X\tMag_Y\tMag_Z',
    cells: `row,,${si},mx*0.0208,my*0.0208,mz*0.0208`,
    gives: 'ta',
    delimiter: '\t',
  },
  {
    source:
      'published: repoIMU (Szczesna et al. 2016), as in github.com/Mayitzin/ahrs tests/repoIMU.csv: axes below the sensors',
    header:
      'Time (s);Vicon Orientation;;;;IMU Acceleration;;;IMU Gyroscope;;;IMU Magnetometer;;;\n;W;X;Y;Z;X;Y;Z;X;Y;Z;X;Y;Z;',
    cells: `t,1,0,0,0,${si},0.1,0.2,0.3,mx*0.02,my*0.02,mz*0.02`,
    gives: 'ta',
    delimiter: ';',
  },
  {
    source: 'published: github.com/tomisuarez2/MagnetometerCalibration: sampling rate in the head, counts',
    header: 'Fs,100.00\nInitialization time,60\nmx,my,mz',
    cells: 'mx*120:0,my*120:0,mz*120:0',
    gives: 'tr',
  },
  {
    source: 'published: github.com/xioTechnologies/Fusion, Examples/Sensor Data.csv',
    header:
      'Time (s),Gyroscope X (deg/s),Gyroscope Y (deg/s),Gyroscope Z (deg/s),Accelerometer X (g),Accelerometer Y (g),Accelerometer Z (g),Magnetometer X (uT),Magnetometer Y (uT),Magnetometer Z (uT)',
    cells: 't,gx,gy,gz,ax,ay,az,mx,my,mz',
    gives: 'tamg',
  },
  {
    source:
      'published: github.com/NCSU-High-Powered-Rocketry-Club/AirbrakesV2 tests/imu_data: estimates beside readings',
    header:
      'state,timestamp,scaledAccelX,scaledAccelY,scaledAccelZ,deltaVelX,deltaVelY,deltaVelZ,estLinearAccelX,estLinearAccelY,estLinearAccelZ,estGravityVectorX,estGravityVectorY,estGravityVectorZ',
    cells: 'S,t*1e9+1.7e18,ax,ay,az,0.1,0.1,0.1,0.01,0.02,0.03,0,0,9.8',
    gives: 'ta',
  },
  {
    source: 'from memory: a wearable sensor, sep= line, units in a second row',
    header:
      '"sep=\t"\nUnit_Timestamp_CAL\tUnit_Accel_LN_X_CAL\tUnit_Accel_LN_Y_CAL\tUnit_Accel_LN_Z_CAL\tUnit_Mag_X_CAL\tUnit_Mag_Y_CAL\tUnit_Mag_Z_CAL\nms\tm/(s^2)\tm/(s^2)\tm/(s^2)\tlocal_flux\tlocal_flux\tlocal_flux',
    cells: `t*1e3,${si},mx*0.02,my*0.02,mz*0.02`,
    gives: 'a',
    delimiter: '\t',
  },
  {
    source: 'from memory: an IMU with a program for Windows',
    header:
      'Packet number,Gyroscope X (deg/s),Gyroscope Y (deg/s),Gyroscope Z (deg/s),Accelerometer X (g),Accelerometer Y (g),Accelerometer Z (g),Magnetometer X (G),Magnetometer Y (G),Magnetometer Z (G)',
    cells: 'row,gx,gy,gz,ax,ay,az,mx*0.01,my*0.01,mz*0.01',
    gives: 'amg',
  },
  {
    source: 'published: W3C Device Orientation, devicemotion: accelerationIncludingGravity beside acceleration',
    header:
      'acceleration.x,acceleration.y,acceleration.z,accelerationIncludingGravity.x,accelerationIncludingGravity.y,accelerationIncludingGravity.z,rotationRate.alpha',
    cells: `0.01,0.02,0.03,${si},0.1`,
    gives: 'a',
  },
  {
    source: 'published: github.com/tszheichoi/awesome-sensor-logger: one file a sensor, named by it, z first',
    header: 'time,seconds_elapsed,z,y,x',
    cells: 't*1e9+1.7e18,t,mz,my,mx',
    gives: 'tm',
    name: 'Magnetometer.csv',
  },
  {
    source: 'the same, its total acceleration',
    header: 'time,seconds_elapsed,z,y,x',
    cells: 't*1e9+1.7e18,t,az*9.80665,ay*9.80665,ax*9.80665',
    gives: 'ta',
    name: 'TotalAcceleration.csv',
  },
  { source: 'common practice', header: 'x,y,z', cells: 'ax,ay,az', gives: 'a', name: 'run 3.csv' },
  { source: 'common practice', header: 'mx[mG],my[mG],mz[mG]', cells: 'mx*10,my*10,mz*10', gives: 'm' },
  {
    source: 'common practice',
    header: 'Mag X (gauss),Mag Y (gauss),Mag Z (gauss)',
    cells: 'mx*0.01,my*0.01,mz*0.01',
    gives: 'm',
  },
  {
    source: 'common practice',
    header: 'AccelX_mss,AccelY_mss,AccelZ_mss,MagX_uT,MagY_uT,MagZ_uT',
    cells: `${si},mx,my,mz`,
    gives: 'am',
  },
  { source: 'common practice', header: 'acc[0],acc[1],acc[2],mag[0],mag[1],mag[2]', cells: usual, gives: 'am' },
  { source: 'common practice', header: 'acc_1,acc_2,acc_3', cells: 'ax,ay,az', gives: 'a' },
  {
    source: 'common practice',
    header: 'imu0_a_x,imu0_a_y,imu0_a_z,imu0_m_x,imu0_m_y,imu0_m_z',
    cells: usual,
    gives: 'am',
  },
  { source: 'common practice', header: 'Bx (nT),By (nT),Bz (nT)', cells: 'mx*1000,my*1000,mz*1000', gives: 'm' },
  { source: 'common practice', header: 'B_x,B_y,B_z', cells: 'mx*1000,my*1000,mz*1000', gives: 'm' },
  { source: 'common practice', header: 'compass_x,compass_y,compass_z', cells: 'mx*10,my*10,mz*10', gives: 'm' },
  {
    source: 'common practice',
    header: 'TIME,ACC_X,ACC_Y,ACC_Z,MAG_X,MAG_Y,MAG_Z',
    cells: `t,ax*1000,ay*1000,az*1000,mx,my,mz`,
    gives: 'tam',
  },
  { source: 'common practice', header: 'ax_g,ay_g,az_g,mag_x_uT,mag_y_uT,mag_z_uT', cells: usual, gives: 'am' },
  {
    source: 'common practice',
    header: 'LSM9DS1_AX,LSM9DS1_AY,LSM9DS1_AZ,LSM9DS1_MX,LSM9DS1_MY,LSM9DS1_MZ',
    cells: usual,
    gives: 'am',
  },
  { source: 'common practice', header: 'x_acc,y_acc,z_acc,x_mag,y_mag,z_mag', cells: usual, gives: 'am' },
  {
    source: 'common practice: units in a second row, in brackets',
    header: 't,ax,ay,az,mx,my,mz\n[ms],[mg],[mg],[mg],[uT],[uT],[uT]',
    cells: 't*1e3,ax*1000,ay*1000,az*1000,mx,my,mz',
    gives: 'tam',
  },
  {
    source: 'common practice: a header in a comment over blanks',
    header: '# t ax ay az mx my mz',
    cells: `t,${usual}`,
    gives: 'tam',
    delimiter: '   ',
  },
  {
    source: 'common practice: index column, trailing separator',
    header: ',ax,ay,az,',
    cells: 'row,ax,ay,az,',
    gives: 'a',
  },
  {
    source: 'common practice: a sketch that prints names before its numbers',
    header: '',
    cells: 'aX: ax,aY: ay,aZ: az,mX = mx,mY = my,mZ = mz',
    gives: 'am',
    delimiter: ' | ',
  },
  {
    source: 'common practice: the clock of a serial monitor',
    header: '11:59:59.900 -> ax,ay,az,mx,my,mz',
    cells: '12:00:00.123 -> ax,ay,az,mx,my,mz',
    gives: 'am',
  },
  {
    source: 'published: R, write.table: rows numbered, that column without a name',
    header: '"ax" "ay" "az"',
    cells: 'row,ax,ay,az',
    gives: 'a',
    delimiter: ' ',
  },
  {
    source: 'common practice: no header',
    header: '',
    cells: `t*1e3,${si},gx,gy,gz,mx,my,mz`,
    gives: 'tamg',
    columns: 't_ms,ax_ms2,ay_ms2,az_ms2,gx_dps,gy_dps,gz_dps,mx_ut,my_ut,mz_ut',
  },
  {
    source: 'common practice: counting downward, as iOS does',
    header: 'x,y,z',
    cells: 'ax*-1,ay*-1,az*-1',
    gives: 'a',
    columns: '-ax_g,-ay_g,-az_g',
  },
];

const truth = readings();
const near = (found: readonly number[], wanted: readonly number[], size: number): void =>
  found.forEach((value, i) => expect(Math.abs(value - wanted[i])).toBeLessThan(1e-8 * size));

describe('the same readings under the names that loggers give them', () => {
  test.each(styles)('$source: $header', async ({ header, cells, gives, delimiter = ',', name, columns }) => {
    const text = `${header === '' ? '' : `${header}\n`}${rowsOf(cells.split(','), truth, delimiter)}`;
    const { recording, samples } = await folder.read(text, { name, columns });
    const has = (letter: string): boolean => gives.includes(letter);
    expect(samples).toHaveLength(truth.length);
    if (has('r')) expect(recording.scaleKnown).toBe(false);
    else expect(recording.has.accelerometer).toBe(has('a'));
    expect(recording.has).toMatchObject({ gyro: has('g'), time: has('t'), temperature: has('c') });
    samples.forEach(({ accelG, fieldNt, rateDps, timeS, temperatureC }, i) => {
      const { a, m, g, t, c } = truth[i];
      if (has('a')) near(accelG!, a, 1);
      if (has('m'))
        near(
          fieldNt!,
          m.map((value) => 1000 * value),
          5e4,
        );
      if (has('g')) near(rateDps!, g, 100);
      // A clock that counts from 1970 in a double tells time to a fraction of a microsecond.
      if (has('t')) expect(Math.abs(timeS! - samples[0].timeS! - t)).toBeLessThan(1e-6);
      if (has('c')) expect(temperatureC).toBe(c);
    });
    // Whatever is not in this program's own names is said.
    if (!/^(t_s,)?ax_g.*(mz_ut|temp_c)$/.test(columns ?? header)) expect(recording.notes.join()).toMatch(/taken as/);
    else expect(recording.notes).toEqual([]);
  });
});
