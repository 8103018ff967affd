/** The texts of the rig file's schema for the night; see ../key-words.ts. */
import { type KeyWords, words } from '../key-words-common.ts';

export const NIGHT: Readonly<Record<string, KeyWords>> = {
  night: words('Shows that the board plays by itself: what starts them, their sounds, and the life between them'),
  light_pin: words(
    'Number of the pin of the one light that tells the attendant what to do next',
    'As it is wired, over a transistor',
  ),
  warn_pin: words(
    'Number of the pin of the light and sound that warn before the prop moves: a pin of its own, needed wherever the board starts shows. Without it only the light warns, lit without blinking',
    'As it is wired, over a transistor',
  ),
  button_pin: words(
    'Number of the pin of the attendant’s button to ground; needed wherever the board starts shows',
    'As it is wired',
  ),
  warn_s: words('How long light and sound warn before the first motion, s', 'Your choice, 5 s or more', '5 s'),
  cross_s: words('How long it takes from where it stands to the first frame of a show, s', 'Your choice', '3 s'),
  debounce_ms: words(
    'How long an input must stand before it counts, ms',
    'Longer than its contacts bounce, on an oscilloscope; common practice',
    '20 to 50 ms',
  ),
  loop: words(
    'Whether the shows follow each other by themselves; only behind a barrier, with a stop switch, and where the prop rests without power',
  ),
  pause_s: words('Pause between two shows of a loop, s', 'Your choice; hot servos may need more', '30 to 600 s'),
  idle: words('The life between shows; without it, the prop rests'),
  'idle.look': words('How far it looks about to either side of home, by columns of a stream'),
  'idle.breath': words('How far its breath moves it, by columns of a stream'),
  lids: words('Eyelids, by their joints, which blink'),
  open_deg: words('Where the lid stands between blinks, deg', 'By eye, jogging the joint', '30 to 60 deg'),
  shut_deg: words(
    'Where the lid is shut, deg; without it, at its lower soft limit',
    'By eye, jogging the joint',
    '0 deg',
  ),
  inputs: words('Switches to ground and sensors that pull to ground, by names of your own'),
  'inputs.*.pin': words('Number of the pin that it is on', 'As it is wired'),
  'inputs.*.kind': words('edge: each closing starts once; level: it starts again for as long as it is closed'),
  inverted: words('true for one that is closed at rest and opens to tell'),
  'inputs.*.by': words(
    'Who closes it: attendant, who watches the prop, or visitor; a visitor’s starts nothing but behind a barrier, with a stop switch, and where the prop rests without power',
  ),
  analog: words('Inputs that are measured, for responses: names of your own and the pin of each'),
  sounds: words('Lines that start an audio player, by names of your own, and the pin of each'),
  shows: words('What goes with each show, by the name of its stream without .csv'),
  start: words('The input that starts it: a name under inputs'),
  sound: words('The line that starts its sound: a name under sounds'),
  sound_ms: words('How long that line stays closed, ms', 'As the player needs it', '50 to 500 ms'),
  sound_lead_ms: words(
    'How long the player takes from the line’s closing to the sound, ms: it is started so much earlier',
    'Film a clap of the beak with its sound, count frames between them',
    '0 to 300 ms',
  ),
  sound_at_s: words(
    'When the sound is heard, s after the show’s first frame; without it, as its stream says in "# sound FILE at SECONDS", or at once',
    'In the sound’s own editor',
    '0 s',
  ),
  schedule: words(
    'Starts by themselves, each once and one after the other, again from the first when the power comes; a loop goes on for ever',
  ),
  after_s: words('Time after the start before, of the first after power, s', 'Your choice', '300 to 3600 s'),
  'schedule.*.show': words('Which show: the name of its stream without .csv'),
};
