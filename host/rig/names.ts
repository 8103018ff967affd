/**
 * What the groups of a rig file say of each other: servo classes, carriers, pins, rates. Looks at the values as the file has
 * them, so that it finds everything even where a group is wrong in itself; values of a wrong kind are the schema's business.
 */
import { defaultPin } from './joints.ts';
import { nightUsers } from './night/pins.ts';
import type { Path, Say } from './problem.ts';
import { LEGS, isLeg } from './shape.ts';
import { either, nearest, short, together } from './words.ts';

type Raw = Readonly<Record<string, unknown>>;

const group = (value: unknown): Raw =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Raw) : {};
const text = (value: unknown): string | null => (typeof value === 'string' ? value : null);

/** The names in a file, as far as they can be made out. */
interface Names {
  readonly data: Raw;
  readonly platform: Raw | null;
  readonly servos: Raw;
  readonly joints: Raw;
  /** Joints that are no legs. */
  readonly axes: readonly string[];
  readonly parts: readonly Raw[];
}

const MOST_JOINTS = 16;
const NAME = /^[A-Za-z][A-Za-z0-9_-]{0,23}$/;
/** Names that mean something else: carriers, and columns of a stream. */
const TAKEN = ['ground', 'base', 'moving', 'x', 'y', 'z', 'roll', 'pitch', 'yaw', 't'];

export function checkNames(data: Raw, say: Say): void {
  const joints = group(data['joints']);
  const names: Names = {
    data,
    platform: data['platform'] === undefined ? null : group(data['platform']),
    servos: group(data['servos']),
    joints,
    axes: Object.keys(joints).filter((name) => !isLeg(name)),
    parts: Array.isArray(data['parts']) ? data['parts'].map(group) : [],
  };
  for (const check of [
    jointNames,
    servoClasses,
    carriers,
    rings,
    pins,
    rates,
    wholeTicks,
    partNames,
    loads,
    seats,
    legMotion,
    legKeys,
  ])
    check(names, say);
}

function jointNames({ platform, joints, axes }: Names, say: Say): void {
  if (!platform && axes.length === 0)
    say.error(['joints'], 'is missing: this rig has neither a platform nor joints, so nothing would move');
  for (const name of axes) {
    const path = ['joints', name];
    if (/^leg\d+$/.test(name))
      say.error(path, `found ${name}; allowed: leg1 to leg6, and other names for other joints`);
    else if (TAKEN.includes(name))
      say.error(path, `found a joint called ${name}; allowed: another name, since ${name} has a meaning of its own`);
    else if (!NAME.test(name))
      say.error(path, `found a joint called "${name}"; allowed: a letter, then up to 23 letters, digits, _ or -`);
  }
  if (!platform)
    for (const name of Object.keys(joints).filter(isLeg))
      say.error(['joints', name], 'found a leg, but this rig has no platform');
  const count = axes.length + (platform ? LEGS.length : 0);
  if (count > MOST_JOINTS)
    say.error(
      ['joints'],
      `found ${String(count)} joints${platform ? ' with the six legs' : ''}; allowed: up to ${String(MOST_JOINTS)}`,
    );
}

/** Where a name of one kind is used, and what it may be. */
function checkName(name: unknown, known: readonly string[], what: string, path: Path, say: Say): void {
  const given = text(name);
  if (given === null || known.includes(given)) return;
  const close = nearest(given, known);
  say.error(
    path,
    `found ${given}, ${what}; ${close === undefined ? 'there is none' : `allowed: ${either(known)}${known.length > 2 ? ` (nearest: ${close})` : ''}`}`,
  );
}

function servoClasses({ platform, servos, joints, axes }: Names, say: Say): void {
  const known = Object.keys(servos);
  const check = (name: unknown, path: Path, drive: 'rotary' | 'linear'): void => {
    checkName(name, known, 'and this file has no servo class of that name', path, say);
    const servo = servos[text(name) ?? ''];
    if (servo === undefined) return;
    const linear = ['force_n', 'speed_mm_s', 'us_per_mm'].some((key) => group(servo)[key] !== undefined);
    if (linear !== (drive === 'linear'))
      say.error(path, `found ${String(name)}, a ${linear ? 'linear' : 'rotary'} servo; allowed: a ${drive} one`);
  };
  if (platform) check(platform['servo'], ['platform', 'servo'], platform['drive'] === 'linear' ? 'linear' : 'rotary');
  for (const name of axes) check(group(joints[name])['servo'], ['joints', name, 'servo'], 'rotary');
}

