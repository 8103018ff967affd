/** The night of a rig file: what it says, what may be left out, and what is wrong with it, in words. */
import { describe, expect, it } from 'vitest';
import { imageFingerprint, packImage } from '../../../../host/controller/image.ts';
import { inputPins, outputPins, unattendedStarts } from '../../../../host/rig/night/night.ts';
import { toRad } from '../../../../host/rig/rig.ts';
import { OWL, lineOf, problemsOf, rigOf, swap } from '../owl.ts';

const NIGHT = `night:
  light_pin: 18
  warn_pin: 31
  button_pin: 19
  loop: true
  pause_s: 90
  idle:
    look: { yaw_deg: 12, nod_deg: 3 }
    breath: { z_mm: 1.5 }
    lids: { lid: { open_deg: 45 } }
  inputs:
    foot: { pin: 22, kind: level, by: visitor }
    door: { pin: 26, inverted: true }
  analog: { near: 27 }
  sounds: { hoot: 30 }
  shows:
    startle: { start: foot, sound: hoot, sound_ms: 300, sound_lead_ms: 120, sound_at_s: 1.5 }
    dusk: {}
  schedule:
    - { after_s: 600, show: dusk }
`;
/** On a board with pins enough. */
const PLAIN = swap(OWL, ['audience: bench', 'audience: behind_barrier'], ['kind: pico', 'kind: native']);
const text = PLAIN + NIGHT;

describe('a night', () => {
  const { night } = rigOf(text);

  it('is read with its units and its defaults', () => {
    expect(night).toMatchObject({
      light_pin: 18,
      warn_pin: 31,
      button_pin: 19,
      warn_s: 5,
      cross_s: 3,
      debounce_ms: 50,
      loop: true,
      pause_s: 90,
    });
    // Legs come first: nod is joint 6, lid joint 7; the pose has the first six places.
    expect(night?.idle).toEqual({
      look: [
        { place: 5, by: toRad(12) },
        { place: 12, by: toRad(3) },
      ],
      breath: [{ place: 2, by: 1.5 }],
      lids: [{ place: 13, open: toRad(45), shut: toRad(5) }],
    });
    expect(night?.inputs).toEqual([
      { name: 'foot', pin: 22, kind: 'level', inverted: false, by: 'visitor' },
      { name: 'door', pin: 26, kind: 'edge', inverted: true, by: 'attendant' },
    ]);
    expect(night?.shows).toEqual([
      { name: 'startle', start: 'foot', sound: 'hoot', sound_ms: 300, sound_lead_ms: 120, sound_at_s: 1.5 },
      { name: 'dusk', start: null, sound: null, sound_ms: 200, sound_lead_ms: 0, sound_at_s: null },
    ]);
    expect(night?.schedule).toEqual([{ after_s: 600, show: 'dusk' }]);
  });

  it('counts its lines: inputs, then the button; the light, then the sounds', () => {
    expect(inputPins(night!).map(({ pin }) => pin)).toEqual([22, 26, 19]);
    expect(outputPins(night!).map(({ pin }) => pin)).toEqual([18, 31, 30]);
    // Without a pin of its own the light warns.
    expect(outputPins({ ...night!, warn_pin: 18 }).map(({ pin }) => pin)).toEqual([18, 30]);
    expect(unattendedStarts(night!).map(({ path }) => path.join('.'))).toEqual([
      'night.loop',
      'night.schedule',
      'night.shows.startle.start',
    ]);
  });

  it('is not in the rig image', () => {
    const without = rigOf(PLAIN);
    expect(without.night).toBeNull();
    expect(packImage(rigOf(text))).toEqual(packImage(without));
    // As it was before there were nights.
    expect(imageFingerprint(packImage(without))).toBe(imageFingerprint(packImage(rigOf(OWL))));
  });

  it('may be empty', () => {
    const rig = rigOf(`${OWL}night: {}\n`);
    expect(rig.night).toMatchObject({ light_pin: null, warn_pin: null, loop: false, shows: [], schedule: [] });
  });
});

