/** `shows pack`: streams within limits become a night; whatever is wrong is told in words, and nothing is written. */
import { existsSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../../host/controller/image.ts';
import { readRig } from '../../../host/rig/read.ts';
import { decodeShow } from '../../../host/shows/decode.ts';
import { readNight } from '../../../host/shows/night-file.ts';
import { NIGHT, nightOwl } from '../shows/rigs.ts';
import { FAR, GENTLE, JERKY, OWL, needController, run, scratch, stream } from './fixture.ts';

const folder = scratch();
const elsewhere = scratch();
afterAll(folder.remove);
afterAll(elsewhere.remove);
beforeAll(needController, 60_000);
const owl = folder.put('owl.yaml', nightOwl());
const gentle = folder.put('gentle.csv', `# sound hoot.wav at 0.5\n${GENTLE}`);
const nod = folder.put('nod.csv', stream(12, { nod_deg: (t_s) => 3 - 3 * Math.cos(t_s) }));
let made = 0;
const fresh = (): string => folder.path(`night${String(made++)}.pwshow`);

describe('shows pack', () => {
  it('makes a night that the rig can play, and says what is in it', async () => {
    const out = fresh();
    const { code, out: said, err } = await run(['shows', 'pack', owl, gentle, nod, '-o', out]);
    expect(code, err).toBe(0);
    expect(said).toMatch(/^show +s +bytes +bytes\/s +warmest +sound$/m);
    expect(said).toMatch(/^gentle +2\.00 +\d+ +\d+ +\w+ \d+ % +hoot$/m);
    expect(said).toMatch(/^nod +12\.00 +\d+ +\d+ +\w+ \d+ % +-$/m);
    expect(said).toMatch(/^fits +pico, f405 and native$/m);
    const night = readNight(readFileSync(out));
    if (typeof night === 'string') throw new Error(night);
    expect(night.fingerprint).toBe(imageFingerprint(packImage(readRig(nightOwl()).rig!)));
    expect(night.shows.map(({ name }) => name)).toEqual(['gentle', 'nod']);
    const [first, second] = night.shows;
    expect(first).toMatchObject({ frames: 101, sound_at_ms: 500 - 120, places: [2, 5, 12] });
    // Nod is joint 6, place 12: 3 - 3 cos(t) deg in steps of 0.02.
    const { steps } = decodeShow(second!.data, { places: [12], frames: second!.frames, joints: 10 });
    const asked = Array.from({ length: 601 }, (_, k) => (3 - 3 * Math.cos(k / 50)) / 0.02);
    expect(Math.max(...asked.map((at, k) => Math.abs(at - steps[k]!)))).toBeLessThan(0.51);
  });

  it('answers as one document', async () => {
    const { code, out } = await run(['shows', 'pack', owl, gentle, nod, '-o', fresh(), '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(out)).toMatchObject({
      ok: true,
      fits: ['pico', 'f405', 'native'],
      shows: [
        { name: 'gentle', seconds: 2, sound: 'hoot', warmest: { joint: expect.any(String) as string } },
        { name: 'nod', sound: null },
      ],
    });
  });

  it('needs no night in the rig file', async () => {
    expect((await run(['shows', 'pack', folder.put('plain.yaml', OWL), gentle, '-o', fresh()])).code).toBe(0);
  });

  it('cuts an idle life that goes beyond its reach, and says so', async () => {
    const wide = folder.put('wide.yaml', nightOwl(NIGHT.replace('yaw_deg: 6', 'yaw_deg: 90')));
    const { out, err } = await run(['shows', 'pack', wide, gentle, nod, '-o', fresh(), '--json']);
    // Pitch and breath are within reach beside some yaw, and stay whole.
    const { idle_cut } = JSON.parse(out) as { idle_cut: readonly { column: string; taken: number }[] };
    expect(idle_cut).toMatchObject([{ column: 'yaw_deg', asked: 90 }]);
    expect(idle_cut[0]!.taken).toBeGreaterThan(6);
    const line =
      nightOwl()
        .split('\n')
        .findIndex((text) => text.includes('yaw_deg: 6,')) + 1;
    const words = new RegExp(`:${String(line)} +night\\.idle\\.look\\.yaw_deg +warning: found 90 to either side`);
    expect(err).toMatch(words);
    expect((await run(['check', wide])).err).toMatch(words);
  });
});

describe('what is told of a night that is packed', () => {
  const told = async (from: string, to: string): Promise<string> => {
    const rig = folder.put('told.yaml', nightOwl(NIGHT.replace(from, to)));
    const { code, err } = await run(['shows', 'pack', rig, gentle, nod, '-o', fresh()]);
    expect(code, err).toBe(0);
    return err.replaceAll(/\s+/g, ' ');
  };

  it('is what reading the rig file says of its night', async () => {
    expect(await told('light_pin: 18', 'light_pin: 77')).toMatch(/night\.light_pin warning: found 77; a pico has pins/);
  });

  it('is a start that comes before the show before it is over', async () => {
    // From idle life: 3 s to its first frame, and 12 s.
    expect(await told('after_s: 60,', 'after_s: 5,')).toMatch(
      /night\.schedule\.2\.after_s warning: gentle is due 5 s after nod, which takes 15 s .*allowed without that: 15 or more/,
    );
    expect(await told('after_s: 60,', 'after_s: 0,')).toMatch(
      /gentle is due at the same time as nod, which takes 15 s/,
    );
    expect(await told('after_s: 60,', 'after_s: 15,')).not.toMatch(/is due/);
  });

  it('is a lead far longer than a player takes before the show', async () => {
    expect(await told('sound_lead_ms: 120', 'sound_lead_ms: 4000, sound_at_s: 2')).toMatch(
      /night\.shows\.gentle\.sound_lead_ms warning: sound_lead_ms 4000 closes the line of a sound heard at 2 s 2 s before the first frame/,
    );
    expect(await told('sound_lead_ms: 120', 'sound_lead_ms: 300, sound_at_s: 0')).not.toMatch(/sound_lead_ms/);
  });
});

describe('what is refused, with nothing written', () => {
  const refused = async (...args: readonly string[]): Promise<string> => {
    const out = fresh();
    const { code, err } = await run(['shows', 'pack', ...args, '-o', out]);
    expect(code, err).toBe(2);
    expect(existsSync(out)).toBe(false);
    return err.replaceAll(/\s+/g, ' ');
  };
  const all = [gentle, nod];

  it('is a stream out of limits, in the words of replay', async () => {
    const jerky = folder.put('jerky.csv', JERKY);
    const far = folder.put('far.csv', FAR);
    const said = await refused(owl, ...all, jerky, far);
    expect(said).toMatch(/jerky\.csv Will it be smooth\? no: nod is asked for more than its limits allow/);
    expect(said).toMatch(/far\.csv Can it get there\? no: .*stopped short/);
    const { out } = await run(['replay', owl, jerky]);
    const words = /no: (nod is asked for more than its limits allow)/.exec(out.replaceAll(/\s+/g, ' '))?.[1];
    expect(said).toContain(words);
  });

  it('is a show that warms a joint beyond what it bears, though it is within limits', async () => {
    // Nod's servo holds for long only with a fiftieth of its torque, and is warm within a second.
    const weak = nightOwl().replace('continuous_use: 0.5 ', 'thermal_tau_s: 1\n    continuous_use: 0.02 ');
    const rig = folder.put('weak.yaml', weak);
    expect((await run(['replay', rig, nod])).code).toBe(0);
    const said = await refused(rig, ...all);
    expect(said).toMatch(
      /nod\.csv \w+ gets to \d+ % of what its servo may bear for ever, from cold; allowed: up to 95 %, .* Make the show shorter/,
    );
  });

  it('is a stream of another rig', async () => {
    const other = folder.put('other.csv', 't_s,tail_deg\n0,0\n1,1\n');
    expect(await refused(owl, ...all, other)).toMatch(/other\.csv.*tail_deg/);
  });

  it('is a name twice, a name that is too long, and the thirty-third show', async () => {
    const long = folder.put(`${'x'.repeat(33)}.csv`, GENTLE);
    const many = Array.from({ length: 33 }, (_, k) => folder.put(`s${String(k)}.csv`, GENTLE));
    expect(await refused(owl, gentle, gentle)).toMatch(/found 2 streams called gentle; allowed: a name for each show/);
    expect(await refused(owl, long)).toMatch(/33 bytes without \.csv; allowed: up to 32/);
    expect(await refused(owl, ...many)).toMatch(/s32\.csv found 33 shows; allowed: up to 32/);
  });

  it('is a scheduled show that is not given; one that is only described is a warning', async () => {
    expect(await refused(owl, gentle)).toMatch(
      /night\.schedule\.1\.show found nod, and no stream of that name is given; packed here: gentle/,
    );
    const alone = folder.put('alone.yaml', nightOwl(NIGHT.replace(/ {2}schedule:[^]*/, '')));
    const { code, err } = await run(['shows', 'pack', alone, gentle, '-o', fresh()]);
    expect(code).toBe(0);
    expect(err).toMatch(/night\.shows\.nod +warning: found nod, and no stream/);
  });

  it('is told in one go: what is wrong with a stream first, then the show that is missed for it', async () => {
    const other = folder.put('other.csv', 't_s,tail_deg\n0,0\n1,1\n');
    const order = (...words: readonly string[]): RegExp => new RegExp(words.join('.*'));
    const missed = 'night\\.schedule\\.1\\.show found nod, and no stream';
    expect(await refused(owl, gentle, other)).toMatch(
      order('other\\.csv.*tail_deg', 'names no show other; it names gentle and nod', missed),
    );
    const slip = folder.put('Nod1.csv', stream(1, { nod_deg: () => 0 }));
    expect(await refused(owl, gentle, slip)).toMatch(
      order('Nod1\\.csv the rig’s night names no show Nod1', 'nearest: nod', missed),
    );
    expect(await refused(owl, gentle, other, folder.path('none.csv'))).toMatch(
      order('none\\.csv there is no such file', 'other\\.csv.*tail_deg', missed),
    );
  });

  it('is a sound that is heard when its show is over', async () => {
    const late = (text: string): string => folder.put('late.yaml', nightOwl(NIGHT.replace('sound_ms: 300', text)));
    expect(await refused(late('sound_at_s: 99'), ...all)).toMatch(
      /:\d+ night\.shows\.gentle\.sound_at_s the sound of gentle would be heard at 99 s, but the show ends at 2 s/,
    );
    const said = elsewhere.put('gentle.csv', `# sound hoot.wav at 2.5\n${GENTLE}`);
    expect(await refused(owl, said, nod)).toMatch(/heard at 2\.5 s, as its stream says, but the show ends at 2 s/);
  });

  it('is a file of another name', async () => {
    const out = folder.path('night.csv');
    const { code, err } = await run(['shows', 'pack', owl, ...all, '-o', out]);
    expect([code, existsSync(out)]).toEqual([2, false]);
    expect(err).toMatch(/name one that ends in \.pwshow/);
  });

  it('is a stream from standard input, and a file that is there already', async () => {
    expect(await refused(owl, '-')).toMatch(/a show is known by its name/);
    const there = folder.put('there.pwshow', 'x');
    expect((await run(['shows', 'pack', owl, gentle, nod, '-o', there])).err).toMatch(/--force/);
  });
});