function carriers({ platform, joints, axes, parts }: Names, say: Say): void {
  const plates = platform ? ['moving', 'base'] : [];
  const check = (on: unknown, others: readonly string[], path: Path): void => {
    const name = text(on);
    checkName(name, ['ground', ...others, ...axes], 'which can carry nothing', path, say);
    if (name !== null && axes.includes(name) && group(joints[name])['axis'] === undefined)
      say.error(
        path,
        `found ${name}, a joint without an axis; allowed: a joint whose place is known: give joints.${name}.axis`,
      );
  };
  if (platform) check(platform['on'], [], ['platform', 'on']);
  for (const name of axes) check(group(group(joints[name])['axis'])['on'], plates, ['joints', name, 'axis', 'on']);
  parts.forEach((part, i) => {
    check(part['on'], plates, ['parts', i, 'on']);
  });
}

/** The carrier of a carrier, if the file names one. */
function carrierOf({ platform, joints }: Names, name: string): string | null {
  if (name === 'moving') return 'base';
  if (name === 'base') return text(platform?.['on']);
  return text(group(group(joints[name])['axis'])['on']);
}

function rings(names: Names, say: Say): void {
  const told = new Set<string>();
  for (const start of [...(names.platform ? ['base'] : []), ...names.axes]) {
    const chain: string[] = [];
    for (let at: string | null = start; at !== null && !chain.includes(at); at = carrierOf(names, at)) chain.push(at);
    const back = carrierOf(names, chain.at(-1) ?? '');
    if (back !== start || chain.some((name) => told.has(name))) continue;
    for (const name of chain) told.add(name);
    const path = start === 'base' ? ['platform', 'on'] : ['joints', start, 'axis', 'on'];
    say.error(
      path,
      `found a ring: ${[...chain, start].join(' is carried by ')}; allowed: carriers that end at the ground`,
    );
  }
}

function pins({ data, platform, joints, axes }: Names, say: Say): void {
  const board = group(data['board']);
  const order = [...(platform ? LEGS : []), ...axes];
  const used = [
    ...order.map((name, i) => {
      const given = group(joints[name])['pin'];
      return {
        who: name,
        pin: given ?? defaultPin(i),
        path: given === undefined ? ['joints', name] : ['joints', name, 'pin'],
        assumed: given === undefined,
      };
    }),
    { who: 'the stop input', pin: group(board['stop'])['pin'], path: ['board', 'stop', 'pin'], assumed: false },
    { who: 'the power switch', pin: board['power_pin'], path: ['board', 'power_pin'], assumed: false },
    ...nightUsers(data['night']),
  ];
  const numbers = new Set(used.map(({ pin }) => pin).filter((pin) => typeof pin === 'number'));
  for (const pin of numbers) {
    const users = used.filter((user) => user.pin === pin);
    if (users.length < 2) continue;
    const who = users.map(({ who, assumed }) =>
      assumed ? `${who} (which names none, and so is on it by default)` : who,
    );
    const at = users.find(({ assumed }) => !assumed) ?? users[0];
    say.error(at?.path ?? ['joints'], `found pin ${String(pin)} for ${together(who)}; allowed: a pin for each`);
  }
}

function rates({ data, platform, servos, joints, axes }: Names, say: Say): void {
  const tick = group(data['motion'])['tick_hz'] ?? 200;
  if (typeof tick !== 'number' || !(tick >= 50 && tick <= 1000)) return;
  const classes = new Set(
    [...(platform ? [platform['servo']] : []), ...axes.map((name) => group(joints[name])['servo'])].map(text),
  );
  for (const name of classes) {
    const hz = group(servos[name ?? ''])['frame_hz'];
    if (typeof hz !== 'number' || !(hz > 0) || Number.isInteger(tick / hz)) continue;
    say.error(
      ['motion', 'tick_hz'],
      `found ${short(tick)} ticks a second${group(data['motion'])['tick_hz'] === undefined ? ' (the default)' : ''}, which is not a multiple of the ${short(hz, 2)} pulses a second of ${name ?? ''}; allowed: a multiple of it, from 50 to 1000`,
    );
  }
}