describe('wrong in a night', () => {
  const cases: readonly [what: string, from: string, to: string, path: string, words: RegExp][] = [
    ['an unknown key', 'light_pin: 18', 'ligth_pin: 18', 'night.ligth_pin', /nearest known key is light_pin/],
    [
      'a pin of a servo',
      'light_pin: 18',
      'light_pin: 4',
      'night.light_pin',
      /pin 4 for leg3 .*and the light; .*a pin for each/,
    ],
    [
      'the pin of the stop',
      'button_pin: 19',
      'button_pin: 20',
      'board.stop.pin',
      /pin 20 for the stop input and the button/,
    ],
    [
      'the pin of the power',
      'hoot: 30',
      'hoot: 21',
      'board.power_pin',
      /pin 21 for the power switch and the sound hoot/,
    ],
    ['a pin twice', 'pin: 26', 'pin: 22', 'night.inputs.foot.pin', /pin 22 for the input foot and the input door/],
    [
      'a pin of an analog input twice',
      'near: 27',
      'near: 26',
      'night.inputs.door.pin',
      /the input door and the analog input near/,
    ],
    [
      'no input of that name',
      'start: foot',
      'start: feet',
      'night.shows.startle.start',
      /found feet, .* no input .*allowed: foot or door/,
    ],
    ['no sound of that name', 'sound: hoot', 'sound: hot', 'night.shows.startle.sound', /found hot, .*allowed: hoot/],
    ['a sound’s time without a sound', 'sound: hoot, ', '', 'night.shows.startle.sound_at_s', /no sound/],
    ['no column of that name', 'nod_deg: 3', 'nood_deg: 3', 'night.idle.look.nood_deg', /no column .*nearest: nod_deg/],
    ['no joint for an eyelid', '{ lid: {', '{ leg1: {', 'night.idle.lids.leg1', /no joint that could be an eyelid/],
    [
      'an eyelid beyond its limits',
      'open_deg: 45',
      'open_deg: 80',
      'night.idle.lids.lid.open_deg',
      /found 80; allowed: within limit_deg of lid, 5 … 55 deg/,
    ],
    ['a warning that is too short', 'pause_s: 90', 'warn_s: 2', 'night.warn_s', /from 5 to 60/],
    ['a kind that is none', 'kind: level', 'kind: pulse', 'night.inputs.foot.kind', /edge or level/],
    [
      'a name that is too long',
      'dusk: {}',
      `${'ü'.repeat(17)}: {}`,
      `night.shows.${'ü'.repeat(17)}`,
      /34 bytes; allowed: up to 32/,
    ],
    [
      'too many inputs',
      'pin: 26,',
      `pin: 26 }\n${[40, 41, 42, 43, 44, 45].map((pin) => `    n${String(pin)}: { pin: ${String(pin)} }`).join('\n')}\n    last: { pin: 46,`,
      'night.inputs',
      /found 10 inputs, the button included; allowed: up to 8/,
    ],
  ];
  it.each(cases)('%s', (_, from, to, path, words) => {
    const spoiled = swap(text, [from, to]);
    const errors = problemsOf(spoiled).filter(({ severity }) => severity === 'error');
    expect(errors.map((error) => `${error.path}: ${error.message}`)).toEqual([expect.stringMatching(words)]);
    expect(errors[0]?.path).toBe(path);
  });

  it('is a start that nobody watches, wherever the prop may not move alone', () => {
    const errors = (...changes: (readonly [string, string])[]): string[] =>
      problemsOf(swap(text, ...changes))
        .filter(({ severity }) => severity === 'error')
        .map(({ path, message }) => `${path}: ${message}`);
    expect(errors()).toEqual([]);
    const bench = errors(['audience: behind_barrier', 'audience: bench']);
    expect(bench.map((words) => words.split(':')[0])).toEqual([
      'night.loop',
      'night.shows.startle.start',
      'night.schedule',
    ]);
    for (const words of bench) expect(words).toMatch(/only with audience: behind_barrier \(found bench\)$/);
    for (const words of errors(['stop: { pin: 20, category: 1 }, ', '']))
      expect(words).toMatch(/only with a stop switch/);
    expect(errors(['stop: { pin: 20, category: 1 }, ', ''])).toHaveLength(3);
    expect(errors(['rest: on_stop', 'rest: powered'])).toHaveLength(3);
    // What an attendant starts is left.
    expect(
      errors(
        ['audience: behind_barrier', 'audience: bench'],
        ['loop: true', 'loop: false'],
        ['by: visitor', 'by: attendant'],
        ['  schedule:\n    - { after_s: 600, show: dusk }\n', ''],
      ),
    ).toEqual([]);
  });

  it('is a pin that the board does not have for it: a warning, at its line', () => {
    const pico = swap(
      text,
      ['kind: native', 'kind: pico'],
      ['pin: 26,', 'pin: 21,'],
      ['power_pin: 21', ''],
      ['warn_pin: 31', 'warn_pin: 26'],
    );
    const [warning, ...more] = problemsOf(pico).filter(({ path }) => path.startsWith('night'));
    expect(more).toEqual([]);
    expect(warning).toMatchObject({ severity: 'warning', path: 'night.sounds.hoot', line: lineOf(pico, 'sounds:') });
    expect(warning?.message).toMatch(/a pico has pins 18 to 22 and 26 to 27 for it: no sound would start/);
    const analog = problemsOf(swap(pico, ['near: 27', 'near: 17'])).map(({ path }) => path);
    expect(analog).toContain('night.analog.near');
  });
});

