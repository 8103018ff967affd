/** The night's part of the rig file's schema: what starts shows, what tells of them, and what the prop does between them. */
import type * as z from 'zod';
import { choice, flag, listOf, named, number, section, whole } from '../fields.ts';
import { name, pin } from '../schema-common.ts';

const seconds = (atLeast: number, atMost: number) => number('a time in seconds', { atLeast, atMost });
const amounts = named(
  number('mm or degrees to either side', { atLeast: 0, atMost: 180 }),
  'columns of a stream and how far each goes to either side, such as { yaw_deg: 12, pitch_deg: 5 }',
);
const angle = number('degrees', { atLeast: -3600, atMost: 3600 });

const input = section('an input: { pin, kind, inverted, by }', {
  pin,
  kind: choice(['edge', 'level'], ': when it closes, or for as long as it is closed').default('edge'),
  inverted: flag('whether it is closed at rest and opens to tell').default(false),
  by: choice(['attendant', 'visitor'], ': who closes it; nobody watches the prop when a visitor does').default(
    'attendant',
  ),
});

const show = section('what goes with a show: { start, sound, sound_ms, sound_lead_ms, sound_at_s }', {
  start: name.optional(),
  sound: name.optional(),
  sound_ms: whole('a time in ms', { atLeast: 1, atMost: 65_535 }).default(200),
  sound_lead_ms: number('a time in ms', { atLeast: -10_000, atMost: 10_000 }).default(0),
  sound_at_s: number('a time in seconds', { atLeast: 0, atMost: 3600 }).optional(),
});

const idle = section('what it does between shows: { look, breath, lids }', {
  look: amounts.default({}),
  breath: amounts.default({}),
  lids: named(
    section('{ open_deg, shut_deg }', { open_deg: angle, shut_deg: angle.optional() }),
    'eyelids by their joints, such as { lid: { open_deg: 45 } }',
  ).default({}),
});

/** Scheduled starts that a board keeps. */
export const MOST_STARTS = 16;

export const night = section('the keys of night, such as shows and inputs', {
  light_pin: pin.optional(),
  warn_pin: pin.optional(),
  button_pin: pin.optional(),
  warn_s: seconds(5, 60).default(5),
  cross_s: seconds(0.5, 60).default(3),
  debounce_ms: whole('a time in ms', { atLeast: 5, atMost: 1000 }).default(50),
  loop: flag('whether the shows follow each other by themselves').default(false),
  pause_s: whole('a time in seconds', { atLeast: 1, atMost: 65_535 }).default(60),
  idle: idle.optional(),
  inputs: named(input, 'inputs by names of your own').default({}),
  analog: named(pin, 'pins by names of your own').default({}),
  sounds: named(pin, 'pins by names of your own').default({}),
  shows: named(show, 'what goes with each show, by the name of its stream').default({}),
  schedule: listOf(
    section('{ after_s, show }', { after_s: whole('a time in seconds', { atLeast: 0, atMost: 65_535 }), show: name }),
    'a list of { after_s, show }',
  )
    .max(MOST_STARTS, { error: `takes at most ${String(MOST_STARTS)} starts` })
    .default([]),
});

export type NightFile = z.infer<typeof night>;