/** What the controller makes of a look-ahead that ends within a tick. */
function wholeTicks({ data }: Names, say: Say): void {
  const { tick_hz = 200, look_ahead_ms } = group(data['motion']);
  if (typeof tick_hz !== 'number' || typeof look_ahead_ms !== 'number' || !(tick_hz >= 50 && tick_hz <= 1000)) return;
  const ticks = (look_ahead_ms * tick_hz) / 1000;
  const whole = Math.floor(ticks + 1e-6);
  if (!(ticks - whole > 1e-3) || ticks > 1e4) return;
  say.warning(
    ['motion', 'look_ahead_ms'],
    `found ${short(look_ahead_ms, 3)} ms; the controller looks ahead whole ticks of ${short(1000 / tick_hz, 3)} ms, so that ${short((1000 * whole) / tick_hz, 3)} ms are taken`,
  );
}

function partNames({ parts }: Names, say: Say): void {
  const seen = new Set<string>();
  parts.forEach((part, i) => {
    const name = text(part['name']);
    if (name === null) return;
    if (seen.has(name)) say.error(['parts', i, 'name'], `found a second part called ${name}; allowed: a name for each`);
    seen.add(name);
  });
}

function loads({ platform, joints, axes, parts }: Names, say: Say): void {
  for (const name of axes) {
    if (group(joints[name])['load'] === undefined) continue;
    const carried = [
      ...parts.filter((part) => part['on'] === name).map((part) => text(part['name']) ?? 'a part'),
      ...axes.filter((other) => group(group(joints[other])['axis'])['on'] === name),
      ...(platform?.['on'] === name ? ['the platform'] : []),
    ];
    if (carried.length > 0)
      say.error(
        ['joints', name, 'load'],
        `found a load, and ${together(carried)} on ${name} as well; allowed: one of them, so that nothing is weighed twice`,
      );
  }
}

/** `at_mm` is in the moving plate's frame, and a joint with an axis has its place already. */
function seats({ platform, joints, axes }: Names, say: Say): void {
  for (const name of axes) {
    const joint = group(joints[name]);
    if (joint['at_mm'] === undefined) continue;
    const path = ['joints', name, 'at_mm'];
    if (joint['axis'] !== undefined)
      say.error(path, 'found a place beside an axis; allowed: one of them, since axis.at_mm is where this joint sits');
    else if (!platform)
      say.error(path, 'found a place on the moving plate, but this rig has no platform; allowed: an axis of its own');
  }
}

function legMotion({ data, platform }: Names, say: Say): void {
  if (!platform) return;
  const linear = platform['drive'] === 'linear';
  const keys = linear ? ['speed_mm_s', 'accel_mm_s2'] : ['speed_deg_s', 'accel_deg_s2'];
  const wrong = linear ? ['speed_deg_s', 'accel_deg_s2'] : ['speed_mm_s', 'accel_mm_s2'];
  const leg = group(group(data['motion'])['leg']);
  for (const key of keys.filter((key) => leg[key] === undefined))
    say.error(
      ['motion', 'leg', key],
      'is missing: speed and acceleration of the legs have no default, since a guess could break something',
    );
  for (const key of wrong.filter((key) => leg[key] !== undefined))
    say.error(
      ['motion', 'leg', key],
      `found ${key} for ${linear ? 'linear' : 'crank'} legs; allowed: ${together(keys)}`,
    );
}

const inside = (inner: unknown, outer: unknown): boolean =>
  !Array.isArray(inner) ||
  !Array.isArray(outer) ||
  (Number(inner[0]) >= Number(outer[0]) && Number(inner[1]) <= Number(outer[1]));

function legKeys({ platform, joints }: Names, say: Say): void {
  if (!platform) return;
  const linear = platform['drive'] === 'linear';
  const limit = linear ? 'limit_mm' : 'limit_deg';
  const wrong = linear ? ['limit_deg', 'us_per_deg', 'walked_deg'] : ['limit_mm', 'us_per_mm', 'walked_mm'];
  for (const name of Object.keys(joints).filter(isLeg)) {
    const leg = group(joints[name]);
    for (const key of wrong.filter((key) => leg[key] !== undefined))
      say.error(
        ['joints', name, key],
        `found ${key} at a ${linear ? 'linear' : 'crank'} leg; allowed: ${linear ? key.replace('deg', 'mm') : key.replace('mm', 'deg')}`,
      );
    if (!inside(leg[limit], platform[limit]))
      say.error(['joints', name, limit], `found limits beyond those of all legs; allowed: within platform.${limit}`);
  }
  if (linear && !inside(platform['limit_mm'], platform['stroke_mm']))
    say.error(['platform', 'limit_mm'], 'found soft limits beyond the stroke; allowed: within stroke_mm');
}