describe('who is warned, and who can let it go on', () => {
  const told = (severity: string, ...changes: (readonly [string, string])[]): string[] =>
    problemsOf(swap(text, ...changes))
      .filter((one) => one.severity === severity && one.path.startsWith('night.'))
      .map(({ path, message }) => `${path}: ${message}`);
  const pico = ['kind: native', 'kind: pico'] as const;
  const linkOnly = [
    ['loop: true', 'loop: false'],
    ['start: foot, ', ''],
    ['  schedule:\n    - { after_s: 600, show: dusk }\n', ''],
  ] as const;

  it('is nobody, where the board starts shows without a pin that warns: an error that names a free pin', () => {
    expect(told('error', ['  warn_pin: 31\n', ''])).toEqual([
      'night.warn_pin: is not given, though shows start with nobody at a computer (loop, schedule and shows.startle.start): only the attendant’s light, on pin 18, warns people before the prop moves, and without a sound. Give warn_pin: 0, for a light and a sound that only warn',
    ]);
    expect(told('error', ['  warn_pin: 31\n', ''], ['  light_pin: 18\n', ''])).toEqual([
      expect.stringMatching(/: nothing warns people before the prop moves\. Give warn_pin: \d/),
    ]);
    expect(told('error', ['  button_pin: 19\n', ''])).toEqual([
      expect.stringMatching(
        /^night\.button_pin: is not given.*nobody there could end a show gently, or let the night go on after a stop\. Give button_pin: 0/,
      ),
    ]);
    expect(told('warning', ['  light_pin: 18\n', ''])).toEqual([
      expect.stringMatching(/^night\.light_pin: is not given.*nothing tells the attendant why/),
    ]);
  });

  it('counts an attendant’s input among what needs no computer', () => {
    const [noLoop, , noSchedule] = linkOnly;
    const changes = [noLoop, noSchedule, ['by: visitor', 'by: attendant'], ['  button_pin: 19\n', '']] as const;
    expect(told('error', ...changes)).toEqual([
      expect.stringMatching(/^night\.button_pin: .*\(shows\.startle\.start\)/),
    ]);
  });

  it('is a warning where only a computer starts shows', () => {
    expect(told('error', ...linkOnly, ['  warn_pin: 31\n', ''], ['  button_pin: 19\n', ''])).toEqual([]);
    expect(told('warning', ...linkOnly, ['  warn_pin: 31\n', ''])).toEqual([
      expect.stringMatching(
        /^night\.warn_pin: is not given: only the attendant’s light, on pin 18, warns.* Give warn_pin: 0$/,
      ),
    ]);
    expect(told('warning', ...linkOnly)).toEqual([]);
  });

  it('needs a pin of its own, and one that the board has', () => {
    expect(told('error', ['warn_pin: 31', 'warn_pin: 18'])).toEqual([
      'night.light_pin: found pin 18 for the light and the warning; allowed: a pin for each',
    ]);
    expect(told('error', pico, ['warn_pin: 31', 'warn_pin: 99'])).toEqual([
      expect.stringMatching(
        /^night\.warn_pin: found 99; a pico has pins 18 to 22 and 26 to 27 for it: nobody would be warned/,
      ),
    ]);
    expect(told('error', pico, ['warn_pin: 31', 'warn_pin: 99'], ...linkOnly)).toHaveLength(1);
    expect(told('error', pico, ['button_pin: 19', 'button_pin: 98'], ['warn_pin: 31', 'warn_pin: 19'])).toEqual([
      expect.stringMatching(/^night\.button_pin: found 98; .*: the button would do nothing/),
    ]);
  });
});
