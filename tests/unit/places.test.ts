import { describe, expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { Failure } from '../../host/failure.ts';
import { findPlace } from '../../host/site/places.ts';

const refusal = (text: string): Failure => {
  try {
    findPlace(text);
  } catch (error) {
    if (error instanceof Failure) return error;
    throw error;
  }
  return expect.unreachable(`${text} was found`);
};

// The fifty states with their capitals, from memory (common knowledge).
const states =
  'Montgomery AL;Juneau AK;Phoenix AZ;Little Rock AR;Sacramento CA;Denver CO;Hartford CT;Dover DE;Tallahassee FL;Atlanta GA;' +
  'Honolulu HI;Boise ID;Springfield IL;Indianapolis IN;Des Moines IA;Topeka KS;Frankfort KY;Baton Rouge LA;Augusta ME;' +
  'Annapolis MD;Boston MA;Lansing MI;St. Paul MN;Jackson MS;Jefferson City MO;Helena MT;Lincoln NE;Carson City NV;' +
  'Concord NH;Trenton NJ;Santa Fe NM;Albany NY;Raleigh NC;Bismarck ND;Columbus OH;Oklahoma City OK;Salem OR;' +
  'Harrisburg PA;Providence RI;Columbia SC;Pierre SD;Nashville TN;Austin TX;Salt Lake City UT;Montpelier VT;Richmond VA;' +
  'Olympia WA;Charleston WV;Madison WI;Cheyenne WY';
// Members of the United Nations with their seats of government, from memory, spelt as in English atlases.
const nations =
  'Kabul AF;Tirana AL;St. John’s AG;Yamoussoukro CI;Algiers DZ;Andorra la Vella AD;Luanda AO;Buenos Aires AR;Yerevan AM;Canberra AU;Vienna AT;Baku AZ;' +
  'Nassau BS;Manama BH;Dhaka BD;Bridgetown BB;Minsk BY;Brussels BE;Belmopan BZ;Porto-Novo BJ;Thimphu BT;Sucre BO;' +
  'Sarajevo BA;Gaborone BW;Brasilia BR;Bandar Seri Begawan BN;Sofia BG;Ouagadougou BF;Gitega BI;Praia CV;Phnom Penh KH;' +
  'Yaounde CM;Ottawa CA;Bangui CF;N’Djamena TD;Santiago CL;Beijing CN;Bogota CO;Moroni KM;Brazzaville CG;Kinshasa CD;' +
  'San Jose CR;Zagreb HR;Havana CU;Nicosia CY;Prague CZ;Copenhagen DK;Djibouti DJ;Roseau DM;Santo Domingo DO;Quito EC;' +
  'Cairo EG;San Salvador SV;Malabo GQ;Asmara ER;Tallinn EE;Mbabane SZ;Addis Ababa ET;Suva FJ;Helsinki FI;Paris FR;' +
  'Libreville GA;Banjul GM;Tbilisi GE;Berlin DE;Accra GH;Athens GR;St. George’s GD;Guatemala City GT;Conakry GN;' +
  'Bissau GW;Georgetown GY;Port-au-Prince HT;Tegucigalpa HN;Budapest HU;Reykjavik IS;New Delhi IN;Jakarta ID;Tehran IR;' +
  'Baghdad IQ;Dublin IE;Jerusalem IL;Rome IT;Kingston JM;Tokyo JP;Amman JO;Astana KZ;Nairobi KE;Tarawa KI;Pyongyang KP;' +
  'Seoul KR;Kuwait City KW;Bishkek KG;Vientiane LA;Riga LV;Beirut LB;Maseru LS;Monrovia LR;Tripoli LY;Vaduz LI;' +
  'Vilnius LT;Luxembourg LU;Antananarivo MG;Lilongwe MW;Kuala Lumpur MY;Male MV;Bamako ML;Valletta MT;Majuro MH;' +
  'Nouakchott MR;Port Louis MU;Mexico City MX;Palikir FM;Chisinau MD;Monaco MC;Ulaanbaatar MN;Podgorica ME;Rabat MA;' +
  'Maputo MZ;Naypyidaw MM;Windhoek NA;Yaren NR;Kathmandu NP;Amsterdam NL;Wellington NZ;Managua NI;Niamey NE;Abuja NG;' +
  'Skopje MK;Oslo NO;Muscat OM;Islamabad PK;Ngerulmud PW;Panama City PA;Port Moresby PG;Asuncion PY;Lima PE;Manila PH;' +
  'Warsaw PL;Lisbon PT;Doha QA;Bucharest RO;Moscow RU;Kigali RW;Basseterre KN;Castries LC;Kingstown VC;Apia WS;' +
  'San Marino SM;Sao Tome ST;Riyadh SA;Dakar SN;Belgrade RS;Victoria SC;Freetown SL;Singapore SG;Bratislava SK;' +
  'Ljubljana SI;Honiara SB;Mogadishu SO;Pretoria ZA;Juba SS;Madrid ES;Colombo LK;Khartoum SD;Paramaribo SR;Stockholm SE;' +
  'Bern CH;Damascus SY;Dushanbe TJ;Dodoma TZ;Bangkok TH;Dili TL;Lome TG;Nuku‘alofa TO;Port of Spain TT;Tunis TN;' +
  'Ankara TR;Ashgabat TM;Funafuti TV;Kampala UG;Kyiv UA;Abu Dhabi AE;London GB;Washington US;Montevideo UY;' +
  'Tashkent UZ;Port-Vila VU;Caracas VE;Hanoi VN;Sanaa YE;Lusaka ZM;Harare ZW';

describe('towns of the shipped list', () => {
  it('hold the capital of every state of the United States and of every member of the United Nations', () => {
    const capitals = [...states.split(';').map((name) => `${name} US`), ...nations.split(';')];
    expect(capitals).toHaveLength(50 + 193);
    const missing = capitals.filter((name) => {
      try {
        return findPlace(name).country !== name.slice(-2);
      } catch {
        return true;
      }
    });
    expect(missing).toEqual([]);
  });

  it('stand where they are, by another source', () => {
    // geodetic positions of the United States Geological Survey's names server (GNIS), rounded, from memory
    const denver = findPlace('Denver');
    expect(denver.latitudeRad / degree).toBeCloseTo(39.74, 1);
    expect(denver.longitudeRad / degree).toBeCloseTo(-104.99, 1);
    // zone.tab, IANA: Asia/Tokyo +353916+1394441, America/Montevideo -345433-0561245
    expect(findPlace('tokyo').latitudeRad / degree).toBeCloseTo(35.65, 0);
    expect(findPlace('Montevideo').longitudeRad / degree).toBeCloseTo(-56.21, 1);
  });

  it('are told apart where several have one name, and named with what tells them apart', () => {
    const several = refusal('Springfield');
    expect(several.message).toMatch(/^3 towns are called "Springfield": Springfield, IL, US \(39\.8 N, 89\.6 W\); /);
    expect(several.whatToDo).toContain('--place "Springfield, IL, US"');
    expect(findPlace('Springfield, MO').latitudeRad / degree).toBeCloseTo(37.2, 1);
    expect(findPlace('springfield ma us').longitudeRad / degree).toBeCloseTo(-72.6, 1);
    expect(refusal('London').message).toContain('London, CA (43.0 N, 81.2 W)');
    expect(findPlace('London, GB').latitudeRad / degree).toBeCloseTo(51.5, 1);
    expect(refusal('Springfield, Illinois').message).toContain('3 towns');
    expect(refusal('Denver, Colorado').whatToDo).toContain('--place "Denver, CO, US"');
  });
});
